"""The frozen types of a site file (format site/1), each fact declared beside its type.

A key left out takes the default that `connections.facts.defaults` names; `null` means unknown.
Both stay apart in these types: a left-out key is `UNSET`, an unknown fact is `None`. Numbers are
whole and in the unit that the name ends with.
"""

import datetime as dt
from typing import Annotated, Literal, TypeAlias

from msgspec import UNSET, Meta, Struct, UnsetType, field
from msgspec.structs import force_setattr

from connections.facts.declaring import fact

LARGEST = 10**9
"""No number in a site file is larger, in whatever unit."""

Whole: TypeAlias = Annotated[int, Meta(ge=0, le=LARGEST)]
Signed: TypeAlias = Annotated[int, Meta(ge=-LARGEST, le=LARGEST)]
Text: TypeAlias = Annotated[str, Meta(max_length=2000)]
Word: TypeAlias = Annotated[str, Meta(min_length=1, max_length=200)]

WholeOrUnknown: TypeAlias = Whole | None | UnsetType
TextOrUnknown: TypeAlias = Text | None | UnsetType
Lines: TypeAlias = tuple[Text, ...] | None | UnsetType
YesNo: TypeAlias = bool | None | UnsetType
Day: TypeAlias = dt.date | None | UnsetType
DayOrMonth: TypeAlias = Annotated[
    str,
    Meta(
        pattern="^[0-9]{4}-[0-9]{2}(-[0-9]{2})?$",
        examples=["2016-06-14", "2016-06"],
        extra_json_schema={"anyOf": [{"format": "date"}, {"pattern": "^[0-9]{4}-[0-9]{2}$"}]},
    ),
]
"""A day "2016-06-14", or a month "2016-06" where the day is not known; see
`connections.facts.defaults.first_day`."""
When: TypeAlias = DayOrMonth | None | UnsetType
YEARS = (1980, 2100)
"""Years in which the dates of a site plausibly lie: our own choice, no source."""

Phase = Literal["L1", "L2", "L3"]
UnitStatus = Literal["existing", "proposed", "removed"]
UnitKind = Literal["inverter", "synchronous", "asynchronous"]
EnergySource = Literal["pv", "storage", "pv+storage", "wind", "hydro", "chp", "vehicle", "other"]
TypeTested = Literal["full", "part", "no"]
LimitedBy = Literal["maker", "software", "none"]
OperatingMode = Literal["long-term-parallel", "short-term-parallel", "switched"]
LimitBasis = Literal["ma_per_phase", "w_total", "va_total"]
ClampPlace = Literal["grid", "pv", "storage", "load"]
ClampDirection = Literal["towards-supply", "towards-site"]
ClampLink = Literal["wired", "radio"]
BreakerType = Literal["B", "C", "D"]
Tap = Literal["service-connectors", "consumer-unit"]
PanelElectronics = Literal["none", "optimisers", "micro-inverters"]
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

# The words of each choice, in the order in which boxes offer them.
_NATIONS = (
    ("england", "England"),
    ("wales", "Wales"),
    ("scotland", "Scotland"),
    ("northern_ireland", "Northern Ireland"),
    ("ireland", "Ireland"),
)
_GRIDS = (("osgb", "British grid"), ("irish", "Irish grid"))
_USES = (("import", "import"), ("export", "export"))
_SCHEMES = (
    ("gb13", "Great Britain, 13 digits"),
    ("ni11", "Northern Ireland, 11 digits"),
    ("ie11", "Ireland, 11 digits"),
)
_SUPPLY_PHASES = (
    ("1", "single-phase"),
    ("2", "split single-phase (L1 and L2)"),
    ("3", "three-phase"),
)
_LEVELS = (("LV", "low voltage"), ("HV", "high voltage"))
_EARTHING = (
    ("TN-C-S", "TN-C-S"),
    ("TN-S", "TN-S"),
    ("TT", "TT"),
    ("unknown", "could not be told"),
)
_SOURCES = (
    ("pv", "PV"),
    ("storage", "storage"),
    ("pv+storage", "PV and storage"),
    ("vehicle", "vehicle"),
    ("wind", "wind"),
    ("hydro", "hydro"),
    ("chp", "combined heat and power"),
    ("other", "other"),
)
_TYPE_TESTED = (
    ("full", "fully"),
    ("part", "partly"),
    ("no", "no"),
)
_KINDS = (
    ("inverter", "inverter"),
    ("synchronous", "synchronous machine"),
    ("asynchronous", "asynchronous machine"),
)
_LIMITED_BY = (
    ("none", "nothing"),
    ("maker", "a setting only the maker can lift"),
    ("software", "a setting on site"),
)
_MODES = (
    ("long-term-parallel", "long-term parallel"),
    ("short-term-parallel", "short-term parallel"),
    ("switched", "switched, never in parallel"),
)
_TAPS = (
    ("service-connectors", "a connector block in the meter tails"),
    ("consumer-unit", "a consumer unit"),
)
_PANEL_ELECTRONICS = (
    ("none", "nothing"),
    ("optimisers", "optimisers"),
    ("micro-inverters", "micro-inverters"),
)
_MEASURED = (("yes", "measured"), ("no", "declared"))
_BREAKER_TYPES = (("B", "type B"), ("C", "type C"), ("D", "type D"))
_CLAMP_PLACES = (
    ("grid", "the supply"),
    ("pv", "PV"),
    ("storage", "storage"),
    ("load", "a load"),
)
_READERS = (("export-limit", "export limit"), ("import-limit", "import limit"))
_PHASES = (("L1", "L1"), ("L2", "L2"), ("L3", "L3"))
_DIRECTIONS = (("towards-supply", "to the supply"), ("towards-site", "to the site"))
_LINKS = (("wired", "wired"), ("radio", "radio"))
_LOAD_KINDS = (
    ("lighting", "lighting"),
    ("heating", "heating"),
    ("cooker", "cooker"),
    ("cooker-with-socket", "cooker, socket outlet in its unit"),
    ("instant-water", "water heater, instantaneous"),
    ("stored-water", "water heater, stored"),
    ("storage-heating", "storage heaters"),
    ("floor-heating", "floor heating"),
    ("circuit", "final circuit"),
    ("socket", "socket outlets"),
    ("vehicle", "vehicle charging"),
    ("heat-pump", "heat pump"),
    ("other", "other"),
)
_EMISSION_STANDARDS = (
    ("61000-3-2", "61000-3-2: harmonics, up to 16 A"),
    ("61000-3-3", "61000-3-3: flicker, up to 16 A"),
    ("61000-3-12", "61000-3-12: harmonics, 16 A to 75 A"),
    ("61000-3-11", "61000-3-11: flicker, up to 75 A"),
)
"""By name as the rulebook lists them. Sizes: IEC 61000-3, scope of each part, from memory."""
_BASES = (
    ("ma_per_phase", "A on each phase"),
    ("w_total", "kW in all"),
    ("va_total", "kVA in all"),
)
_CAPPED = (("export", "export"), ("installed", "installed capacity"))

_SAYS_REFERENCE = "The number under which the type test stands in a public register."
_REFERENCE_HEADINGS = ("register reference", "certificate number", "type-test certificate")
_REFERENCE_OF_TEST = fact("Type-test reference", _SAYS_REFERENCE, headings=_REFERENCE_HEADINGS)
_ALONE = "Read as an entry of standards; written files hold that list."
BOTH_WAYS = (
    "this unit says standard, type_tested or type_test_reference beside this list; keep the list"
)
_STATUS_OF_PART = fact(
    "Status",
    "Whether it is there, is proposed, or goes; left out, as its unit.",
)
_BEHIND = fact(
    "Behind inverter",
    "The name of the unit that these sit behind.",
    noun="inverter",
    hint="empty: the only one that fits",
)
_BASIS = fact(
    "Stated in",
    "Whether the figure is amps on each phase, or power in all.",
    noun="unit that it is stated in",
    choices=_BASES,
)


