"""A site file made into rows, so that a premises can begin from a file."""

from typing import Any

from msgspec import UNSET, Struct, UnsetType

from connections.facts import site as facts
from connections.facts.declaring import declared
from connections.facts.defaults import known, phases_now, status_of
from connections.facts.site import Site
from sites.people.models import Person
from sites.premises.models import (
    OVERRIDABLE,
    ApplicationLine,
    Array,
    Board,
    Cable,
    Cap,
    Cells,
    Design,
    Limit,
    Load,
    Override,
    Party,
    Premises,
    Protection,
    Supply,
    SupplyNumber,
    Unit,
)
from sites.premises.reading.site_rows import SiteRows, plain_from, rows_for, site_from
from sites.premises.writing.sheet import create_premises

PARTS = ("customer", "applicant", "installer")


def import_premises(site: Site, *, by: Person | None) -> ApplicationLine:
    """Create the premises of a site file with its application and the one design that it proposes.

    Raises ReferenceTakenError where a premises or an application has the reference already.
    """
    return create_premises(rows=rows_from_site(site), by=by)


def rows_from_site(site: Site) -> SiteRows:
    """The rows of a site file, not saved."""
    now = phases_now(site)
    rows = SiteRows(premises=_premises(site), supply=_supply(site.supply, now))
    if now is not None:
        # What else is known of the supply is said of both: a site file has it once.
        rows.new_supply = _supply(site.supply)
    if isinstance(site.parties, Struct):
        rows.premises.owner_consent = known(site.parties.owner_consent)
        for part in PARTS:
            party = getattr(site.parties, part)
            if isinstance(party, facts.Party):
                rows.parties.append(_party(part, party))
    if isinstance(site.premises, facts.Premises):
        rows.numbers = [
            SupplyNumber(use=number.use, scheme=number.scheme, value=number.value)
            for number in site.premises.supply_numbers
        ]
    rows.caps = [
        Cap(
            on=cap.on,
            value=cap.value,
            basis=cap.basis,
            from_operator_reference=_text(cap.from_operator_reference),
            until=known(cap.until),
            split_equally=known(cap.split_equally),
        )
        for cap in site.caps
    ]
    rows.overrides = [_override(override) for override in known(site.overrides) or ()]
    _add_plant(site, rows)
    return rows


def not_kept(site: Site, design: Design) -> list[str]:
    """Paths of the site file whose facts have no row to live in, or came out otherwise.

    An unknown fact (null) and one left out are the same, except where the site file has a default.
    """
    again = site_from(plain_from(rows_for(design.premises, design)))
    found: list[str] = []
    _compare(site, again, "", found)
    return found


_DEFAULTED = {
    name: fact.default
    for kind in (facts.Unit, facts.Supply)
    for name, fact in declared(kind).items()
    if fact.assumed
}
"""Fields in which "left out" and "unknown" differ, with what "left out" means."""


def _compare(old: Any, new: Any, path: str, found: list[str]) -> None:
    """Add the paths at which two parts of a site file do not say the same."""
    if isinstance(old, Struct) and isinstance(new, Struct):
        for name in old.__struct_fields__:
            before, after = getattr(old, name), getattr(new, name)
            if name == "status":
                # Left out, it is that of the unit, or proposed; rows always say it.
                before = after if known(before) is None else before
            elif name == "unit" and isinstance(old, facts.Override):
                # Left out, it is that of the default; rows always say it.
                before = after if known(before) is None else before
            elif name in _DEFAULTED:
                before = _DEFAULTED[name] if before is UNSET else before
                after = _DEFAULTED[name] if after is UNSET else after
            else:
                before, after = known(before), known(after)
            _compare(before, after, f"{path}.{name}" if path else name, found)
    elif isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new):
        _compare_lists(old, new, path, found)
    elif old != new and not (_says_nothing(old) and _says_nothing(new)):
        found.append(path)


def _compare_lists(old: tuple[Any, ...], new: tuple[Any, ...], path: str, found: list[str]) -> None:
    """Rows come out with existing plant first, so each entry is compared with its like."""
    left = list(new)
    for i, before in enumerate(old):
        faults: list[list[str]] = []
        for after in left:
            differing: list[str] = []
            _compare(before, after, f"{path}[{i}]", differing)
            faults.append(differing)
        nearest = min(range(len(left)), key=lambda place: len(faults[place]))
        found += faults[nearest]
        del left[nearest]


