"""What a pack needs: lists of data items, by procedure and stage, as the rulebook holds them.

A list is a value of the rulebook (`needs.toml` of an edition); an operator's layer may give another
one. What a list is asked of stands here, beside its key. A rulebook without a list asks for nothing
of it. A need counts from its stage on: what an application needs, a confirmation needs too.
"""

from collections.abc import Callable, Iterator
from typing import Literal

from msgspec import Struct

from connections.facts.defaults import part_status
from connections.facts.naming import words_for
from connections.facts.site import Limit
from connections.pack.case import Case
from connections.pack.items.declared import BY_ID, COLUMNS
from connections.pack.items.types import (
    ARRAYS,
    LARGE,
    LOADS,
    STORAGE,
    UNITS,
    ColumnItem,
    DataItem,
    TableKey,
)

Stage = Literal["application", "energising", "confirmation"]
STAGES: tuple[Stage, ...] = ("application", "energising", "confirmation")

_REACHED = {
    "application": 0,
    "assessment": 0,
    "decommission": 0,
    "notification": 2,
    "confirmation": 2,
}
"""The last stage whose needs a kind of pack has."""

CELLS = "storage.usable"
"""Also asked of a unit with storage behind which no cells are described."""
KIT = "plug-in"
BY_COLUMN = {column.id: column for column in COLUMNS}
_ROWS = {UNITS: "units", ARRAYS: "arrays", STORAGE: "storage", LOADS: "loads.items"}


class NeedList(Struct, frozen=True):
    """A list of needs: its key in the rulebook, its stage, and the cases that it is asked of."""

    key: str
    stage: Stage
    asked_of: Callable[[Case], bool]


class SchemeNeeds(Struct, frozen=True):
    """A list of needs of a limitation scheme: the fields of each limit that it is asked of."""

    key: str
    stage: Stage
    asked_of: Callable[[Limit], bool]


class Gap(Struct, frozen=True):
    """A needed fact that is not known: its data item and, for a column, the row's name.

    `path` is its place in the site file; `says` names it in words.
    """

    item: str
    of: str
    stage: Stage
    path: str
    says: str


def _connects(case: Case) -> bool:
    return case.procedure != KIT and case.kind != "decommission"


def _applied_for(case: Case) -> bool:
    return _connects(case) and case.kind != "notification"


def _large(case: Case) -> bool:
    return case.procedure in LARGE


LISTS = (
    NeedList("needs.site", "application", _connects),
    NeedList("needs.application", "application", _applied_for),
    NeedList("needs.storage", "application", _applied_for),
    NeedList("needs.loads", "application", _applied_for),
    NeedList("needs.large", "application", _large),
    NeedList("needs.beside", "application", _large),
    NeedList("needs.energising", "energising", _connects),
    NeedList("needs.done", "confirmation", _connects),
    NeedList("needs.kit", "confirmation", lambda case: case.procedure == KIT),
    NeedList("needs.taken_out", "application", lambda case: case.kind == "decommission"),
)
SCHEME_LISTS = (
    SchemeNeeds("needs.scheme", "application", lambda limit: True),
    SchemeNeeds("needs.scheme_tested", "application", lambda limit: limit.type_tested is True),
    SchemeNeeds(
        "needs.scheme_not_tested", "application", lambda limit: limit.type_tested is not True
    ),
    SchemeNeeds("needs.scheme_done", "confirmation", lambda limit: True),
)


def _listed(case: Case) -> Iterator[tuple[str, Stage, str]]:
    """The ids that the lists for a case name, with the stage and the key of their list."""

    def held(key: str) -> tuple[str, ...]:
        return case.book.words(key) if key in case.book.values else ()

    for one in LISTS:
        if one.asked_of(case):
            yield from ((item_id, one.stage, one.key) for item_id in held(one.key))
    for which in ("export", "import") if _connects(case) else ():
        limit = case.limit(which)
        for scheme in SCHEME_LISTS:
            if limit is not None and scheme.asked_of(limit):
                for name in held(scheme.key):
                    yield f"limit.{which}.{name}", scheme.stage, scheme.key