class _Frozen(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=False):
    """Refuses unknown keys; never changes after reading."""


class Party(_Frozen, frozen=True):
    """A person or firm of the case: customer, applicant or installer."""

    name: Annotated[
        TextOrUnknown, fact("Name", "What the person or firm is called.", personal=True)
    ] = UNSET
    role: Annotated[
        TextOrUnknown,
        fact("Role", "What the person or firm is to the premises, such as owner.", personal=True),
    ] = UNSET
    address_lines: Annotated[
        Lines, fact("Address", "The postal address, a line at a time.", personal=True)
    ] = UNSET
    email: Annotated[
        TextOrUnknown,
        fact("E-mail", "Where mail about the case is sent.", headings=("email",), personal=True),
    ] = UNSET
    phone: Annotated[
        TextOrUnknown,
        fact(
            "Telephone", "Where the person or firm is rung up.", headings=("phone",), personal=True
        ),
    ] = UNSET
    registration: Annotated[
        TextOrUnknown,
        fact(
            "Registration",
            "The number under which a register of installers lists the firm.",
            headings=("scheme number", "installer number"),
            personal=True,
        ),
    ] = UNSET


class Parties(_Frozen, frozen=True):
    """Who asks, who installs, and whether the owner of the premises consents."""

    customer: Annotated[
        Party | None | UnsetType, fact("Customer", "Whose premises it is.", personal=True)
    ] = UNSET
    applicant: Annotated[
        Party | None | UnsetType,
        fact("Applicant", "Who asks, where that is neither customer nor installer.", personal=True),
    ] = UNSET
    installer: Annotated[
        Party | None | UnsetType, fact("Installer", "The firm that does the work.", personal=True)
    ] = UNSET
    owner_consent: Annotated[
        YesNo,
        fact(
            "Owner's consent",
            "Whether the owner of the premises agrees to the work.",
            headings=("consent of the owner", "landlord consent"),
        ),
    ] = UNSET


class SupplyNumber(_Frozen, frozen=True):
    """A supply number as typed; `connections.facts.supply_number` finds its core."""

    use: Annotated[
        Literal["import", "export"],
        fact(
            "Import or export",
            "Whether the number counts what is bought or what is sold.",
            noun="use of the supply number",
            choices=_USES,
        ),
    ]
    scheme: Annotated[
        Word,
        fact(
            "Kind of number",
            "Which country's supply numbers it is one of.",
            noun="form of the supply number",
            choices=_SCHEMES,
        ),
    ]
    value: Annotated[
        Word,
        fact(
            "Supply number",
            "The number of the metering point, as it stands on the bill.",
            hint="the 13 digits of the bottom line of the bill, or all 21; in Ireland 11",
            headings=("MPAN", "MPRN", "S number"),
            personal=True,
        ),
    ]


class Premises(_Frozen, frozen=True):
    """Where the plant stands. Grid references in metres of the named grid."""

    name: Annotated[
        TextOrUnknown,
        fact("Name of the premises", "What the house or site is called.", personal=True),
    ] = UNSET
    address_lines: Annotated[
        Lines,
        fact(
            "Address",
            "Where the plant stands, a line at a time.",
            headings=("site address",),
            personal=True,
        ),
    ] = UNSET
    postcode: Annotated[
        TextOrUnknown, fact("Postcode", "The postcode of the premises.", personal=True)
    ] = UNSET
    nation: Annotated[
        Nation | None | UnsetType,
        fact(
            "Nation",
            "In which nation the premises lie; holidays differ.",
            headings=("country",),
            choices=_NATIONS,
        ),
    ] = UNSET
    supply_numbers: Annotated[
        tuple[SupplyNumber, ...],
        fact(
            "Supply numbers", "The numbers of the metering points of the premises.", personal=True
        ),
    ] = ()
    licence_area: Annotated[
        TextOrUnknown,
        fact(
            "Licence area",
            "The area of the network operator that the supply belongs to.",
            headings=("DNO area", "network area", "distributor"),
        ),
    ] = UNSET
    easting: Annotated[
        WholeOrUnknown,
        fact(
            "Grid reference, east",
            "Metres east on the national grid.",
            "m",
            headings=("easting",),
            band=(1, 700_000),
            most=9_999_999,
            personal=True,
        ),
    ] = UNSET
    northing: Annotated[
        WholeOrUnknown,
        fact(
            "Grid reference, north",
            "Metres north on the national grid.",
            "m",
            headings=("northing",),
            band=(1, 1_300_000),
            most=9_999_999,
            personal=True,
        ),
    ] = UNSET
    grid: Annotated[
        Literal["osgb", "irish"] | None | UnsetType,
        fact("Grid", "Which national grid the reference is of.", choices=_GRIDS),
    ] = UNSET
    metering: Annotated[TextOrUnknown, fact("Metering", "How the supply is metered, in words.")] = (
        UNSET
    )
    feeder: Annotated[
        TextOrUnknown,
        fact(
            "Feeder",
            "The feeder of the premises, as the network operator names it.",
            hint="as the network operator names it",
        ),
    ] = UNSET
    island: Annotated[
        YesNo,
        fact(
            "On an island of Scotland",
            "Whether the premises lie on an island of Scotland.",
            noun="whether the site lies on an island",
            empty="left-out",
        ),
    ] = UNSET
    access: Annotated[
        TextOrUnknown,
        fact(
            "Way to the isolator",
            "How people reach the isolator, and at what hours.",
            hint="how people reach it, and at what hours",
            headings=("access", "access to the isolator"),
            empty="left-out",
            personal=True,
        ),
    ] = UNSET


