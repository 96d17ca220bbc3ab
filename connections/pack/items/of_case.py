"""Data items of the case, its parties, the premises and the supply."""

from collections.abc import Callable

from msgspec import UNSET

from connections.facts.defaults import phases_now
from connections.facts.reading import party
from connections.facts.site import Supply
from connections.facts.supply_number import SupplyNumberError, read_core
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.figures import long_date
from connections.pack.items.types import AFTER, BEFORE, EVERY, LARGE, DataItem, always


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


def _party_items(role: str, group: str, label: str) -> tuple[DataItem, ...]:
    """Name, role, registration, address, telephone and e-mail of one party."""
    fields: tuple[tuple[str, str, tuple[str, ...]], ...] = (
        ("name", "name", EVERY if role != "applicant" else ()),
        ("role", "role", ()),
        ("registration", "registration", EVERY if role == "installer" else ()),
        ("address_lines", "address", EVERY if role == "installer" else ()),
        ("phone", "telephone", EVERY if role != "applicant" else ()),
        ("email", "e-mail", EVERY if role == "installer" else ()),
    )
    # A customer has no registration, and an applicant may be left out.
    return tuple(
        DataItem(
            id=f"{role}.{field}",
            group=group,
            label=f"{label}: {name}",
            read=_of_party(role, field),
            needed_for=needed,
            personal=True,
            applies=_has_party(role) if role == "applicant" else always,
        )
        for field, name, needed in fields
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
        return Cell(text="\n".join(found)) if found else NOT_KNOWN

    return read


def _area(case: Case) -> Cell:
    area = next((area for area in case.book.areas if area.id == case.decision.area), None)
    if area is None:
        return cells.words(case.decision.area)
    return Cell(text=f"{area.name} ({area.id})")


def _phases(case: Case) -> Cell:
    names = {
        1: "single-phase",
        2: "split single-phase (L1 and L2)",
        3: "three-phase",
    }
    now = phases_now(case.site)
    changed = f"; {names[now]} now, the new supply to be asked for" if now is not None else ""
    return Cell(text=f"{names[case.site.supply.phases]}{changed}")


def _supply(field: str, decimals: int = 0) -> Callable[[Case], Cell]:
    return lambda case: cells.rated(getattr(case.site.supply, field), decimals)


def _supply_yes_no(field: str) -> Callable[[Case], Cell]:
    return lambda case: cells.yes_no(getattr(case.site.supply, field))


def _nominal(case: Case) -> Cell:
    supply: Supply = case.site.supply
    if supply.nominal_v is UNSET:
        return cells.assumed(Cell(text="230"))
    return cells.rated(supply.nominal_v, 0)


def _voltage_level(case: Case) -> Cell:
    level = case.site.supply.voltage_level
    names = {"LV": "low voltage", "HV": "high voltage"}
    if level is UNSET:
        return cells.assumed(Cell(text=names["LV"]))
    return cells.words(level, names)


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
    known = [day for day in days if isinstance(day, type(case.prepared_on))]
    if not known or len(known) != len(days):
        return NOT_KNOWN
    return Cell(text=", ".join(long_date(day) for day in sorted(known)))


def _before(case: Case) -> bool:
    return not case.after_the_work


def _after(case: Case) -> bool:
    return case.after_the_work


CASE_ITEMS: tuple[DataItem, ...] = (
    DataItem(
        "case.sending_on",
        "case",
        "Date that the rules are taken for",
        lambda case: Cell(text=long_date(case.site.on_date)),
    ),
    DataItem(
        "case.planned_on",
        "case",
        "Planned date of commissioning",
        _planned_on,
        needed_for=("application",),
        applies=_before,
    ),
    DataItem(
        "case.commissioned_on",
        "case",
        "Date of commissioning",
        _commissioned_on,
        needed_for=AFTER,
        applies=_after,
    ),
    DataItem("case.area", "case", "Licence area", _area, needed_for=EVERY),
    DataItem("case.nearby", "case", "Other premises of the same firm near by", _nearby),
    *_party_items("customer", "customer", "Customer"),
    DataItem(
        "customer.owner_consent", "customer", "Consent of the owner", _consent, needed_for=BEFORE
    ),
    *_party_items("applicant", "installer", "Applicant"),
    *_party_items("installer", "installer", "Installer"),
    DataItem("premises.name", "premises", "Name of the premises", _premises("name"), personal=True),
    DataItem(
        "premises.address_lines",
        "premises",
        "Address",
        _premises("address_lines"),
        needed_for=EVERY,
        personal=True,
    ),
    DataItem(
        "premises.postcode",
        "premises",
        "Postcode",
        _premises("postcode"),
        needed_for=EVERY,
        personal=True,
    ),
    DataItem("premises.nation", "premises", "Nation", _nation),
    DataItem("premises.grid", "premises", "Grid reference", _grid_reference, personal=True),
    DataItem(
        "premises.import_number",
        "premises",
        "Import supply number",
        _supply_number("import"),
        needed_for=EVERY,
        personal=True,
    ),
    DataItem(
        "premises.export_number",
        "premises",
        "Export supply number",
        _supply_number("export"),
        personal=True,
    ),
    DataItem("premises.metering", "premises", "Metering", _premises("metering")),
    DataItem("premises.feeder", "premises", "Feeder", _premises("feeder")),
    DataItem("supply.phases", "premises", "Phases of the supply", _phases, needed_for=EVERY),
    DataItem(
        "supply.nominal_v", "premises", "Nominal voltage, phase to neutral", _nominal, unit="V"
    ),
    DataItem("supply.voltage_level", "premises", "Voltage level", _voltage_level),
    DataItem(
        "supply.cutout_a",
        "premises",
        "Rating of the cut-out",
        _supply("cutout_a"),
        unit="A",
        needed_for=EVERY,
    ),
    DataItem("supply.earthing", "premises", "Earthing", _earthing, needed_for=EVERY),
    DataItem(
        "supply.looped",
        "premises",
        "Looped service",
        _supply_yes_no("looped"),
        needed_for=EVERY,
    ),
    DataItem(
        "supply.import_capacity_va",
        "premises",
        "Agreed import capacity",
        _supply("import_capacity_va", 3),
        unit="kVA",
        needed_for=LARGE,
    ),
    DataItem(
        "supply.export_capacity_va",
        "premises",
        "Agreed export capacity",
        _supply("export_capacity_va", 3),
        unit="kVA",
        needed_for=LARGE,
    ),
    DataItem(
        "supply.loop_impedance_uohm",
        "premises",
        "Loop impedance at the supply terminals",
        _supply("loop_impedance_uohm", 6),
        unit="ohm",
    ),
    DataItem(
        "supply.prospective_fault_a",
        "premises",
        "Prospective fault current at the supply terminals",
        _supply("prospective_fault_a"),
        unit="A",
    ),
    DataItem(
        "supply.voltage_optimiser",
        "premises",
        "Voltage optimiser ahead of the generation",
        _supply_yes_no("voltage_optimiser"),
    ),
)