def _says_nothing(value: Any) -> bool:
    """A part of a site file in which no fact stands."""
    if value is None or value == () or value == "":
        return True
    return isinstance(value, Struct) and all(
        _says_nothing(known(getattr(value, name))) for name in value.__struct_fields__
    )


def _premises(site: Site) -> Premises:
    place = site.premises if isinstance(site.premises, facts.Premises) else facts.Premises()
    nearby = site.nearby if isinstance(site.nearby, facts.Nearby) else None
    asked = nearby is not None and nearby.premises is not UNSET
    loads = site.loads if isinstance(site.loads, facts.Loads) else facts.Loads()
    network = site.network if isinstance(site.network, facts.Network) else facts.Network()
    return Premises(
        reference=site.reference,
        name=_text(place.name),
        address_lines=_lines(place.address_lines),
        postcode=_text(place.postcode),
        nation=_text(place.nation),
        licence_area=_text(place.licence_area),
        easting=known(place.easting),
        northing=known(place.northing),
        grid=_text(place.grid),
        metering=_text(place.metering),
        feeder=_text(place.feeder),
        planned_on=known(site.planned_on),
        on_date=site.on_date,
        assessed_demand_va=known(loads.assessed_demand_va),
        loads_measured=known(loads.measured),
        assumed_voltage_mv=known(network.assumed_voltage_mv),
        nearby_asked=asked,
        nearby_premises=known(nearby.premises) if nearby is not None else None,
    )


def _party(part: str, party: facts.Party) -> Party:
    return Party(
        part=part,
        name=_text(party.name),
        role=_text(party.role),
        address_lines=_lines(party.address_lines),
        email=_text(party.email),
        phone=_text(party.phone),
        registration=_text(party.registration),
    )


def _supply(supply: facts.Supply, phases: int | None = None) -> Supply:
    return Supply(
        phases=phases or supply.phases,
        nominal_v=known(supply.nominal_v),
        voltage_level=_text(supply.voltage_level),
        cutout_a=known(supply.cutout_a),
        earthing=_text(supply.earthing),
        looped=known(supply.looped),
        import_capacity_va=known(supply.import_capacity_va),
        export_capacity_va=known(supply.export_capacity_va),
        loop_impedance_uohm=known(supply.loop_impedance_uohm),
        prospective_fault_a=known(supply.prospective_fault_a),
        voltage_optimiser=known(supply.voltage_optimiser),
    )


def _override(override: facts.Override) -> Override:
    default = OVERRIDABLE.get(override.key)
    unit = _text(override.unit) or (default.unit if default else "")
    return Override(default=override.key, value=override.value, unit=unit, reason=override.reason)


def _add_plant(site: Site, rows: SiteRows) -> None:
    standing: dict[str, str] = {}
    for unit in site.units:
        row = _unit(unit)
        status = standing[unit.id] = status_of(unit)
        (rows.proposed if status == "proposed" else rows.existing).units.append(row)
        if status == "removed":
            rows.removed.add(row.key)

    def of(unit_id: str | None | UnsetType, own: str | None | UnsetType = None) -> Any:
        """The part that panels, cells or a device belong to: their own word, or their unit's."""
        status = own if isinstance(own, str) else standing.get(str(unit_id), "proposed")
        return rows.proposed if status == "proposed" else rows.existing

    for array in site.arrays:
        of(array.unit_id, array.status).arrays.append(_array(array))
    for cells in site.storage:
        of(cells.unit_id, cells.status).cells.append(_cells(cells))
    for device in site.protection:
        of(device.serves).protection.append(_protection(device))
    for cable in site.cables:
        of(cable.unit_id).cables.append(_cable(cable))
    rows.existing.boards = [_board(board) for board in known(site.boards) or ()]
    if isinstance(site.loads, facts.Loads):
        rows.existing.loads = [_load(load) for load in site.loads.items]
    if isinstance(site.limits, facts.Limits):
        for on, limit in (("export", site.limits.export), ("import", site.limits.import_)):
            if isinstance(limit, facts.Limit):
                stated = _limit(on, limit)
                (rows.existing if stated.commissioned_on else rows.proposed).limits.append(stated)