class Supply(_Frozen, frozen=True):
    """The supply. `phases` 2 is split single-phase on L1 and L2; `nominal_v` phase to neutral.

    `now_phases` is said where the supply has another number of phases now than the one proposed,
    which `phases` gives.
    """

    phases: Annotated[
        Literal[1, 2, 3],
        fact(
            "Phases of the supply",
            "How many phases the supply has, or will have; two are split single-phase.",
            headings=("supply type", "number of phases"),
            empty="left-out",
            choices=_SUPPLY_PHASES,
        ),
    ]
    nominal_v: Annotated[
        WholeOrUnknown,
        fact(
            "Nominal voltage, phase to neutral",
            "The voltage that the supply is named after, between phase and neutral.",
            "V",
            noun="nominal voltage",
            hint="empty: 230 V",
            headings=("supply voltage",),
            band=(200, 260),
            assumed="the nominal voltage is the usual one",
            default=230,
        ),
    ] = UNSET
    voltage_level: Annotated[
        Literal["LV", "HV"] | None | UnsetType,
        fact(
            "Voltage level",
            "Whether the premises are supplied at low or at high voltage.",
            noun="voltage level of the supply",
            headings=("LV or HV",),
            assumed="the supply is at low voltage",
            default="LV",
            choices=_LEVELS,
        ),
    ] = UNSET
    cutout_a: Annotated[
        WholeOrUnknown,
        fact(
            "Rating of the cut-out",
            "What the network operator's main fuse is rated for, in each phase.",
            "A",
            headings=("cut-out", "main fuse", "service fuse", "cut-out fuse rating"),
            band=(30, 400),
        ),
    ] = UNSET
    earthing: Annotated[
        Literal["TN-C-S", "TN-S", "TT", "unknown"] | None | UnsetType,
        fact(
            "Earthing",
            "How the supply is earthed: by the network, or by the site's own electrode.",
            headings=("earthing arrangement", "earthing system"),
            choices=_EARTHING,
        ),
    ] = UNSET
    looped: Annotated[
        YesNo,
        fact(
            "Looped service",
            "Whether the service cable is shared with a neighbour.",
            noun="whether the service is looped",
            hint="cable shared with a neighbour",
            headings=("looped supply", "shared service"),
        ),
    ] = UNSET
    import_capacity_va: Annotated[
        WholeOrUnknown,
        fact(
            "Agreed import capacity",
            "The most that the premises may take, by agreement.",
            "VA",
            "kVA",
            headings=("maximum import capacity", "MIC", "agreed supply capacity"),
            band=(1_000, 5_000_000),
            zero=True,
        ),
    ] = UNSET
    export_capacity_va: Annotated[
        WholeOrUnknown,
        fact(
            "Agreed export capacity",
            "The most that the premises may feed into the network, by agreement.",
            "VA",
            "kVA",
            headings=("maximum export capacity", "MEC"),
            band=(1_000, 5_000_000),
            zero=True,
        ),
    ] = UNSET
    loop_impedance_uohm: Annotated[
        WholeOrUnknown,
        fact(
            "Loop impedance of the supply",
            "The impedance of phase and earth back to the transformer, at the supply terminals.",
            "uohm",
            "ohm",
            headings=("Ze", "external loop impedance"),
            band=(5_000, 3_000_000),
        ),
    ] = UNSET
    loop_measured: Annotated[
        YesNo,
        fact(
            "How the loop impedance is known",
            "Whether the loop impedance was measured on site, or the operator declared it.",
            hint="on site, or declared by the DNO",
            empty="left-out",
            choices=_MEASURED,
        ),
    ] = UNSET
    line_neutral_uohm: Annotated[
        WholeOrUnknown,
        fact(
            "Line-to-neutral impedance",
            "The impedance of line and neutral back to the transformer, at the supply terminals.",
            "uohm",
            "ohm",
            headings=("line-neutral impedance", "L-N loop impedance"),
            band=(5_000, 3_000_000),
            empty="left-out",
        ),
    ] = UNSET
    prospective_fault_a: Annotated[
        WholeOrUnknown,
        fact(
            "Prospective fault current of the supply",
            "The current that would flow in a short circuit at the supply terminals.",
            "A",
            headings=("PFC", "Ipf", "prospective short-circuit current"),
            band=(100, 50_000),
        ),
    ] = UNSET
    fault_measured: Annotated[
        YesNo,
        fact(
            "How the fault current is known",
            "Whether the fault current was measured on site, or the operator declared it.",
            hint="on site, or declared by the DNO",
            empty="left-out",
            choices=_MEASURED,
        ),
    ] = UNSET
    voltage_optimiser: Annotated[
        YesNo,
        fact(
            "Voltage optimiser ahead of the plant",
            "Whether a device that lowers the voltage stands between supply and plant.",
            noun="whether there is a voltage optimiser",
        ),
    ] = UNSET
    now_phases: Annotated[
        Literal[1, 2, 3] | None | UnsetType,
        fact(
            "Phases of the supply now",
            "How many phases the supply has today, where another number is proposed.",
            empty="left-out",
            choices=_SUPPLY_PHASES,
        ),
    ] = UNSET


class DcInput(_Frozen, frozen=True):
    """One DC input of ONE unit: its tracker, and what may be connected to it."""

    tracker: Annotated[
        Annotated[int, Meta(ge=1, le=100)],
        fact(
            "Tracker", "Which input it is, by its number on the inverter.", band=(1, 20), most=100
        ),
    ]
    max_mv: Annotated[
        WholeOrUnknown,
        fact(
            "Largest DC voltage",
            "The DC voltage that the input may never pass.",
            "mV",
            "V",
            headings=(
                "maximum DC voltage",
                "Vdc max",
            ),
            band=(50_000, 1_500_000),
            most=10_000_000,
            empty="left-out",
        ),
    ] = UNSET
    window_min_mv: Annotated[
        WholeOrUnknown,
        fact(
            "Lowest working voltage",
            "The DC voltage from which the tracker works.",
            "mV",
            "V",
            headings=(
                "MPP voltage range",
                "MPPT range",
            ),
            band=(10_000, 1_000_000),
            most=10_000_000,
            empty="left-out",
        ),
    ] = UNSET
    window_max_mv: Annotated[
        WholeOrUnknown,
        fact(
            "Highest working voltage",
            "The DC voltage up to which the tracker works.",
            "mV",
            "V",
            band=(50_000, 1_500_000),
            most=10_000_000,
            empty="left-out",
        ),
    ] = UNSET
    max_operating_ma: Annotated[
        WholeOrUnknown,
        fact(
            "Largest working current",
            "The DC current up to which the tracker works.",
            "mA",
            "A",
            headings=("maximum input current",),
            band=(1_000, 200_000),
            most=10_000_000,
            empty="left-out",
        ),
    ] = UNSET
    max_short_circuit_ma: Annotated[
        WholeOrUnknown,
        fact(
            "Largest short-circuit current",
            "The short-circuit current of panels that the input may have.",
            "mA",
            "A",
            headings=("maximum short-circuit current",),
            band=(1_000, 300_000),
            most=10_000_000,
            empty="left-out",
        ),
    ] = UNSET


class Certificate(_Frozen, frozen=True):
    """One type test of a unit: what it was tested to, how far, and under which reference.

    `rated_w` is that of the entry in the register; left out, the entry is for the unit's rating.
    """

    standard: Annotated[
        TextOrUnknown,
        fact(
            "Standard tested to",
            "The recommendation that the unit was tested to, such as G98.",
            noun="test standard",
            headings=("standard", "compliance", "tested to"),
            empty="left-out",
        ),
    ] = UNSET
    reference: Annotated[
        TextOrUnknown,
        fact(
            "Type-test reference",
            _SAYS_REFERENCE,
            headings=_REFERENCE_HEADINGS,
            empty="left-out",
        ),
    ] = UNSET
    type_tested: Annotated[
        TypeTested | None | UnsetType,
        fact(
            "Type tested",
            "Whether this model was tested as a whole, in part, or not at all.",
            noun="type-test standing",
            headings=("fully type tested",),
            choices=_TYPE_TESTED,
            empty="left-out",
        ),
    ] = UNSET
    rated_w: Annotated[
        WholeOrUnknown,
        fact(
            "Rating of the certificate",
            "The registered capacity that the entry in the register is for.",
            "W",
            "kW",
            hint="of one unit; empty: that of the unit",
            band=(50, 150_000),
            empty="left-out",
        ),
    ] = UNSET
    valid_until: Annotated[
        Day,
        fact(
            "Certificate valid until",
            "The last day on which the certificate holds, where it names one.",
            empty="left-out",
            years=YEARS,
        ),
    ] = UNSET


