"""Lay declared data items out as blocks, and keep the register."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from msgspec import Struct

from connections.facts.defaults import known
from connections.facts.supply_number import number_word
from connections.pack.case import Case
from connections.pack.cells import NONE
from connections.pack.content import (
    Cell,
    Column,
    Facts,
    Item,
    PrintedRow,
    Registered,
    Side,
    State,
    Table,
)
from connections.pack.items.declared import BY_ID
from connections.pack.needs import BY_COLUMN, is_about, is_decided, needed_ids, row_name, rows_of


class Printed(Struct, frozen=True):
    """A column of a printed table: head, share of the width, unit, and how to read a row's cell."""

    head: str
    width: int
    read: Callable[[Any], Cell]
    unit: str = ""
    number: bool = False


class Sheet:
    """Builds the blocks of one pack.

    Values of personal items go into `personal` under the item's id. Every item and column laid out
    goes into `register`, in printing order.
    """

    def __init__(self, case: Case) -> None:
        self.case = case
        self.needed = needed_ids(case)
        self.needed_ever = needed_ids(case, ever=True)
        self.personal: dict[str, str] = {}
        self.register: list[Registered] = []
        premises = case.premises
        self._number_word = number_word(known(premises.nation) if premises is not None else None)

    def kept_apart(self, personal_id: str, cell: Cell) -> Cell:
        """Move a value into the personal part; returns the cell that names it."""
        if cell.text is None:
            return cell
        self.personal[personal_id] = cell.text
        return Cell(personal=personal_id, assumed=cell.assumed)

    def enter(
        self,
        item_id: str,
        group: str,
        label: str,
        anchor: str,
        state: State = "given",
        needed: bool = True,
        of: tuple[str, ...] = (),
    ) -> None:
        """Enter something in the register."""
        self.register.append(Registered(item_id, group, label, anchor, needed, state, of))

    def facts(
        self,
        block_id: str,
        title: str,
        ids: Iterable[str],
        side: Side = "",
        first: Sequence[Item] = (),
    ) -> Facts:
        """A block of the named data items, after those of `first`.

        Items that don't apply to the case are left out, and those that are neither known nor
        needed.
        """
        printed = [item for item_id in ids if (item := self.item(item_id)) is not None]
        return Facts(block_id, title, (*first, *printed), side=side)

    def item(self, item_id: str) -> Item | None:
        """A data item as printed, entered in the register; None if it is left out."""
        item = BY_ID[item_id]
        if not item.applies(self.case):
            return None
        cell = item.read(self.case)
        needed = item_id in self.needed
        if cell.text is None and not needed and not item.note:
            return None
        whole = item.label.replace("MPAN", self._number_word)
        self.enter(item_id, item.group, whole, item_id, state_of([cell]), needed)
        # The block's title already names the subject.
        label = whole.split(": ", 1)[-1]
        return Item(
            id=item_id,
            label=label[0].upper() + label[1:],
            value=self.kept_apart(item_id, cell) if item.personal else cell,
            unit=item.unit if cell.text is not None else "",
            note=item.note,
            needed=needed,
            without=self._reason(item_id) if cell.text is None and needed else "",
        )

    def table(
        self,
        block_id: str,
        title: str,
        rows: Sequence[object],
        printed: Sequence[Printed],
        says: str = "",
        notes: Sequence[str] = (),
    ) -> Table:
        """A table with a row for each of `rows`; a head says what is assumed of all of them."""
        widths = shared_width([column.width for column in printed])
        read = [[column.read(row) for row in rows] for column in printed]
        return Table(
            id=block_id,
            title=title,
            says=says,
            columns=tuple(
                Column(
                    column.head,
                    width,
                    column.unit,
                    column.number,
                    assumed=bool(cells) and all(cell.assumed for cell in cells),
                )
                for column, width, cells in zip(printed, widths, read, strict=True)
            ),
            rows=tuple(PrintedRow(cells) for cells in zip(*read, strict=True)),
            notes=tuple(notes),
        )

    def columns(self, ids: Iterable[str], anchor: str) -> tuple[str, ...]:
        """Enter columns of data items in the register; each is printed at `anchor`.

        Returns a note for each cell without which the pack is sent: "bat-1, usable energy: ...".
        """
        notes: list[str] = []
        for column in (BY_COLUMN[column_id] for column_id in ids):
            rows = rows_of(self.case, column.table)
            if not rows:
                continue
            of_own = column.id in self.needed_ever
            names = [row_name(column, row) for row in rows]
            cells = [column.read(self.case, row) for row in rows]
            lacking = tuple(
                name
                for row, name, cell in zip(rows, names, cells, strict=True)
                if cell.text is None and (not of_own or is_about(self.case, column, row))
            )
            needed = column.id in self.needed
            state = "not known" if lacking else state_of([c for c in cells if c.text is not None])
            of = lacking if len(lacking) < len(rows) else ()
            self.enter(column.id, column.group, column.label, anchor, state, needed, of)
            label = column.label.split(": ", 1)[-1].lower()
            notes += [
                f"{name}, {label}: not given: {reason}"
                for name in (lacking if needed else ())
                if (reason := self._reason(column.id, name))
            ]
        return tuple(notes)

    def cell(self, column_id: str, row: object) -> Cell:
        """The cell of a declared column: a dash where it is neither known nor needed."""
        column = BY_COLUMN[column_id]
        cell = column.read(self.case, row)
        wanted = (
            column_id in self.needed
            and is_about(self.case, column, row)
            and not is_decided(self.case, column, row_name(column, row))
        )
        return NONE if cell.text is None and not wanted else cell

    def _reason(self, item_id: str, of: str = "") -> str:
        return self.case.reason_without(item_id, of) or ""


def stacked(*cells: Cell | str) -> Cell:
    """Cells below each other as one cell; what is assumed says so, and dashes are left out."""
    lines = []
    for cell in cells:
        if isinstance(cell, str):
            lines.append(cell)
        elif cell.text is None:
            lines.append("not known")
        elif cell != NONE:
            lines.append(f"{cell.text} (assumed)" if cell.assumed else cell.text)
    return Cell(text="\n".join(line for line in lines if line)) if any(lines) else NONE


def state_of(cells: Sequence[Cell]) -> State:
    """The state of a data item, from its cells."""
    if any(cell.text is None for cell in cells):
        return "not known"
    return "assumed" if any(cell.assumed for cell in cells) else "given"


def shared_width(shares: Sequence[int]) -> list[int]:
    """Whole percentages in proportion to `shares`, adding up to 100."""
    total = sum(shares)
    widths = [share * 100 // total for share in shares]
    widths[widths.index(max(widths))] += 100 - sum(widths)
    return widths
