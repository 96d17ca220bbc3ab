"""Data items and their groups. What a pack needs of them is data of the rulebook (`needs`).

The groups are our own, on the basis of the published forms and operators' requests (the
recommendations' forms for small plant, read in part; operators' public lists, secondary; the rest
from memory).
"""

from collections.abc import Callable
from typing import Any, Literal, TypeAlias

from msgspec import Struct

from connections.facts.declaring import declared, lowered
from connections.facts.site import Loads, Nearby, Parties, Premises, Site, Supply
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.content import Cell

GROUPS = {
    "case": "The case",
    "premises": "Premises and supply",
    "customer": "Customer",
    "installer": "Applicant and installer",
    "units": "Generating units",
    "storage": "Storage",
    "network": "What the network sees",
    "checks": "Electrical checks",
    "larger": "Network data for larger plant",
    "protection": "Protection",
    "limitation": "Limitation scheme",
    "demand": "Demand on the same supply",
    "procedure": "Procedure",
    "attachments": "Diagram and attachments",
    "commissioning": "Commissioning",
    "declarations": "Declarations and cautions",
}
"""Groups of the index, in its order."""

LARGE = ("g99-full-a", "g99-full-b", "beyond")

TableKey = Literal["units", "arrays", "storage", "loads"]
UNITS: TableKey = "units"
ARRAYS: TableKey = "arrays"
STORAGE: TableKey = "storage"
LOADS: TableKey = "loads"


def always(case: Case) -> bool:
    """For items that every case has."""
    return True


class DataItem(Struct, frozen=True):
    """A data item that a case has once.

    `path` is the place of its fact in the site file, empty for what no fact of the site holds.
    """

    id: str
    group: str
    label: str
    read: Callable[[Case], Cell]
    unit: str = ""
    personal: bool = False
    note: str = ""
    path: str = ""
    applies: Callable[[Case], bool] = always


ReadColumn: TypeAlias = Callable[[Case, Any], Cell]
"""Makes the cell of a row from the case and from that part of the site."""


class ColumnItem(Struct, frozen=True):
    """A data item that every unit (or array, store, load) has.

    `fact` names the fact of the row that it shows. `decided_by` is the finding by which an engineer
    decides on a row without it, so that nobody is asked twice.
    """

    id: str
    table: TableKey
    group: str
    label: str
    read: ReadColumn
    fact: str = ""
    decided_by: str = ""


_PLACES: dict[type[Struct], str] = {
    Site: "",
    Premises: "premises.",
    Supply: "supply.",
    Nearby: "nearby.",
    Parties: "parties.",
    Loads: "loads.",
}
"""Where in the site file the facts of a part stand, if it has the part once."""


def label_of(part: type[Struct], name: str, of: str = "") -> str:
    """The label of a declared fact after the thing it is of: "Storage: usable energy"."""
    label = declared(part)[name].label
    return f"{of}: {lowered(label)}" if of else label


def item_of(
    part: type[Struct], name: str, group: str, read: Callable[[Case], Cell], **more: Any
) -> DataItem:
    """The data item of a declared fact, with the fact's label, unit and mark as personal.

    `more` holds further fields. The `id` is made of the group and the fact, unless `more` has one.
    """
    fact = declared(part)[name]
    said = {"label": fact.label, "unit": fact.beside, "personal": fact.personal}
    if part in _PLACES:
        said["path"] = f"{_PLACES[part]}{name}"
    return DataItem(**{"id": f"{group}.{name}", **said, "group": group, "read": read, **more})


def column_of(
    of_part: type[Struct],
    name: str,
    table: TableKey,
    group: str,
    read: ReadColumn,
    *,
    of: str = "",
    **more: Any,
) -> ColumnItem:
    """The column of a declared fact, with the fact's label; `more` as in `item_of`."""
    said = {"id": f"{table}.{name}", "label": label_of(of_part, name, of), "fact": name}
    return ColumnItem(**{**said, "table": table, "group": group, "read": read, **more})


def whole_column(field: str, decimals: int = 0) -> ReadColumn:
    """Read a whole number that was stated, with these decimals in the unit shown."""
    return lambda case, row: cells.whole(getattr(row, field), decimals)


def rated_column(field: str, decimals: int = 3) -> ReadColumn:
    """Read a rating, of which 0 is not known either."""
    return lambda case, row: cells.rated(getattr(row, field), decimals)