class Unit(_Frozen, frozen=True):
    """A line of like generating units.

    Ratings are those of ONE unit, on the phases that one unit feeds, which it loads equally.
    """

    id: Annotated[
        Annotated[str, Meta(min_length=1, max_length=60)],
        fact(
            "Name",
            "A short name for the line of units, used once at the premises.",
            hint="leave blank to name automatically",
        ),
    ]
    source: Annotated[
        EnergySource,
        fact(
            "Energy source",
            "What drives the unit, such as panels or a battery.",
            headings=("source", "technology", "generation type"),
            choices=_SOURCES,
        ),
    ]
    rated_w: Annotated[
        Whole | None,
        fact(
            "Registered capacity",
            "The most AC power that one unit gives, as its maker registers it.",
            "W",
            "kW",
            hint="of one unit, AC",
            headings=("rated power", "inverter rating", "AC rating", "rated output"),
            band=(50, 150_000),
        ),
    ]
    phases: Annotated[
        Annotated[tuple[Phase, ...], Meta(min_length=1, max_length=3)],
        fact(
            "Phases",
            "The phases that one unit feeds.",
            hint="of one unit; single-phase: L1",
            headings=("phase", "connected phase"),
        ),
    ]
    status: Annotated[
        UnitStatus | None | UnsetType,
        fact(
            "Status",
            "Whether the unit is there, is proposed, or goes.",
            noun="status (existing, proposed or removed)",
            assumed="proposed",
            default="proposed",
        ),
    ] = UNSET
    kind: Annotated[
        UnitKind | None | UnsetType,
        fact(
            "Kind of unit",
            "Whether it feeds in through an inverter or is a turning machine.",
            noun="kind (inverter, synchronous or asynchronous)",
            assumed="an inverter",
            default="inverter",
            choices=_KINDS,
        ),
    ] = UNSET
    maker: Annotated[
        TextOrUnknown, fact("Maker", "Who makes the unit.", headings=("manufacturer", "make"))
    ] = UNSET
    model: Annotated[
        TextOrUnknown,
        fact("Model", "What the maker calls the unit.", headings=("model number", "type")),
    ] = UNSET
    quantity: Annotated[
        WholeOrUnknown,
        fact(
            "Number of like units",
            "How many units of this kind the line stands for.",
            headings=("quantity", "number", "count"),
            band=(1, 500),
            assumed="one unit",
            default=1,
        ),
    ] = UNSET
    design_w: Annotated[
        WholeOrUnknown,
        fact(
            "Design capacity",
            "The most that one unit is made for, before any setting holds it down.",
            "W",
            "kW",
            hint="what one is made for; empty: as registered",
            headings=("intrinsic design capacity",),
            band=(50, 150_000),
            assumed="design capacity as registered",
        ),
    ] = UNSET
    rated_va: Annotated[
        WholeOrUnknown,
        fact(
            "Apparent power",
            "The most apparent power that one unit gives.",
            "VA",
            "kVA",
            hint="of one",
            headings=("kVA rating", "rated apparent power"),
            band=(50, 150_000),
        ),
    ] = UNSET
    rated_ma: Annotated[
        WholeOrUnknown,
        fact(
            "Declared output current",
            "The largest current that one unit gives on each phase, as declared.",
            "mA",
            "A",
            hint="of one, each phase",
            headings=("maximum output current", "rated current"),
            band=(200, 250_000),
        ),
    ] = UNSET
    q_var: Annotated[
        Signed | None | UnsetType,
        fact(
            "Reactive power",
            "Reactive power that one unit is set to give; plus is exported.",
            "var",
            "kvar",
            hint="of one; + for exported",
            band=(1, 100_000),
            zero=True,
        ),
    ] = UNSET
    standards: Annotated[
        tuple[Certificate, ...] | None | UnsetType,
        fact(
            "Certificates",
            "The type tests of the unit, one entry a certificate.",
            empty="left-out",
        ),
    ] = UNSET
    alone_type_tested: Annotated[
        TypeTested | None | UnsetType,
        fact("Type tested, alone", _ALONE),
    ] = field(default=UNSET, name="type_tested")
    alone_standard: Annotated[
        TextOrUnknown,
        fact("Standard, alone", _ALONE),
    ] = field(default=UNSET, name="standard")
    alone_reference: Annotated[
        TextOrUnknown,
        fact("Reference, alone", _ALONE),
    ] = field(default=UNSET, name="type_test_reference")
    commissioned_on: Annotated[
        When,
        fact(
            "Commissioning date",
            "The day or the month in which the unit was first run in parallel with the network.",
            hint="day/month/year; if the day is not known, month/year",
            headings=("commissioned", "date of commissioning", "installed on"),
            empty="left-out",
            years=YEARS,
        ),
    ] = UNSET
    planned_on: Annotated[
        Day,
        fact(
            "Planned date",
            "The day on which the unit is to be commissioned.",
            headings=("planned commissioning date",),
            years=YEARS,
        ),
    ] = UNSET
    limited_by: Annotated[
        LimitedBy | None | UnsetType,
        fact(
            "Capacity limited by",
            "What holds the unit to its registered capacity, where it is made for more.",
            noun="means of limiting the capacity",
            assumed="not limited",
            default="none",
            choices=_LIMITED_BY,
        ),
    ] = UNSET
    plugged_in: Annotated[
        YesNo,
        fact(
            "Plug-in kit",
            "Whether the unit is a plug-in kit: panels and an inverter on a plug for a socket.",
            noun="whether it is a plug-in kit",
            hint="empty: no, unless its standard says so",
            headings=("plug-in solar", "balcony solar"),
            empty="left-out",
        ),
    ] = UNSET
    can_island: Annotated[
        YesNo,
        fact(
            "Can run as an island",
            "Whether the unit can supply the premises while the network is off.",
            noun="ability to run as an island",
            headings=("backup", "island mode"),
            assumed="cannot run as an island",
            default=False,
            empty="null",
        ),
    ] = UNSET
    serials: Annotated[
        Lines,
        fact(
            "Serial numbers",
            "The serial number of each unit, one a line.",
            hint="one a line",
            headings=("serial number",),
        ),
    ] = UNSET
    feeds_from: Annotated[
        TextOrUnknown,
        fact(
            "Connected to board",
            "The board whose busbar the unit's circuit is connected to.",
            noun="board",
        ),
    ] = UNSET
    operating_mode: Annotated[
        OperatingMode | None | UnsetType,
        fact(
            "Operating mode",
            "Whether the unit runs in parallel with the network, and for how long.",
            assumed="long-term parallel",
            default="long-term-parallel",
            choices=_MODES,
        ),
    ] = UNSET
    emission_standards: Annotated[
        Lines,
        fact(
            "Standards on harmonics and flicker",
            "The standards on harmonics and flicker that the maker declares to keep.",
            hint="as the declaration or the data sheet says; nothing ticked: not known",
            empty="left-out",
            choices=_EMISSION_STANDARDS,
        ),
    ] = UNSET
    max_impedance_uohm: Annotated[
        WholeOrUnknown,
        fact(
            "Largest supply impedance",
            "The supply impedance up to which the maker's declaration on flicker holds.",
            "uohm",
            "ohm",
            hint="up to which it keeps them, if the maker names one",
            headings=("Zmax",),
            band=(5_000, 3_000_000),
            empty="left-out",
        ),
    ] = UNSET
    dc_input_w: Annotated[
        WholeOrUnknown,
        fact(
            "Largest input from panels",
            "The most DC power that one unit takes from its panels.",
            "W",
            "kW",
            hint="DC, of one unit",
            headings=("maximum DC power", "maximum PV input"),
            band=(50, 300_000),
            empty="left-out",
        ),
    ] = UNSET
    dc_inputs: Annotated[
        tuple[DcInput, ...] | None | UnsetType,
        fact(
            "DC inputs",
            "What each DC input of one unit takes, from the data sheet.",
            hint="one a line: tracker; largest voltage; working from; working to; largest working "
            "current; largest short-circuit current, as in 1; 600 V; 80 V; 550 V; 13.5 A; 17 A",
            headings=("MPPT inputs", "trackers"),
            empty="left-out",
        ),
    ] = UNSET
    panel_electronics: Annotated[
        PanelElectronics | None | UnsetType,
        fact(
            "Electronics at the panels",
            "What is fitted at each panel between it and the wiring.",
            empty="left-out",
            choices=_PANEL_ELECTRONICS,
        ),
    ] = UNSET

    def __post_init__(self) -> None:
        """Read a certificate said alone as the list of one. Raises ValueError for both ways."""
        alone = (self.alone_standard, self.alone_reference, self.alone_type_tested)
        if all(said is UNSET for said in alone):
            return
        if self.standards is not UNSET:
            raise ValueError(BOTH_WAYS)
        if any(said is not UNSET and said is not None for said in alone):
            force_setattr(self, "standards", (Certificate(*alone),))
        for name in ("alone_standard", "alone_reference", "alone_type_tested"):
            force_setattr(self, name, UNSET)