def _unit(unit: facts.Unit) -> Unit:
    return Unit(
        label=unit.id,
        kind=_text(unit.kind),
        source=unit.source,
        maker=_text(unit.maker),
        model=_text(unit.model),
        quantity=known(unit.quantity),
        rated_w=unit.rated_w,
        design_w=known(unit.design_w),
        rated_va=known(unit.rated_va),
        rated_ma=known(unit.rated_ma),
        q_var=known(unit.q_var),
        phases=" ".join(unit.phases),
        type_tested=_text(unit.type_tested),
        standard=_text(unit.standard),
        type_test_reference=_text(unit.type_test_reference),
        commissioned_on=known(unit.commissioned_on),
        planned_on=known(unit.planned_on),
        limited_by=_text(unit.limited_by),
        # Left out, a site file means no; a row without an answer means "not known".
        can_island=False if unit.can_island is UNSET else unit.can_island,
        serials=_lines(unit.serials),
        feeds_from=_text(unit.feeds_from),
        operating_mode=_text(unit.operating_mode),
        emission_standards=_names(unit.emission_standards),
        max_impedance_uohm=known(unit.max_impedance_uohm),
        dc_input_w=known(unit.dc_input_w),
    )


def _array(array: facts.Array) -> Array:
    return Array(
        unit_id=array.unit_id,
        peak_w=known(array.peak_w),
        panels=known(array.panels),
        strings=known(array.strings),
        tilt_deg=known(array.tilt_deg),
        azimuth_deg=known(array.azimuth_deg),
    )


def _cells(cells: facts.Storage) -> Cells:
    return Cells(
        unit_id=cells.unit_id,
        usable_wh=known(cells.usable_wh),
        charge_w=known(cells.charge_w),
        discharge_w=known(cells.discharge_w),
        charges_from_grid=known(cells.charges_from_grid),
        exports=known(cells.exports),
    )


def _board(board: facts.Board) -> Board:
    return Board(label=board.id, rating_a=known(board.rating_a), incoming_a=known(board.incoming_a))


def _protection(device: facts.Protection) -> Protection:
    return Protection(
        kind=device.kind,
        serves=_text(device.serves),
        rating_a=known(device.rating_a),
        rcd_type=_text(device.rcd_type),
        direction=_text(device.direction),
        reference=_text(device.reference),
        trip_ma=known(device.trip_ma),
        breaking_a=known(device.breaking_a),
        settings=[
            {
                name: value
                for name in setting.__struct_fields__
                if (value := known(getattr(setting, name))) is not None
            }
            for setting in device.settings
        ],
    )


def _cable(cable: facts.Cable) -> Cable:
    return Cable(
        from_board=cable.from_,
        to_board=cable.to,
        unit_id=_text(cable.unit_id),
        length_mm=known(cable.length_mm),
        csa_mm2=_text(cable.csa_mm2),
        material=_text(cable.material),
        insulation=_text(cable.insulation),
        cores=known(cable.cores),
        method=_text(cable.method),
        ambient_c=known(cable.ambient_c),
        grouped=known(cable.grouped),
        capacity_a=known(cable.capacity_a),
    )


def _load(load: facts.Load) -> Load:
    return Load(
        name=load.name,
        w=known(load.w),
        phases=" ".join(known(load.phases) or ()),
        controllable=known(load.controllable),
        kind=_text(load.kind),
    )


def _limit(on: str, limit: facts.Limit) -> Limit:
    return Limit(
        on=on,
        value=limit.value,
        basis=limit.basis,
        type_tested=known(limit.type_tested),
        type_test_reference=_text(limit.type_test_reference),
        response_ms=known(limit.response_ms),
        fail_safe=known(limit.fail_safe),
        measured_at=_text(limit.measured_at),
        ct_position=_text(limit.ct_position),
        nets_phases=known(limit.nets_phases),
        commissioned_on=known(limit.commissioned_on),
    )


def _text(value: str | None | UnsetType) -> str:
    return value if isinstance(value, str) else ""


def _names(value: tuple[str, ...] | None | UnsetType) -> list[str] | None:
    return list(value) if isinstance(value, tuple) else None


def _lines(value: tuple[str, ...] | None | UnsetType) -> str:
    return "\n".join(value) if isinstance(value, tuple) else ""
