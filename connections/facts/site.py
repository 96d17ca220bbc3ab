"""The frozen types of a site file (format site/1).

A key left out takes the default that `connections.facts.defaults` names; `null` means unknown.
Both stay apart in these types: a left-out key is `UNSET`, an unknown fact is `None`. Numbers are
whole and in the unit that the name ends with.
"""

import datetime as dt
from typing import Annotated, Literal, TypeAlias

from msgspec import UNSET, Meta, Struct, UnsetType

LARGEST = 10**9
"""No number in a site file is larger, in whatever unit."""

Whole: TypeAlias = Annotated[int, Meta(ge=0, le=LARGEST)]
Signed: TypeAlias = Annotated[int, Meta(ge=-LARGEST, le=LARGEST)]
Text: TypeAlias = Annotated[str, Meta(max_length=2000)]
Word: TypeAlias = Annotated[str, Meta(min_length=1, max_length=200)]

WholeOrUnknown: TypeAlias = Whole | None | UnsetType
TextOrUnknown: TypeAlias = Text | None | UnsetType
YesNo: TypeAlias = bool | None | UnsetType
Day: TypeAlias = dt.date | None | UnsetType

Phase = Literal["L1", "L2", "L3"]
UnitStatus = Literal["existing", "proposed", "removed"]
UnitKind = Literal["inverter", "synchronous", "asynchronous"]
EnergySource = Literal["pv", "storage", "pv+storage", "wind", "hydro", "chp", "vehicle", "other"]
TypeTested = Literal["full", "part", "no"]
LimitedBy = Literal["maker", "software", "none"]
OperatingMode = Literal["long-term-parallel", "short-term-parallel", "switched"]
LimitBasis = Literal["ma_per_phase", "w_total", "va_total"]
LoadKind = Literal[
    "lighting",
    "heating",
    "cooker",
    "cooker-with-socket",
    "instant-water",
    "stored-water",
    "storage-heating",
    "floor-heating",
    "circuit",
    "socket",
    "vehicle",
    "heat-pump",
    "other",
]
"""Kinds of load that a guide's table of diversity tells apart, and those that an operator asks
about."""
Nation = Literal["england", "wales", "scotland", "northern_ireland", "ireland"]


class _Frozen(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=False):
    """Refuses unknown keys; never changes after reading."""


class Party(_Frozen, frozen=True):
    """A person or firm of the case: customer, applicant or installer."""

    name: TextOrUnknown = UNSET
    role: TextOrUnknown = UNSET
    address_lines: tuple[Text, ...] | None | UnsetType = UNSET
    email: TextOrUnknown = UNSET
    phone: TextOrUnknown = UNSET
    registration: TextOrUnknown = UNSET


class Parties(_Frozen, frozen=True):
    """Who asks, who installs, and whether the owner of the premises consents."""

    customer: Party | None | UnsetType = UNSET
    applicant: Party | None | UnsetType = UNSET
    installer: Party | None | UnsetType = UNSET
    owner_consent: YesNo = UNSET


class SupplyNumber(_Frozen, frozen=True):
    """A supply number as typed; `connections.facts.supply_number` finds its core."""

    use: Literal["import", "export"]
    scheme: Word
    value: Word


class Premises(_Frozen, frozen=True):
    """Where the plant stands. Grid references in metres of the named grid."""

    name: TextOrUnknown = UNSET
    address_lines: tuple[Text, ...] | None | UnsetType = UNSET
    postcode: TextOrUnknown = UNSET
    nation: Nation | None | UnsetType = UNSET
    supply_numbers: tuple[SupplyNumber, ...] = ()
    licence_area: TextOrUnknown = UNSET
    easting: WholeOrUnknown = UNSET
    northing: WholeOrUnknown = UNSET
    grid: Literal["osgb", "irish"] | None | UnsetType = UNSET
    metering: TextOrUnknown = UNSET
    feeder: TextOrUnknown = UNSET
    """The feeder as the network operator names it."""


class Supply(_Frozen, frozen=True):
    """The supply. `phases` 2 is split single-phase on L1 and L2; `nominal_v` phase to neutral.

    `now_phases` is said where the supply has another number of phases now than the one proposed,
    which `phases` gives.
    """

    phases: Literal[1, 2, 3]
    nominal_v: WholeOrUnknown = UNSET
    voltage_level: Literal["LV", "HV"] | None | UnsetType = UNSET
    cutout_a: WholeOrUnknown = UNSET
    earthing: Literal["TN-C-S", "TN-S", "TT", "unknown"] | None | UnsetType = UNSET
    looped: YesNo = UNSET
    import_capacity_va: WholeOrUnknown = UNSET
    export_capacity_va: WholeOrUnknown = UNSET
    loop_impedance_uohm: WholeOrUnknown = UNSET
    prospective_fault_a: WholeOrUnknown = UNSET
    voltage_optimiser: YesNo = UNSET
    now_phases: Literal[1, 2, 3] | None | UnsetType = UNSET


