"""Data items of the case, its parties, the premises and the supply."""

from collections.abc import Callable
from typing import Any

from msgspec import UNSET, Struct

from connections.facts.declaring import declared
from connections.facts.defaults import phases_now, rating
from connections.facts.reading import party
from connections.facts.site import (
    Nearby,
    Parties,
    Party,
    Premises,
    Site,
    Supply,
    SupplyNumber,
    Unit,
)
from connections.facts.supply_number import SupplyNumberError, read_core
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.figures import long_date, when_words
from connections.pack.items.types import (
    LARGE,
    DataItem,
    always,
    item_of,
    label_of,
)


def _of_party(role: str, field: str) -> Callable[[Case], Cell]:
    def read(case: Case) -> Cell:
        found = party(case.site, role)
        if found is None:
            return NOT_KNOWN
        value = getattr(found, field)
        return cells.lines(value) if field == "address_lines" else cells.words(value)

    return read


def _has_party(role: str) -> Callable[[Case], bool]:
    return lambda case: party(case.site, role) is not None


def _party_items(role: str, group: str) -> tuple[DataItem, ...]:
    """Name, role, registration, address, telephone and e-mail of one party."""
    fields = ("name", "role", "registration", "address_lines", "phone", "email")
    # A customer has no registration, and an applicant may be left out.
    return tuple(
        item_of(
            Party,
            field,
            group,
            _of_party(role, field),
            id=f"{role}.{field}",
            label=label_of(Party, field, declared(Parties)[role].label),
            path=f"parties.{role}.{field}",
            applies=_has_party(role) if role == "applicant" else always,
        )
        for field in fields
        if (role, field) not in (("customer", "registration"), ("installer", "role"))
    )


def _consent(case: Case) -> Cell:
    parties = case.site.parties
    if parties is UNSET or parties is None:
        return NOT_KNOWN
    return cells.yes_no(parties.owner_consent)


def _premises(field: str) -> Callable[[Case], Cell]:
    def read(case: Case) -> Cell:
        if case.premises is None:
            return NOT_KNOWN
        value = getattr(case.premises, field)
        return cells.lines(value) if field == "address_lines" else cells.words(value)

    return read


def _nation(case: Case) -> Cell:
    if case.premises is None or not isinstance(case.premises.nation, str):
        return NOT_KNOWN
    return Cell(text=case.premises.nation.replace("_", " ").title())


def _grid_reference(case: Case) -> Cell:
    place = case.premises
    if place is None or not isinstance(place.easting, int) or not isinstance(place.northing, int):
        return NOT_KNOWN
    grid = {"osgb": "British grid", "irish": "Irish grid"}.get(str(place.grid), "grid not known")
    return Cell(text=f"{place.easting} m east, {place.northing} m north ({grid})")


def _supply_number(use: str) -> Callable[[Case], Cell]:
    def read(case: Case) -> Cell:
        numbers = case.premises.supply_numbers if case.premises is not None else ()
        found = []
        for number in numbers:
            if number.use == use:
                try:
                    found.append(str(read_core(number.value, number.scheme)))
                except SupplyNumberError:
                    found.append(f"{number.value} (its check digit does not fit)")
        none = Cell(text="none yet") if use == "export" and numbers else NOT_KNOWN
        return Cell(text="\n".join(found)) if found else none

    return read


def _area(case: Case) -> Cell:
    area = next((area for area in case.book.areas if area.id == case.decision.area), None)
    if area is None:
        return cells.words(case.decision.area)
    if area.independent:
        return Cell(text=area.name)
    return Cell(text=f"Distribution network operator, {area.name} ({area.id})")


def _phases(case: Case) -> Cell:
    names = dict(declared(Supply)["phases"].choices)
    now = phases_now(case.site)
    changed = f"; {names[str(now)]} now, the new supply to be asked for" if now is not None else ""
    return Cell(text=f"{names[str(case.site.supply.phases)]}{changed}")


def _supply(field: str, decimals: int = 0) -> Callable[[Case], Cell]:
    return lambda case: cells.rated(getattr(case.site.supply, field), decimals)


def _supply_yes_no(field: str) -> Callable[[Case], Cell]:
    return lambda case: cells.yes_no(getattr(case.site.supply, field))


def _voltage(case: Case) -> Cell:
    """Nominal voltage and level of the supply, as one value."""
    supply: Supply = case.site.supply
    names = dict(declared(Supply)["voltage_level"].choices)
    volts, level = supply.nominal_v, supply.voltage_level
    if volts is None or level is None:
        return NOT_KNOWN
    said = f"{230 if volts is UNSET else volts} V, {names['LV' if level is UNSET else level]}"
    return cells.assumed(Cell(text=said)) if UNSET in (volts, level) else Cell(text=said)