def needed_ids(case: Case, *, ever: bool = False) -> frozenset[str]:
    """Ids of the data items that the pack needs; with `ever` those of later stages too."""
    reached = len(STAGES) if ever else _REACHED[case.kind]
    return frozenset(
        item_id for item_id, stage, _ in _listed(case) if STAGES.index(stage) <= reached
    )


def unknown_needs(case: Case) -> tuple[tuple[str, str], ...]:
    """Needs that name no data item, as (key of the list, id): a slip in a layer of the rulebook."""
    return tuple(
        (key, item_id)
        for item_id, _, key in _listed(case)
        if item_id not in BY_ID and item_id not in BY_COLUMN
    )


def gaps(case: Case, *, later: bool = False) -> tuple[Gap, ...]:
    """Needed facts that are not known; with `later` those that only a later stage needs.

    What no fact of the site holds is given beside the pack and is no gap. Nor is what an engineer
    decides by a finding of its own.
    """
    reached = _REACHED[case.kind]
    found: dict[tuple[str, str], Gap] = {}
    for item_id, stage, _ in _listed(case):
        if (STAGES.index(stage) > reached) is later:
            for gap in _gaps_of(case, item_id, stage):
                found.setdefault((gap.item, gap.of), gap)
    return tuple(found.values())


def _gaps_of(case: Case, item_id: str, stage: Stage) -> Iterator[Gap]:
    item, column = BY_ID.get(item_id), BY_COLUMN.get(item_id)
    if item is not None and item.path and item.applies(case) and item.read(case).text is None:
        yield Gap(item_id, "", stage, item.path, _said(item, case))
    if column is None or not column.fact:
        return
    if item_id == CELLS:
        for unit in case.subjects:
            if case.has_storage(unit) and not case.cells_behind(unit):
                yield Gap(item_id, unit.id, stage, "storage", f"the usable energy of {unit.id}")
    for i, row in enumerate(rows_of(case, column.table)):
        name = row_name(column, row)
        lacks = is_about(case, column, row) and column.read(case, row).text is None
        if lacks and not is_decided(case, column, name):
            path = f"{_ROWS[column.table]}[{i}].{column.fact}"
            yield Gap(item_id, name, stage, path, words_for(path, case.site))


def _said(item: DataItem, case: Case) -> str:
    """The fact of an item in words: "Export limit, response time"."""
    words = words_for(item.path, case.site) if item.group == "limitation" else item.label
    return f"{words[:1].upper()}{words[1:]}".replace(": ", ", ")


def rows_of(case: Case, table: TableKey) -> tuple[object, ...]:
    """The rows of the site that a table of data items has."""
    if table == LOADS:
        return case.loads.items if case.loads is not None else ()
    rows: tuple[object, ...] = getattr(case.site, table)
    return rows


def row_name(column: ColumnItem, row: object) -> str:
    """The name of a row: of a unit, the unit of panels or cells, or of a load."""
    field = {UNITS: "id", LOADS: "name"}.get(column.table, "unit_id")
    return str(getattr(row, field))


def is_about(case: Case, column: ColumnItem, row: object) -> bool:
    """Whether the pack asks for a column of this row: of its own units and what stands behind."""
    if column.table == LOADS:
        return True
    name = row_name(column, row)
    if column.table == UNITS or name in case.subject:
        return name in case.subject
    unit = next((unit for unit in case.site.units if unit.id == name), None)
    return part_status(getattr(row, "status", None), unit) == "proposed"


def is_decided(case: Case, column: ColumnItem, name: str) -> bool:
    """Whether a finding of its own asks an engineer about a column of this row."""
    return bool(column.decided_by) and any(
        (finding.id, finding.subject) == (column.decided_by, name) and finding.severity != "inform"
        for finding in case.decision.findings
    )