class Unit(_Frozen, frozen=True):
    """A line of like generating units.

    Ratings are those of ONE unit, on the phases that one unit feeds, which it loads equally.
    `rated_w` is the AC registered capacity, `design_w` the intrinsic design capacity, `rated_ma`
    the declared maximum output current per phase, `q_var` signed with + for exported reactive
    power. `emission_standards` are those on harmonics and flicker that it is declared to keep,
    `max_impedance_uohm` the largest supply impedance up to which it does, `dc_input_w` the most
    that its inputs take from panels [W].
    """

    id: Annotated[str, Meta(min_length=1, max_length=60)]
    source: EnergySource
    rated_w: Whole | None
    phases: Annotated[tuple[Phase, ...], Meta(min_length=1, max_length=3)]
    status: UnitStatus | None | UnsetType = UNSET
    kind: UnitKind | None | UnsetType = UNSET
    maker: TextOrUnknown = UNSET
    model: TextOrUnknown = UNSET
    quantity: WholeOrUnknown = UNSET
    design_w: WholeOrUnknown = UNSET
    rated_va: WholeOrUnknown = UNSET
    rated_ma: WholeOrUnknown = UNSET
    q_var: Signed | None | UnsetType = UNSET
    type_tested: TypeTested | None | UnsetType = UNSET
    standard: TextOrUnknown = UNSET
    type_test_reference: TextOrUnknown = UNSET
    commissioned_on: Day = UNSET
    planned_on: Day = UNSET
    limited_by: LimitedBy | None | UnsetType = UNSET
    can_island: YesNo = UNSET
    serials: tuple[Text, ...] | None | UnsetType = UNSET
    feeds_from: TextOrUnknown = UNSET
    operating_mode: OperatingMode | None | UnsetType = UNSET
    emission_standards: tuple[Text, ...] | None | UnsetType = UNSET
    max_impedance_uohm: WholeOrUnknown = UNSET
    dc_input_w: WholeOrUnknown = UNSET


class Array(_Frozen, frozen=True):
    """Panels behind a unit: peak power in watts peak, azimuth clockwise from north."""

    unit_id: Word
    peak_w: WholeOrUnknown = UNSET
    status: UnitStatus | None | UnsetType = UNSET
    panels: WholeOrUnknown = UNSET
    strings: WholeOrUnknown = UNSET
    tilt_deg: WholeOrUnknown = UNSET
    azimuth_deg: WholeOrUnknown = UNSET


class Storage(_Frozen, frozen=True):
    """Cells behind a unit. `usable_wh` energy; charge and discharge power at the cells."""

    unit_id: Word
    usable_wh: WholeOrUnknown = UNSET
    status: UnitStatus | None | UnsetType = UNSET
    charge_w: WholeOrUnknown = UNSET
    discharge_w: WholeOrUnknown = UNSET
    charges_from_grid: YesNo = UNSET
    exports: YesNo = UNSET


class Limit(_Frozen, frozen=True):
    """A limit of a limitation scheme, kept as stated: milliamps per phase, or W or VA in all."""

    value: Whole | None
    basis: LimitBasis
    type_tested: YesNo = UNSET
    type_test_reference: TextOrUnknown = UNSET
    response_ms: WholeOrUnknown = UNSET
    fail_safe: YesNo = UNSET
    measured_at: TextOrUnknown = UNSET
    ct_position: TextOrUnknown = UNSET
    nets_phases: YesNo = UNSET
    commissioned_on: Day = UNSET


class Limits(_Frozen, frozen=True, rename={"import_": "import"}):
    """The export and the import limit, where there is one."""

    export: Limit | None | UnsetType = UNSET
    import_: Limit | None | UnsetType = UNSET


class Cap(_Frozen, frozen=True):
    """What an operator has answered, in the unit that it wrote.

    `split_equally` says of a total on several phases that each may carry its share and no more.
    """

    on: Literal["export", "installed"]
    value: Whole
    basis: LimitBasis
    from_operator_reference: TextOrUnknown = UNSET
    until: Day = UNSET
    split_equally: YesNo = UNSET


