"""Data items that every generating unit has: the columns of the schedule of units."""

from typing import Any

from connections.electrical.phase_sums import scaled_per_phase, whole_milliamps
from connections.facts.defaults import certificates_of, quantity_of, registered_w
from connections.facts.site import Certificate, Unit
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.items.types import (
    UNITS,
    ColumnItem,
    ReadColumn,
    column_of,
    label_of,
    rated_column,
    whole_column,
)


def _model(case: Case, unit: Unit) -> Cell:
    named = [part for part in (unit.maker, unit.model) if isinstance(part, str) and part.strip()]
    return Cell(text=" ".join(named)) if named else NOT_KNOWN


def _line_total(case: Case, unit: Unit) -> Cell:
    one, n = registered_w(unit), quantity_of(unit)
    return NOT_KNOWN if one is None or n is None else cells.whole(one * n, 3)


def _registered(case: Case, unit: Unit) -> Cell:
    found = cells.rated(unit.rated_w)
    # A known apparent power replaces the registered capacity and is marked as assumed.
    return found if found.text is not None else _standing_in(unit)


def _standing_in(unit: Unit) -> Cell:
    stand_in = cells.rated(unit.rated_va)
    return cells.assumed(stand_in) if stand_in.text is not None else NOT_KNOWN


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


def _word_column(field: str) -> ReadColumn:
    return lambda case, row: cells.words(getattr(row, field))


def _test(name: str, head: str, width: int, read: ReadColumn, **more: Any) -> ColumnItem:
    return column_of(
        Certificate,
        name,
        UNITS,
        "units",
        head,
        width,
        read,
        **{"part": "standing", "fact": f"standards[0].{name}", **more},
    )


def _unit(name: str, head: str, width: int, read: ReadColumn, part: str, **more: Any) -> ColumnItem:
    return column_of(Unit, name, UNITS, "units", head, width, read, part=part, **more)


def _rating(name: str, head: str, width: int, read: ReadColumn, **more: Any) -> ColumnItem:
    """The column of a rating of one unit."""
    label = f"{label_of(Unit, name)} of one unit"
    return _unit(name, head, width, read, "ratings", label=label, **more)


def _made(
    id: str,
    label: str,
    head: str,
    width: int,
    read: ReadColumn,
    part: str,
    **more: Any,
) -> ColumnItem:
    """A column made of several facts."""
    return ColumnItem(f"units.{id}", UNITS, "units", label, head, width, read, part=part, **more)


def _unit_id(case: Case, unit: Unit) -> Cell:
    return Cell(text=unit.id)


def _named(id: str, width: int, part: str) -> ColumnItem:
    """The first column of each table: the unit."""
    label = f"{label_of(Unit, 'id')} of the unit"
    return _unit("id", "Unit", width, _unit_id, part, id=f"units.{id}", label=label)


UNIT_COLUMNS: tuple[ColumnItem, ...] = (
    _named("id", 15, "what"),
    _unit(
        "status",
        "Status",
        13,
        lambda case, unit: cells.status_cell(unit),
        "what",
    ),
    _made("model", "Maker and model", "Maker and model", 27, _model, "what", fact="model"),
    _unit(
        "source",
        "Energy source",
        17,
        lambda case, unit: cells.words(unit.source, cells.SOURCES),
        "what",
    ),
    _unit("kind", "Kind", 15, lambda case, unit: cells.kind_cell(unit), "what"),
    _unit(
        "quantity",
        "Units",
        12,
        lambda case, unit: cells.quantity_cell(unit),
        "what",
        number=True,
    ),
    _unit("feeds_from", "Board", 13, _word_column("feeds_from"), "what", optional=True),
    _named("rated_id", 16, "ratings"),
    _rating(
        "phases",
        "Phases",
        12,
        lambda case, unit: Cell(text=", ".join(unit.phases)),
    ),
    _rating("rated_w", "Registered, one unit", 13, _registered),
    _made(
        "line_w",
        f"{label_of(Unit, 'rated_w')} of all like units",
        "Registered, all like units",
        13,
        _line_total,
        "ratings",
        unit="kW",
        number=True,
    ),
    _made(
        "amps",
        "Current per phase of one unit",
        "Per phase, one unit",
        12,
        _amps_of_one,
        "ratings",
        unit="A",
        number=True,
    ),
    _rating(
        "design_w",
        "Design, one unit",
        12,
        lambda case, unit: cells.design_cell(unit),
    ),
    _rating("rated_va", "Apparent, one unit", 12, rated_column("rated_va")),
    _rating("rated_ma", "Declared output", 12, rated_column("rated_ma")),
    _rating("q_var", "Reactive, + is export", 11, whole_column("q_var", 3), optional=True),
    _named("test_id", 15, "standing"),
    _test("standard", "Standard", 11, lambda case, unit: cells.standards(unit)),
    _test("type_tested", "Type tested", 11, lambda case, unit: cells.type_tested(unit)),
    _test(
        "reference",
        "Type-test reference",
        18,
        _reference,
        id="units.type_test_reference",
        decided_by="no-register-reference",
    ),
    _made(
        "dated",
        f"{label_of(Unit, 'commissioned_on')}, or planned",
        "Commissioned",
        21,
        _dated,
        "standing",
    ),
    _unit(
        "operating_mode",
        "In parallel",
        14,
        lambda case, unit: cells.mode_cell(unit, cells.IN_PARALLEL),
        "standing",
        id="units.mode",
    ),
    _unit(
        "can_island",
        "Can island",
        12,
        lambda case, unit: cells.island_cell(unit),
        "standing",
        decided_by="can-island",
    ),
    _unit(
        "limited_by",
        "Limited",
        12,
        lambda case, unit: cells.limited_cell(unit),
        "standing",
        optional=True,
    ),
    _named("serial_id", 20, "serials"),
    _unit(
        "serials",
        "Serial numbers",
        80,
        _serials,
        "serials",
    ),
)