class Panel(_Frozen, frozen=True):
    """The data of one panel, as its maker states them under test conditions.

    Coefficients are parts in a million a kelvin, negative where a warmer panel has less.
    """

    voc_mv: Annotated[
        WholeOrUnknown,
        fact(
            "Open-circuit voltage",
            "The voltage of one panel to which nothing is connected.",
            "mV",
            "V",
            headings=("Voc",),
            band=(5_000, 200_000),
            empty="left-out",
        ),
    ] = UNSET
    vmp_mv: Annotated[
        WholeOrUnknown,
        fact(
            "Voltage at most power",
            "The voltage of one panel while it gives its peak power.",
            "mV",
            "V",
            headings=(
                "Vmp",
                "Vmpp",
            ),
            band=(5_000, 200_000),
            empty="left-out",
        ),
    ] = UNSET
    isc_ma: Annotated[
        WholeOrUnknown,
        fact(
            "Short-circuit current",
            "The current of one panel in a short circuit.",
            "mA",
            "A",
            headings=("Isc",),
            band=(500, 30_000),
            empty="left-out",
        ),
    ] = UNSET
    imp_ma: Annotated[
        WholeOrUnknown,
        fact(
            "Current at most power",
            "The current of one panel while it gives its peak power.",
            "mA",
            "A",
            headings=(
                "Imp",
                "Impp",
            ),
            band=(500, 30_000),
            empty="left-out",
        ),
    ] = UNSET
    peak_w: Annotated[
        WholeOrUnknown,
        fact(
            "Peak power of one panel",
            "What one panel gives under test conditions.",
            "Wp",
            "Wp",
            headings=(
                "module power",
                "panel rating",
            ),
            band=(30, 1_000),
            empty="left-out",
        ),
    ] = UNSET
    voc_ppm_k: Annotated[
        Signed | None | UnsetType,
        fact(
            "Coefficient of open-circuit voltage",
            "How the voltage changes with each degree; minus where a warmer panel has less.",
            "ppm/K",
            "%/°C",
            headings=("temperature coefficient of Voc",),
            band=(500, 10_000),
            empty="left-out",
        ),
    ] = UNSET
    isc_ppm_k: Annotated[
        Signed | None | UnsetType,
        fact(
            "Coefficient of short-circuit current",
            "How the current changes with each degree; minus where a warmer panel has less.",
            "ppm/K",
            "%/°C",
            headings=("temperature coefficient of Isc",),
            band=(10, 3_000),
            empty="left-out",
        ),
    ] = UNSET


class PanelString(_Frozen, frozen=True):
    """Like strings on one tracker: panels in series, and how many such strings in parallel."""

    tracker: Annotated[
        WholeOrUnknown,
        fact(
            "Tracker",
            "Which DC input of the inverter they are on, by its number.",
            band=(1, 20),
            most=100,
            empty="left-out",
        ),
    ] = UNSET
    in_series: Annotated[
        WholeOrUnknown,
        fact(
            "In series",
            "How many panels each of these strings has.",
            band=(1, 40),
            most=1_000,
            empty="left-out",
        ),
    ] = UNSET
    in_parallel: Annotated[
        WholeOrUnknown,
        fact(
            "In parallel",
            "How many such strings are joined at this input.",
            band=(1, 20),
            most=1_000,
            empty="left-out",
        ),
    ] = UNSET


class Array(_Frozen, frozen=True):
    """Panels behind a unit: peak power in watts peak, azimuth clockwise from north."""

    unit_id: Annotated[Word, _BEHIND]
    peak_w: Annotated[
        WholeOrUnknown,
        fact(
            "Peak power",
            "What all these panels give together under test conditions.",
            "Wp",
            "kWp",
            headings=("array size", "DC rating", "kWp"),
            band=(100, 500_000),
        ),
    ] = UNSET
    status: Annotated[UnitStatus | None | UnsetType, _STATUS_OF_PART] = UNSET
    panels: Annotated[
        WholeOrUnknown,
        fact(
            "Number of panels",
            "How many panels there are.",
            headings=("panels", "number of modules", "modules"),
            band=(1, 2_000),
        ),
    ] = UNSET
    strings: Annotated[
        Whole | tuple[PanelString, ...] | None | UnsetType,
        fact(
            "Strings",
            "How many strings the panels are wired in, or how many panels each has and where.",
            hint="their number, or one kind a line: tracker; panels in series; strings in "
            "parallel, as in 1; 11; 2",
            band=(1, 200),
        ),
    ] = UNSET
    panel: Annotated[
        Panel | None | UnsetType,
        fact(
            "Data of one panel",
            "What the data sheet says of one of these panels.",
            empty="left-out",
        ),
    ] = UNSET
    tilt_deg: Annotated[
        WholeOrUnknown,
        fact(
            "Tilt",
            "How steep the panels stand: 0 is flat and 90 upright.",
            "degrees",
            "°",
            hint="0 flat, 90 upright",
            headings=("pitch", "inclination"),
            band=(1, 90),
            most=90,
            zero=True,
        ),
    ] = UNSET
    azimuth_deg: Annotated[
        WholeOrUnknown,
        fact(
            "Azimuth",
            "The direction that the panels face, clockwise from north.",
            "degrees",
            "°",
            hint="180 is south",
            headings=("facing", "orientation", "aspect"),
            band=(1, 360),
            most=360,
            zero=True,
        ),
    ] = UNSET
    commissioned_on: Annotated[
        When,
        fact(
            "Commissioning date",
            "The day or the month in which these panels were put to use.",
            hint="day/month/year; if the day is not known, month/year",
            empty="left-out",
            years=YEARS,
        ),
    ] = UNSET