class ProtectionSetting(_Frozen, frozen=True):
    """One setting as found or as set: `value` whole in the `unit` named, delay in milliseconds."""

    function: Word
    value: Whole
    unit: Word
    stage: WholeOrUnknown = UNSET
    delay_ms: WholeOrUnknown = UNSET


class Protection(_Frozen, frozen=True):
    """A protective device of the schedule. `serves` is a unit id, a board id or a load's name.

    `trip_ma` is the rated residual current of an RCD, `breaking_a` the fault current that the
    device can break.
    """

    kind: Word
    serves: TextOrUnknown = UNSET
    rating_a: WholeOrUnknown = UNSET
    rcd_type: TextOrUnknown = UNSET
    direction: TextOrUnknown = UNSET
    settings: tuple[ProtectionSetting, ...] = ()
    reference: TextOrUnknown = UNSET
    trip_ma: WholeOrUnknown = UNSET
    breaking_a: WholeOrUnknown = UNSET


class Cable(_Frozen, frozen=True, rename={"from_": "from"}):
    """A run of cable; `csa_mm2` is a nominal size kept as a label ("2.5").

    `ambient_c` is the temperature around it, `grouped` the number of circuits that run together,
    itself included, and `capacity_a` the designer's own figure for what it carries as it is laid.
    """

    from_: Word
    to: Word
    unit_id: TextOrUnknown = UNSET
    length_mm: WholeOrUnknown = UNSET
    csa_mm2: TextOrUnknown = UNSET
    material: TextOrUnknown = UNSET
    insulation: TextOrUnknown = UNSET
    cores: WholeOrUnknown = UNSET
    method: TextOrUnknown = UNSET
    ambient_c: WholeOrUnknown = UNSET
    grouped: WholeOrUnknown = UNSET
    capacity_a: WholeOrUnknown = UNSET


class Board(_Frozen, frozen=True):
    """A board: what its assembly is rated for, and the device that feeds it from the supply."""

    id: Word
    rating_a: WholeOrUnknown = UNSET
    incoming_a: WholeOrUnknown = UNSET


class Load(_Frozen, frozen=True):
    """One load that matters to the connection: a charge point, a heat pump."""

    name: Word
    w: WholeOrUnknown = UNSET
    phases: tuple[Phase, ...] | None | UnsetType = UNSET
    controllable: YesNo = UNSET
    kind: LoadKind | None | UnsetType = UNSET


class Loads(_Frozen, frozen=True):
    """The demand of the site: assessed or measured, and its large items."""

    assessed_demand_va: WholeOrUnknown = UNSET
    measured: YesNo = UNSET
    items: tuple[Load, ...] = ()


class Network(_Frozen, frozen=True):
    """What is assumed of the network: voltage at the supply terminals, phase to neutral."""

    assumed_voltage_mv: WholeOrUnknown = UNSET


class Override(_Frozen, frozen=True):
    """An engineer's figure in place of a default of the rulebook: its key, a whole number in the
    unit of that value, and why."""

    key: Word
    value: Whole
    reason: Word
    unit: TextOrUnknown = UNSET


class Nearby(_Frozen, frozen=True):
    """Other premises where this firm commissioned or plans to commission micro-generation inside
    the rulebook's distance and days, whoever the customer."""

    premises: WholeOrUnknown = UNSET
    origin: Literal["typed", "found"] | None | UnsetType = UNSET


class Site(_Frozen, frozen=True):
    """One premises with its existing and proposed plant: the whole of a site file."""

    format: Literal["site/1"]
    reference: Word
    on_date: dt.date
    supply: Supply
    units: Annotated[tuple[Unit, ...], Meta(min_length=1, max_length=1000)]
    planned_on: Day = UNSET
    parties: Parties | None | UnsetType = UNSET
    premises: Premises | None | UnsetType = UNSET
    arrays: tuple[Array, ...] = ()
    storage: tuple[Storage, ...] = ()
    limits: Limits | None | UnsetType = UNSET
    caps: tuple[Cap, ...] = ()
    protection: tuple[Protection, ...] = ()
    cables: tuple[Cable, ...] = ()
    loads: Loads | None | UnsetType = UNSET
    network: Network | None | UnsetType = UNSET
    nearby: Nearby | None | UnsetType = UNSET
    boards: tuple[Board, ...] | None | UnsetType = UNSET
    overrides: tuple[Override, ...] | None | UnsetType = UNSET
