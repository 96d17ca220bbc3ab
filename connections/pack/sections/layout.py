"""Lay declared data items out as blocks, and keep the register."""

from collections.abc import Iterable, Sequence

from connections.pack.case import Case
from connections.pack.content import Cell, Column, Facts, Item, PrintedRow, Registered, State, Table
from connections.pack.items.declared import BY_ID, COLUMNS
from connections.pack.items.types import ColumnItem, DataItem
from connections.pack.needs import is_about, needed_ids, row_name


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
        notes: Sequence[str] = (),
        elsewhere: Iterable[str] = (),
    ) -> Facts:
        """A block of the named data items; those that don't apply to the case are left out.

        Items of `elsewhere` have their own place in another block, to which the index points.
        """
        items = [BY_ID[item_id] for item_id in ids]
        printed = tuple(
            self._item(item, item.id in elsewhere) for item in items if item.applies(self.case)
        )
        return Facts(block_id, title, printed, tuple(notes))

    def _item(self, item: DataItem, elsewhere: bool) -> Item:
        cell = item.read(self.case)
        needed = item.id in self.needed
        if not elsewhere:
            self.enter(item.id, item.group, item.label, item.id, _state([cell]), needed)
        # The block's title already names the subject.
        label = item.label if elsewhere else item.label.split(": ", 1)[-1]
        return Item(
            id=f"again.{item.id}" if elsewhere else item.id,
            label=label[0].upper() + label[1:],
            value=self.kept_apart(item.id, cell) if item.personal else cell,
            unit=item.unit if cell.text is not None else "",
            note=item.note,
            needed=needed,
            without=self._reason(item.id) if cell.text is None and needed else "",
        )

    def table(
        self,
        block_id: str,
        title: str,
        rows: Sequence[object],
        table: str,
        part: str = "",
        says: str = "",
        notes: Sequence[str] = (),
    ) -> Table:
        """A table of the declared columns of `table` and `part`, one row for each of `rows`.

        An optional column without any stated value is left out.
        """
        declared = [c for c in COLUMNS if c.table == table and c.part == part]
        read = {c.id: [c.read(self.case, row) for row in rows] for c in declared}
        shown = [c for c in declared if not c.optional or any(_stated(cell) for cell in read[c.id])]
        names = [cell.text or "" for cell in read[shown[0].id]]
        for column in shown[1:]:
            self._enter_column(column, block_id, rows, names, read[column.id])
        return Table(
            id=block_id,
            title=title,
            says=says,
            columns=_columns(shown, read),
            rows=tuple(PrintedRow(tuple(read[c.id][i] for c in shown)) for i in range(len(rows))),
            notes=(*notes, *self._reasons(shown, rows, read)),
        )

    def _reason(self, item_id: str, of: str = "") -> str:
        return self.case.reason_without(item_id, of) or ""

    def _reasons(
        self, shown: list[ColumnItem], rows: Sequence[object], read: dict[str, list[Cell]]
    ) -> list[str]:
        """Notes on cells without which the pack is sent: "bat-1, usable energy: ..."."""
        return [
            f"{row_name(column, row)}, {column.label.split(': ', 1)[-1].lower()}: not known at "
            f"sending: {reason}"
            for column in shown
            if column.id in self.needed
            for row, cell in zip(rows, read[column.id], strict=True)
            if cell.text is None and (reason := self._reason(column.id, row_name(column, row)))
        ]

    def _enter_column(
        self,
        column: ColumnItem,
        anchor: str,
        rows: Sequence[object],
        names: list[str],
        cells: list[Cell],
    ) -> None:
        if not rows:
            return
        of_own = column.id in self.needed_ever
        lacking = tuple(
            name
            for row, name, cell in zip(rows, names, cells, strict=True)
            if cell.text is None and (not of_own or is_about(self.case, column, row))
        )
        state: State = "not known" if lacking else _state([c for c in cells if c.text is not None])
        of = lacking if len(lacking) < len(rows) else ()
        self.enter(
            column.id, column.group, column.label, anchor, state, column.id in self.needed, of
        )


def _state(cells: list[Cell]) -> State:
    if any(cell.text is None for cell in cells):
        return "not known"
    return "assumed" if any(cell.assumed for cell in cells) else "given"


def _stated(cell: Cell) -> bool:
    return cell.text is not None and not cell.assumed


def _columns(shown: list[ColumnItem], read: dict[str, list[Cell]]) -> tuple[Column, ...]:
    widths = shared_width([column.width for column in shown])
    return tuple(
        Column(
            column.head,
            width,
            column.unit,
            column.number,
            assumed=bool(read[column.id]) and all(cell.assumed for cell in read[column.id]),
        )
        for column, width in zip(shown, widths, strict=True)
    )


def shared_width(shares: Sequence[int]) -> list[int]:
    """Whole percentages in proportion to `shares`, adding up to 100."""
    total = sum(shares)
    widths = [share * 100 // total for share in shares]
    widths[widths.index(max(widths))] += 100 - sum(widths)
    return widths