class Storage(_Frozen, frozen=True):
    """Cells behind a unit. `usable_wh` energy; charge and discharge power at the cells."""

    unit_id: Annotated[Word, _BEHIND]
    usable_wh: Annotated[
        WholeOrUnknown,
        fact(
            "Usable energy",
            "How much energy the cells give from full to empty.",
            "Wh",
            "kWh",
            headings=("battery capacity", "usable capacity", "storage capacity"),
            band=(300, 1_000_000),
        ),
    ] = UNSET
    status: Annotated[UnitStatus | None | UnsetType, _STATUS_OF_PART] = UNSET
    charge_w: Annotated[
        WholeOrUnknown,
        fact(
            "Charging power",
            "The most power that goes into the cells.",
            "W",
            "kW",
            headings=("charge rate",),
            band=(100, 500_000),
        ),
    ] = UNSET
    discharge_w: Annotated[
        WholeOrUnknown,
        fact(
            "Discharging power",
            "The most power that comes out of the cells.",
            "W",
            "kW",
            headings=("discharge rate",),
            band=(100, 500_000),
        ),
    ] = UNSET
    charges_from_grid: Annotated[
        YesNo,
        fact(
            "Charges from the network",
            "Whether the cells may be charged with energy bought from the network.",
            noun="charging from the network",
            headings=("charges from grid", "grid charging"),
        ),
    ] = UNSET
    exports: Annotated[
        YesNo,
        fact(
            "Exports to the network",
            "Whether energy from the cells may go out to the network.",
            noun="export to the network",
            headings=("exports to grid", "battery export"),
        ),
    ] = UNSET
    tap: Annotated[
        Tap | None | UnsetType,
        fact(
            "Circuit taken from",
            "Where the circuit of the storage leaves the meter tails.",
            noun="place where the circuit leaves the tails",
            empty="left-out",
            choices=_TAPS,
        ),
    ] = UNSET
    commissioned_on: Annotated[
        When,
        fact(
            "Commissioning date",
            "The day or the month in which these cells were put to use.",
            hint="day/month/year; if the day is not known, month/year",
            empty="left-out",
            years=YEARS,
        ),
    ] = UNSET


class Limit(_Frozen, frozen=True):
    """A limit of a limitation scheme, kept as stated: milliamps per phase, or W or VA in all."""

    value: Annotated[
        Whole | None,
        fact("Limit", "The most that the scheme lets through, as stated.", noun="value", zero=True),
    ]
    basis: Annotated[LimitBasis, _BASIS]
    type_tested: Annotated[
        YesNo,
        fact(
            "Fully type tested",
            "Whether the whole scheme was type tested, not only its parts.",
            noun="whether it is fully type tested",
        ),
    ] = UNSET
    type_test_reference: Annotated[TextOrUnknown, _REFERENCE_OF_TEST] = UNSET
    response_ms: Annotated[
        WholeOrUnknown,
        fact(
            "Responds within",
            "How soon the scheme is back under the limit once it is passed.",
            "ms",
            "s",
            noun="time to respond",
            headings=("response time",),
            band=(10, 60_000),
        ),
    ] = UNSET
    fail_safe: Annotated[
        YesNo,
        fact(
            "Keeps the limit on a fault",
            "Whether the plant keeps the limit when a part or a link is lost.",
            noun="whether it keeps the limit on a fault",
            headings=("fail-safe",),
        ),
    ] = UNSET
    measured_at: Annotated[
        TextOrUnknown,
        fact(
            "Measured at",
            "The place where the scheme measures the current.",
            noun="where it measures",
        ),
    ] = UNSET
    ct_position: Annotated[
        TextOrUnknown,
        fact(
            "Position of the current transformers",
            "Where the current transformers sit, in words.",
            headings=("CT position", "CT clamp"),
        ),
    ] = UNSET
    nets_phases: Annotated[
        YesNo,
        fact(
            "Adds the phases against each other",
            "Whether export on one phase is set off against import on another.",
            noun="whether it nets the phases",
            headings=("net metering of phases",),
        ),
    ] = UNSET
    controls: Annotated[
        Lines,
        fact(
            "Acts on",
            "The units and loads that the scheme turns up or down, by their names.",
            noun="units and loads that it acts on",
            hint="names of units or large loads, one a line",
            headings=("controlled units",),
            empty="left-out",
        ),
    ] = UNSET
    commissioned_on: Annotated[
        Day,
        fact(
            "Proved on",
            "The day on which the scheme was tested on site.",
            noun="day on which it was proved",
            years=YEARS,
        ),
    ] = UNSET


class Limits(_Frozen, frozen=True, rename={"import_": "import"}):
    """The export and the import limit, where there is one."""

    export: Annotated[
        Limit | None | UnsetType,
        fact(
            "Export limit",
            "The limit on what the premises feed into the network.",
            assumed="there is no export limit",
        ),
    ] = UNSET
    import_: Annotated[
        Limit | None | UnsetType,
        fact(
            "Import limit",
            "The limit on what the premises take from the network.",
            assumed="there is no import limit",
        ),
    ] = UNSET


class Cap(_Frozen, frozen=True):
    """What an operator has answered, in the unit that it wrote."""

    on: Annotated[
        Literal["export", "installed"],
        fact(
            "What the operator caps",
            "Whether the answer caps the export or the installed capacity.",
            choices=_CAPPED,
        ),
    ]
    value: Annotated[
        Whole, fact("Cap", "The figure that the operator gave.", noun="value", zero=True)
    ]
    basis: Annotated[LimitBasis, _BASIS]
    from_operator_reference: Annotated[
        TextOrUnknown, fact("Operator's reference", "The operator's own number for its answer.")
    ] = UNSET
    until: Annotated[
        Day,
        fact(
            "Valid until",
            "The last day on which the answer holds.",
            noun="last day",
            years=YEARS,
        ),
    ] = UNSET
    split_equally: Annotated[
        YesNo,
        fact(
            "Each phase its share only",
            "Whether a total on several phases lets each carry its share and no more.",
            noun="whether the phases share it equally",
        ),
    ] = UNSET


class ProtectionSetting(_Frozen, frozen=True):
    """One setting as found or as set: `value` whole in the `unit` named, delay in milliseconds."""

    function: Annotated[Word, fact("Function", "What the setting guards, such as overvoltage.")]
    value: Annotated[Whole, fact("Value", "The figure at which it acts, in the unit named.")]
    unit: Annotated[Word, fact("Unit", "The unit of the figure.")]
    stage: Annotated[
        WholeOrUnknown, fact("Stage", "Which of several stages of the function it is.")
    ] = UNSET
    delay_ms: Annotated[
        WholeOrUnknown, fact("Delay", "How long it waits before it acts.", "ms", "s")
    ] = UNSET