def _wanted(which: str) -> Callable[[Case], Cell]:
    """The capacity wanted: as agreed; else, assumed, what the cut-out or the export figure is.

    Larger plant names both itself.
    """

    def read(case: Case) -> Cell:
        agreed = cells.rated(getattr(case.site.supply, f"{which}_capacity_va"), 3)
        if agreed.text is not None or case.procedure in LARGE:
            return agreed
        if which == "export":
            return cells.assumed(cells.whole(case.decision.export_w, 3))
        fuse = rating(case.site.supply.cutout_a)
        if fuse is None:
            return NOT_KNOWN
        phases = len(case.decision.per_phase_ma)
        return cells.assumed(cells.whole(fuse * case.nominal_mv * phases, 6))

    return read


def _earthing(case: Case) -> Cell:
    found = case.site.supply.earthing
    return NOT_KNOWN if found == "unknown" else cells.words(found)


def _nearby(case: Case) -> Cell:
    nearby = case.site.nearby
    if nearby is UNSET or (nearby is not None and nearby.premises is UNSET):
        return cells.assumed(Cell(text="none"))
    if nearby is None or nearby.premises is None:
        return NOT_KNOWN
    return Cell(text=str(nearby.premises) if nearby.premises else "none")


def _planned_on(case: Case) -> Cell:
    if isinstance(case.site.planned_on, type(case.site.on_date)):
        return Cell(text=long_date(case.site.planned_on))
    days = [u.planned_on for u in case.subjects if isinstance(u.planned_on, type(case.prepared_on))]
    return Cell(text=long_date(max(days))) if days else NOT_KNOWN


def _commissioned_on(case: Case) -> Cell:
    days = {unit.commissioned_on for unit in case.subjects}
    known = [day for day in days if isinstance(day, str)]
    if not known or len(known) != len(days):
        return NOT_KNOWN
    return Cell(text=", ".join(when_words(day) for day in sorted(known)))


def _before(case: Case) -> bool:
    return not case.after_the_work


def _after(case: Case) -> bool:
    return case.after_the_work


def _item(
    part: type[Struct],
    name: str,
    read: Callable[[Case], Cell],
    group: str = "premises",
    **more: Any,
) -> DataItem:
    """An item whose id names its part of the site file."""
    return item_of(part, name, group, read, **{"id": f"{part.__name__.lower()}.{name}", **more})


def _number_item(use: str, **more: Any) -> DataItem:
    label = f"{use.capitalize()} MPAN"
    id = f"premises.{use}_number"
    path = "premises.supply_numbers"
    return _item(SupplyNumber, "value", _supply_number(use), id=id, label=label, path=path, **more)


CASE_ITEMS: tuple[DataItem, ...] = (
    _item(
        Site,
        "on_date",
        lambda case: Cell(text=long_date(case.site.on_date)),
        "case",
        id="case.sending_on",
    ),
    _item(
        Site,
        "planned_on",
        _planned_on,
        "case",
        id="case.planned_on",
        label="Planned for",
        applies=_before,
    ),
    _item(
        Unit,
        "commissioned_on",
        _commissioned_on,
        "case",
        id="case.commissioned_on",
        label="Commissioned on",
        path="units",
        applies=_after,
    ),
    _item(Premises, "licence_area", _area, "case", id="case.area", label="To"),
    _item(Nearby, "premises", _nearby, "case", id="case.nearby"),
    *_party_items("customer", "customer"),
    _item(
        Parties,
        "owner_consent",
        _consent,
        "customer",
        id="customer.owner_consent",
    ),
    *_party_items("applicant", "installer"),
    *_party_items("installer", "installer"),
    _item(Premises, "name", _premises("name"), label="Name of the place"),
    _item(Premises, "address_lines", _premises("address_lines")),
    _item(Premises, "postcode", _premises("postcode")),
    _item(Premises, "nation", _nation),
    DataItem("premises.grid", "premises", "Grid reference", _grid_reference, personal=True),
    _number_item("import"),
    _number_item("export"),
    _item(Premises, "metering", _premises("metering")),
    _item(Premises, "feeder", _premises("feeder")),
    _item(Premises, "access", _premises("access")),
    _item(Supply, "phases", _phases, label="Phases"),
    _item(Supply, "nominal_v", _voltage, label="Voltage", unit=""),
    _item(Supply, "cutout_a", _supply("cutout_a"), label="Cut-out"),
    _item(Supply, "earthing", _earthing),
    _item(Supply, "looped", _supply_yes_no("looped")),
    _item(Supply, "import_capacity_va", _wanted("import"), label="Import capacity"),
    _item(Supply, "export_capacity_va", _wanted("export"), label="Export capacity"),
    _item(
        Supply,
        "loop_impedance_uohm",
        _supply("loop_impedance_uohm", 6),
        label="Loop impedance",
        unit="Ω",
    ),
    _item(Supply, "prospective_fault_a", _supply("prospective_fault_a"), label="Fault current"),
    _item(
        Supply,
        "voltage_optimiser",
        _supply_yes_no("voltage_optimiser"),
        label="Voltage optimiser",
    ),
)
