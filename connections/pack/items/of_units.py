"""Data items that every generating unit has: the columns of the schedule of units."""

from typing import Any

from connections.electrical.phase_sums import scaled_per_phase, whole_milliamps
from connections.facts.defaults import certificates_of, registered_w
from connections.facts.site import Certificate, Unit
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.items.of_parts import coupling
from connections.pack.items.types import (
    UNITS,
    ColumnItem,
    ReadColumn,
    column_of,
    label_of,
    whole_column,
)


def _model(case: Case, unit: Unit) -> Cell:
    named = [part for part in (unit.maker, unit.model) if isinstance(part, str) and part.strip()]
    return Cell(text=" ".join(named)) if named else NOT_KNOWN


def _registered(case: Case, unit: Unit) -> Cell:
    found = cells.rated(unit.rated_w)
    # A known apparent power replaces the registered capacity and is marked as assumed.
    return found if found.text is not None else _standing_in(unit)


def _standing_in(unit: Unit) -> Cell:
    stand_in = cells.rated(unit.rated_va)
    return cells.assumed(stand_in) if stand_in.text is not None else NOT_KNOWN


def _apparent(case: Case, unit: Unit) -> Cell:
    """Apparent power; the registered capacity is assumed where nobody stated any."""
    found = cells.rated(unit.rated_va)
    return found if found.text is not None else cells.assumed(cells.rated(unit.rated_w))


def _coupled(case: Case, unit: Unit) -> Cell:
    return Cell(text=coupling(case, unit)) if case.has_storage(unit) else cells.NONE


def _amps_of_one(case: Case, unit: Unit) -> Cell:
    one = registered_w(unit)
    if one is None:
        return NOT_KNOWN
    ma = whole_milliamps(scaled_per_phase(one, len(unit.phases)), case.nominal_mv)
    return cells.whole(ma, 3)


def _dated(case: Case, unit: Unit) -> Cell:
    if isinstance(unit.commissioned_on, str):
        return cells.day_or_month(unit.commissioned_on)
    if unit.status in ("existing", "removed"):
        return NOT_KNOWN
    own = unit.planned_on if isinstance(unit.planned_on, type(case.prepared_on)) else None
    planned = cells.day(own or case.site.planned_on)
    return Cell(text=f"planned {planned.text}") if planned.text else NOT_KNOWN


def _serials(case: Case, unit: Unit) -> Cell:
    found = cells.lines(unit.serials)
    return Cell(text=found.text.replace("\n", ", ")) if found.text else NOT_KNOWN


def _reference(case: Case, unit: Unit) -> Cell:
    """The register's reference; what is not type tested has none."""
    found = cells.references(unit)
    tested = {one.type_tested for one in certificates_of(unit)}
    return cells.NONE if found.text is None and tested == {"no"} else found


def _test(name: str, read: ReadColumn, **more: Any) -> ColumnItem:
    fact = {"fact": f"standards[0].{name}", **more}
    return column_of(Certificate, name, UNITS, "units", read, **fact)


def _unit(name: str, read: ReadColumn, **more: Any) -> ColumnItem:
    return column_of(Unit, name, UNITS, "units", read, **more)


def _rating(name: str, read: ReadColumn) -> ColumnItem:
    """The column of a rating of one unit."""
    return _unit(name, read, label=f"{label_of(Unit, name)} of one unit")


def _made(id: str, label: str, read: ReadColumn, **more: Any) -> ColumnItem:
    """A column made of several facts."""
    return ColumnItem(f"units.{id}", UNITS, "units", label, read, **more)


UNIT_COLUMNS: tuple[ColumnItem, ...] = (
    _unit("id", lambda case, unit: Cell(text=unit.id), label=f"{label_of(Unit, 'id')} of the unit"),
    _unit("status", lambda case, unit: cells.status_cell(unit)),
    _unit("quantity", lambda case, unit: cells.quantity_cell(unit)),
    _unit("source", lambda case, unit: cells.words(unit.source, cells.SOURCES)),
    _unit("kind", lambda case, unit: cells.kind_cell(unit)),
    _made("coupling", "Coupling of storage", _coupled),
    _made("model", "Maker and model", _model, fact="model"),
    _test(
        "reference",
        _reference,
        id="units.type_test_reference",
        decided_by="no-register-reference",
    ),
    _test("standard", lambda case, unit: cells.standards(unit)),
    _test("type_tested", lambda case, unit: cells.type_tested(unit)),
    _rating("rated_w", _registered),
    _rating("design_w", lambda case, unit: cells.design_cell(unit)),
    _rating("rated_va", _apparent),
    _made("amps", "Current per phase of one unit", _amps_of_one),
    _rating("phases", lambda case, unit: Cell(text=", ".join(unit.phases))),
    _rating("q_var", whole_column("q_var", 3)),
    _made("dated", f"{label_of(Unit, 'commissioned_on')}, or planned", _dated),
    _unit("serials", _serials),
    _unit("operating_mode", lambda case, unit: cells.mode_cell(unit), id="units.mode"),
    _unit("can_island", lambda case, unit: cells.island_cell(unit), decided_by="can-island"),
    _unit("limited_by", lambda case, unit: cells.limited_cell(unit)),
)