class Protection(_Frozen, frozen=True):
    """A protective device of the schedule."""

    kind: Annotated[
        Word, fact("Device", "What the device is, such as a circuit-breaker.", noun="kind")
    ]
    serves: Annotated[
        TextOrUnknown,
        fact(
            "Serves",
            "What the device protects: a unit, a board or a load, by its name.",
            noun="place",
            hint="a unit, a board or a load",
        ),
    ] = UNSET
    rating_a: Annotated[
        WholeOrUnknown,
        fact("Rating", "The current that the device is rated for.", "A", band=(1, 630)),
    ] = UNSET
    rcd_type: Annotated[
        TextOrUnknown,
        fact("Type of RCD", "Which residual currents it sees: type AC, A, F or B."),
    ] = UNSET
    direction: Annotated[
        TextOrUnknown,
        fact("Direction", "Whether the device may be fed from one side only or from both."),
    ] = UNSET
    settings: Annotated[
        tuple[ProtectionSetting, ...],
        fact(
            "Settings as found",
            "What the device is set to, one function a line.",
            noun="settings",
            hint="one a line: function; stage; value; delay, as in overvoltage; 1; 262.2 V; 1 s",
        ),
    ] = ()
    reference: Annotated[
        TextOrUnknown, fact("Reference", "What the drawing or the schedule calls the device.")
    ] = UNSET
    trip_ma: Annotated[
        WholeOrUnknown,
        fact(
            "Rated residual current",
            "The leakage at which an RCD trips.",
            "mA",
            hint="of an RCD or RCBO",
            band=(10, 500),
            empty="left-out",
        ),
    ] = UNSET
    breaking_a: Annotated[
        WholeOrUnknown,
        fact(
            "Breaking capacity",
            "The largest fault current that the device can break.",
            "A",
            "kA",
            hint="the fault current that it can break",
            band=(1_000, 100_000),
            empty="left-out",
        ),
    ] = UNSET
    breaker_type: Annotated[
        BreakerType | None | UnsetType,
        fact(
            "Type of circuit-breaker",
            "At how many times its rating a circuit-breaker opens at once: type B, C or D.",
            noun="type",
            hint="the letter before its rating",
            headings=("curve", "MCB type", "tripping characteristic"),
            empty="left-out",
            choices=_BREAKER_TYPES,
        ),
    ] = UNSET
    place: Annotated[
        TextOrUnknown,
        fact(
            "Where it is",
            "Where in or at the building the device sits.",
            noun="location",
            headings=("location", "isolator location"),
            empty="left-out",
        ),
    ] = UNSET
    lockable: Annotated[
        YesNo,
        fact(
            "Can be locked off",
            "Whether a lock can hold the device open.",
            noun="whether it can be locked off",
            headings=("lockable",),
            empty="left-out",
        ),
    ] = UNSET


class Cable(_Frozen, frozen=True, rename={"from_": "from"}):
    """A run of cable; `csa_mm2` is a nominal size kept as a label ("2.5")."""

    from_: Annotated[
        Word, fact("From", "The board or place where the cable starts.", noun="beginning")
    ]
    to: Annotated[Word, fact("To", "The board, unit or place where the cable ends.", noun="end")]
    unit_id: Annotated[
        TextOrUnknown, fact("For unit", "The unit that the cable serves.", noun="unit")
    ] = UNSET
    length_mm: Annotated[
        WholeOrUnknown,
        fact("Length", "How long the run is, one way.", "mm", "m", band=(300, 500_000)),
    ] = UNSET
    csa_mm2: Annotated[
        TextOrUnknown,
        fact(
            "Size",
            "The nominal cross-section of one conductor.",
            "mm²",
            headings=("CSA", "conductor size"),
        ),
    ] = UNSET
    protective_mm2: Annotated[
        TextOrUnknown,
        fact(
            "Protective conductor",
            "The nominal cross-section of the conductor to earth, in copper.",
            "mm²",
            noun="size of the protective conductor",
            hint="the conductor to earth, in copper",
            headings=("CPC", "earth conductor", "protective conductor size"),
            empty="left-out",
        ),
    ] = UNSET
    material: Annotated[TextOrUnknown, fact("Conductor", "What the conductors are made of.")] = (
        UNSET
    )
    insulation: Annotated[
        TextOrUnknown,
        fact(
            "Insulation",
            "What the conductors are insulated with, and of which kind the cable is.",
            hint="thermoplastic or thermosetting; armoured, unarmoured, flat or singles",
        ),
    ] = UNSET
    cores: Annotated[
        WholeOrUnknown,
        fact(
            "Cores",
            "How many conductors the cable has, without the one to earth.",
            noun="number of cores",
            band=(1, 5),
            most=100,
        ),
    ] = UNSET
    method: Annotated[
        TextOrUnknown,
        fact(
            "Reference method",
            "How the cable is laid, by the letter or number of the wiring rules.",
            hint="A to E; flat cable in a ceiling or a stud wall: 100 to 103",
        ),
    ] = UNSET
    ambient_c: Annotated[
        WholeOrUnknown,
        fact(
            "Temperature around it",
            "How warm the air or the ground around the cable gets.",
            "celsius",
            "°C",
            hint="empty: 30 in air, 20 in the ground",
            headings=("ambient temperature",),
            band=(5, 60),
            zero=True,
            empty="left-out",
        ),
    ] = UNSET
    grouped: Annotated[
        WholeOrUnknown,
        fact(
            "Circuits run together",
            "How many circuits run together, this one counted.",
            noun="number of circuits run together",
            hint="this one counted",
            band=(1, 20),
            most=1_000,
            empty="left-out",
        ),
    ] = UNSET
    capacity_a: Annotated[
        WholeOrUnknown,
        fact(
            "Current-carrying capacity",
            "The designer's own figure for what the cable carries as it is laid.",
            "A",
            hint="the designer's own figure as laid; empty: from the tables",
            headings=("Iz",),
            band=(5, 1_000),
            empty="left-out",
        ),
    ] = UNSET


class Board(_Frozen, frozen=True):
    """A board: what its assembly is rated for, and the device that feeds it from the supply."""

    id: Annotated[
        Word,
        fact(
            "Board",
            "What the board is called.",
            noun="name",
            hint="the name that units, devices and cables give it",
        ),
    ]
    rating_a: Annotated[
        WholeOrUnknown,
        fact(
            "Rating of the board",
            "The current that the whole assembly is rated for.",
            "A",
            noun="rating",
            hint="of the assembly, from its label",
            headings=("busbar rating",),
            band=(32, 1_600),
            empty="left-out",
        ),
    ] = UNSET
    incoming_a: Annotated[
        WholeOrUnknown,
        fact(
            "Incoming device",
            "The rating of the device that feeds the board from the supply.",
            "A",
            hint="what feeds it from the supply",
            headings=("main switch",),
            band=(16, 1_600),
            empty="left-out",
        ),
    ] = UNSET
    conditional_a: Annotated[
        WholeOrUnknown,
        fact(
            "Conditional fault rating",
            "The fault current that the assembly stands while the cut-out's fuse clears it.",
            "A",
            "kA",
            hint="behind the cut-out's fuse, from its label",
            headings=("conditional short-circuit rating", "Icc"),
            band=(1_000, 100_000),
            empty="left-out",
        ),
    ] = UNSET


class Clamp(_Frozen, frozen=True):
    """A current transformer that clamps round a conductor.

    `serves` is the id of a unit, "export-limit" or "import-limit". It says nothing of a limit's
    `ct_position`, which stays a text.
    """

    id: Annotated[
        Annotated[str, Meta(min_length=1, max_length=60)],
        fact(
            "Name",
            "A short name for the clamp, used once at the premises.",
            hint="leave blank to name automatically",
        ),
    ]
    place: Annotated[
        ClampPlace | None | UnsetType,
        fact(
            "Measures",
            "Which current the clamp measures.",
            noun="current that it measures",
            headings=("CT location",),
            choices=_CLAMP_PLACES,
        ),
    ] = UNSET
    serves: Annotated[
        TextOrUnknown,
        fact(
            "Read by",
            "The unit or the limit that uses what the clamp measures.",
            noun="unit or limit that reads it",
            hint="a unit's name, export limit or import limit",
            choices=_READERS,
        ),
    ] = UNSET
    phase: Annotated[
        Phase | None | UnsetType,
        fact("Phase", "The phase whose conductor the clamp sits round.", choices=_PHASES),
    ] = UNSET
    direction: Annotated[
        ClampDirection | None | UnsetType,
        fact(
            "Arrow points",
            "Which way the arrow on the clamp points.",
            noun="direction of the arrow",
            headings=("CT direction",),
            choices=_DIRECTIONS,
        ),
    ] = UNSET
    link: Annotated[
        ClampLink | None | UnsetType,
        fact("Link", "How the signal of the clamp travels.", choices=_LINKS),
    ] = UNSET


