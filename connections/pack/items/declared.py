"""The data items of a pack, declared once.

Each declares its label, its group in the index and how to read it from the case. It also declares
the packs that need it, and whether it names or reaches a person. Sections print items and columns
of this list; completeness and the index come from it too.
"""

from connections.pack.items.of_case import CASE_ITEMS
from connections.pack.items.of_parts import PART_COLUMNS
from connections.pack.items.of_scheme import SCHEME_ITEMS
from connections.pack.items.of_units import UNIT_COLUMNS
from connections.pack.items.types import ColumnItem, DataItem

ITEMS: tuple[DataItem, ...] = (*CASE_ITEMS, *SCHEME_ITEMS)
COLUMNS: tuple[ColumnItem, ...] = (*UNIT_COLUMNS, *PART_COLUMNS)

BY_ID = {item.id: item for item in ITEMS}