class Load(_Frozen, frozen=True):
    """One load that matters to the connection: a charge point, a heat pump."""

    name: Annotated[Word, fact("Load", "What the load is.", noun="name")]
    w: Annotated[
        WholeOrUnknown,
        fact("Power", "The most power that the load takes.", "W", "kW", band=(300, 200_000)),
    ] = UNSET
    phases: Annotated[
        tuple[Phase, ...] | None | UnsetType, fact("Phases", "The phases that the load is on.")
    ] = UNSET
    controllable: Annotated[
        YesNo,
        fact(
            "Can be turned down",
            "Whether a control can turn the load down.",
            hint="that alone is no limitation scheme",
            noun="ability to be turned down",
            headings=("controllable",),
        ),
    ] = UNSET
    kind: Annotated[
        LoadKind | None | UnsetType,
        fact(
            "Kind of load",
            "What sort of load it is; a guide counts each sort differently.",
            noun="kind",
            empty="left-out",
            choices=_LOAD_KINDS,
        ),
    ] = UNSET
    status: Annotated[
        Literal["existing", "proposed"] | None | UnsetType,
        fact(
            "Status",
            "Whether the load is there or is proposed; the network operator is told of new ones.",
            noun="status (existing or proposed)",
            assumed="proposed",
            default="proposed",
        ),
    ] = UNSET


class Loads(_Frozen, frozen=True):
    """The demand of the site: assessed or measured, and its large items."""

    assessed_demand_va: Annotated[
        WholeOrUnknown,
        fact(
            "Maximum demand",
            "The most that the premises take at one time.",
            "VA",
            "kVA",
            headings=("assessed demand", "after diversity maximum demand"),
            band=(500, 5_000_000),
            zero=True,
        ),
    ] = UNSET
    measured: Annotated[
        YesNo,
        fact(
            "How the demand was found",
            "Whether the demand was measured, or worked out.",
            choices=(("yes", "measured"), ("no", "worked out")),
        ),
    ] = UNSET
    items: Annotated[
        tuple[Load, ...],
        fact("Large loads", "Loads that matter to the connection, one by one."),
    ] = ()


class Network(_Frozen, frozen=True):
    """What is assumed of the network: voltage at the supply terminals, phase to neutral."""

    assumed_voltage_mv: Annotated[
        WholeOrUnknown,
        fact(
            "Assumed network voltage, phase to neutral",
            "The voltage at the supply terminals that the checks begin from.",
            "mV",
            "V",
            noun="assumed network voltage",
            band=(200_000, 260_000),
        ),
    ] = UNSET


class Override(_Frozen, frozen=True):
    """An engineer's figure in place of a default of the rulebook: its key, a whole number in the
    unit of that value, below zero for a temperature alone, and why."""

    key: Annotated[
        Word,
        fact(
            "In place of the",
            "The value of the rulebook that it stands in place of.",
            noun="value that it stands in place of",
        ),
    ]
    value: Annotated[
        Signed,
        fact(
            "Figure",
            "The engineer's own figure.",
            noun="own figure",
            hint="with its unit, as in 70 °C",
        ),
    ]
    reason: Annotated[
        Word,
        fact("Reason", "Why this figure holds here.", noun="why there is an own figure"),
    ]
    unit: Annotated[
        TextOrUnknown,
        fact("Unit", "The unit of the figure; left out, that of the default.", empty="left-out"),
    ] = UNSET


class Nearby(_Frozen, frozen=True):
    """Other premises where this firm commissioned or plans to commission micro-generation inside
    the rulebook's distance and days, whoever the customer."""

    premises: Annotated[
        WholeOrUnknown,
        fact(
            "Other premises of the firm near by",
            "At how many other premises near by the firm fits or plans plant.",
            hint="where we fitted or plan plant inside the distance and days of the rules",
            band=(1, 50),
            assumed="no other premises of the firm near by",
            default=0,
            empty="null",
        ),
    ] = UNSET
    origin: Annotated[
        Literal["typed", "found"] | None | UnsetType,
        fact(
            "How they are known",
            "Whether somebody typed the number or the program found it.",
            noun="how the other premises near by are known",
        ),
    ] = UNSET


class Site(_Frozen, frozen=True):
    """One premises with its existing and proposed plant: the whole of a site file."""

    format: Annotated[
        Literal["site/1"], fact("Format", "Says that this is a site file, and of which form.")
    ]
    reference: Annotated[
        Word,
        fact(
            "Reference",
            "The firm's own name for the case.",
            hint="your own name for the case; it stands on everything that is sent",
            headings=("job number", "case number", "project"),
        ),
    ]
    on_date: Annotated[
        dt.date,
        fact(
            "Date of the rules",
            "The day whose rules the site is decided under.",
            hint="day/month/year; empty: today",
            years=YEARS,
        ),
    ]
    supply: Annotated[Supply, fact("Supply", "The connection of the premises to the network.")]
    units: Annotated[
        Annotated[tuple[Unit, ...], Meta(min_length=1, max_length=1000)],
        fact("Units", "All generating units, existing, proposed and removed."),
    ]
    planned_on: Annotated[
        Day,
        fact(
            "Planned date",
            "The day on which the work is to be commissioned.",
            headings=("planned commissioning date",),
            empty="left-out",
            years=YEARS,
        ),
    ] = UNSET
    parties: Annotated[
        Parties | None | UnsetType,
        fact("Parties", "Whose premises it is, who asks, and who installs.", personal=True),
    ] = UNSET
    premises: Annotated[
        Premises | None | UnsetType, fact("Premises", "Where the plant stands.")
    ] = UNSET
    arrays: Annotated[
        tuple[Array, ...], fact("Panels", "The panels behind each unit.", noun="panels")
    ] = ()
    storage: Annotated[
        tuple[Storage, ...], fact("Cells", "The storage cells behind each unit.")
    ] = ()
    limits: Annotated[
        Limits | None | UnsetType,
        fact("Limits", "What a limitation scheme holds export or import to."),
    ] = UNSET
    caps: Annotated[
        tuple[Cap, ...],
        fact("Operator's answers", "What the network operator has capped, in its own figures."),
    ] = ()
    protection: Annotated[
        tuple[Protection, ...],
        fact("Schedule of protection", "The protective devices of the plant."),
    ] = ()
    cables: Annotated[
        tuple[Cable, ...], fact("Cables", "The runs of cable that the checks follow.")
    ] = ()
    loads: Annotated[
        Loads | None | UnsetType,
        fact("Demand", "What the premises take from the supply."),
    ] = UNSET
    network: Annotated[
        Network | None | UnsetType,
        fact(
            "Network",
            "What is assumed of the network at the supply terminals.",
            noun="assumptions about the network",
        ),
    ] = UNSET
    nearby: Annotated[
        Nearby | None | UnsetType,
        fact(
            "Near by",
            "Other premises near by where the firm fits or plans plant.",
            noun="other premises of the firm near by",
        ),
    ] = UNSET
    boards: Annotated[
        tuple[Board, ...] | None | UnsetType,
        fact("Boards", "The boards that units and cables name."),
    ] = UNSET
    clamps: Annotated[
        tuple[Clamp, ...] | None | UnsetType,
        fact("Current clamps", "The current transformers that units and limits read."),
    ] = UNSET
    overrides: Annotated[
        tuple[Override, ...] | None | UnsetType,
        fact("Own figures", "An engineer's figures in place of defaults of the rulebook."),
    ] = UNSET
