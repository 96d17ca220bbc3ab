"""Divide the bands of a drawing among sheets, and join them on each sheet."""

from collections.abc import Iterable
from typing import TypeAlias

from msgspec import Struct, structs

from connections.diagram.circuits.board_tree import TAILS
from connections.diagram.circuits.circuit import Board, Circuit
from connections.diagram.drawing import SHEET_HEIGHT, SHEET_WIDTH, Drawing, LineKind
from connections.diagram.heading import Heading
from connections.diagram.sheets.band import Band
from connections.diagram.sheets.canvas import Canvas, Part, block
from connections.diagram.sheets.feeder import feeder
from connections.diagram.sheets.geometry import (
    BORDER,
    COLUMNS_RIGHT,
    CONTROL_X,
    LEFT,
    LEGEND_X,
    RIGHT,
    TAILS_SPINE,
    TOP,
    columns_left,
    spine_x,
)
from connections.diagram.sheets.legend import arrange, draw_legend, entries_of
from connections.diagram.sheets.remainder import notes, strays
from connections.diagram.sheets.rows import ColumnRow, rows_of
from connections.diagram.sheets.title_block import TitleBlock, title_block
from connections.diagram.sheets.trunk import trunk

_NARROW, _WIDE = 2, 5
"""Columns of the legend beside the supply, and across a sheet."""
_BOTTOM = 10
"""Between the last band and the title block."""
_CONTINUED = 18
"""Room for the words on a busbar that continues on another sheet."""


_Join: TypeAlias = tuple[int, int]
"""A sheet (from 0) and a height on it."""


class _Placed(Struct, frozen=True):
    band: Band
    sheet: int
    top: int


class Sheets:
    """The sheets of one circuit."""

    def __init__(self, circuit: Circuit, heading: Heading) -> None:
        self._circuit = circuit
        self._heading = heading
        self._deepest = max(depth for _, depth in _with_depths(circuit))
        self._spines = (
            *(
                (board.board_id, board.name, spine_x(depth))
                for board, depth in _with_depths(circuit)
            ),
            (TAILS, "Meter tails", TAILS_SPINE),
        )
        self._title_height = self._title_block(0, 99).height
        groups = self._groups()
        self._wide_legend_height = arrange(self._legend, RIGHT - LEFT, _WIDE).height
        self._placed: list[_Placed] = []
        self._bottoms: list[int] = []
        self._place(groups)
        self._busbar_joins, self._control_joins = self._joins()

    def drawings(self) -> tuple[Drawing, ...]:
        """Draw every sheet."""
        return tuple(self._drawing(sheet) for sheet in range(len(self._bottoms)))

    # Dividing

    def _groups(self) -> list[tuple[Band, ...]]:
        """Bands in order; one group stays on one sheet."""
        circuit = self._circuit
        room = COLUMNS_RIGHT - columns_left(self._deepest)
        supply = trunk(circuit)
        groups: list[tuple[Band, ...]] = []

        def add(board: Board, depth: int, *head: Band) -> None:
            first, *others = rows_of(board, depth, room)
            groups.append((*head, first))
            groups.extend((row,) for row in others)
            for below in board.boards:
                add(below, depth + 1, feeder(below, board.board_id, depth))

        add(circuit.main, 0)
        for board in circuit.tapped:
            add(board, 1, feeder(board, TAILS, 0))
        if circuit.strays:
            groups.append((strays(circuit),))
        if circuit.notes:
            groups.append((notes(circuit),))
        # The legend of the whole drawing takes room beside the supply; each sheet then shows its
        # own part of it.
        everything = Canvas()
        for band in (supply, *(band for group in groups for band in group)):
            band.draw(everything, 0)
        self._legend = entries_of(everything)
        beside = arrange(self._legend, RIGHT - LEGEND_X, _NARROW).height
        return [(structs.replace(supply, beside=beside), *groups[0]), *groups[1:]]

    def _title_block(self, sheet: int, sheets: int) -> TitleBlock:
        return title_block(self._heading, self._circuit.reference, sheet, sheets)

    def _start(self, sheet: int) -> int:
        return TOP + (_CONTINUED if sheet else 0)

    def _end(self, sheet: int) -> int:
        legend = self._wide_legend_height + 10 if sheet else 0
        title = self._title_height + BORDER
        return SHEET_HEIGHT - title - _BOTTOM - _CONTINUED - legend

    def _place(self, groups: Iterable[tuple[Band, ...]]) -> None:
        """Put each group on the next sheet with room for it."""
        sheet, y = 0, self._start(0)
        self._bottoms.append(y)
        waiting = list(reversed(list(groups)))
        while waiting:
            group = waiting.pop()
            too_tall = y + sum(band.height for band in group) > self._end(sheet)
            if too_tall and y == self._start(sheet):
                last = group[-1]
                if len(group) > 1 and isinstance(last, ColumnRow) and last.columns:
                    # Too tall for any sheet: put the busbar here and its columns on the next sheet.
                    alone, columns = last.overleaf()
                    waiting += [(columns,), (*group[:-1], alone)]
                    continue
            elif too_tall:
                sheet += 1
                y = self._start(sheet)
                self._bottoms.append(y)
                waiting.append(group)
                continue
            for band in group:
                self._placed.append(_Placed(band, sheet, y))
                y += band.height
            self._bottoms[sheet] = y

    def _joins(self) -> tuple[dict[str, list[_Join]], list[_Join]]:
        """Joints of the bands with each board's busbar, and with the control line."""
        busbars: dict[str, list[_Join]] = {name: [] for name, _, _ in self._spines}
        control: list[_Join] = []
        for placed in self._placed:
            if (busbar := placed.band.busbar_at) is not None:
                busbars[busbar[0]].append((placed.sheet, placed.top + busbar[1]))
            if (at := placed.band.control_at) is not None:
                control.append((placed.sheet, placed.top + at))
        return busbars, control

    # Drawing

    def _drawing(self, sheet: int) -> Drawing:
        canvas = Canvas()
        count = len(self._bottoms)
        here = [placed for placed in self._placed if placed.sheet == sheet]
        for placed in here:
            placed.band.draw(canvas, placed.top)
        bottom = self._bottoms[sheet]
        come, goes_on = self._draw_spines(canvas, sheet, bottom + 6)
        self._draw_control(canvas, sheet, bottom + 6)
        bottom += _CONTINUED if goes_on else 0
        explained = entries_of(canvas)
        if sheet:
            legend = arrange(explained, RIGHT - LEFT, _WIDE)
            draw_legend(canvas, legend, LEFT, bottom + 10)
            bottom += 10 + legend.height
        else:
            draw_legend(canvas, arrange(explained, RIGHT - LEGEND_X, _NARROW), LEGEND_X, TOP)
        block_of_title = self._title_block(sheet + 1, count)
        bottom = block_of_title.draw(canvas, bottom + _BOTTOM)
        canvas.box("border", BORDER, BORDER, SHEET_WIDTH - BORDER, bottom)
        title = f"Single-line diagram of {self._circuit.reference}"
        if count > 1:
            title += f", sheet {sheet + 1} of {count}"
        said = [
            f"{title}.",
            *(f"{words}." for words in come),
            *(line for placed in here for line in placed.band.sentences()),
            *(f"{words}." for words in goes_on),
            "Legend: " + "; ".join(entry.words for entry in explained) + ".",
            block_of_title.sentence(),
        ]
        return Drawing(
            width=SHEET_WIDTH,
            height=bottom + BORDER,
            sheet=sheet + 1,
            sheets=count,
            title=title,
            description="\n".join(said),
            symbols=tuple(canvas.symbols),
            lines=tuple(canvas.lines),
            labels=tuple(canvas.labels),
            legend=explained,
        )

    def _draw_spines(
        self, canvas: Canvas, sheet: int, bottom: int
    ) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Draw busbars down the left side, and the line from the tails.

        Returns the words on those that come from the sheet before, and on those that go on.
        """
        come: list[str] = []
        goes_on = False
        for board_id, name, x in self._spines:
            joins = self._busbar_joins[board_id]
            if not joins or not joins[0][0] <= sheet <= joins[-1][0]:
                continue
            ends = self._ends(joins, sheet, bottom)
            if ends is None:
                continue
            kind: LineKind = "power" if board_id == TAILS else "busbar"
            canvas.line(kind, ((x, ends[0]), (x, ends[1])), True, board_id)
            if any(at < sheet for at, _ in joins):
                come.append(name)
            goes_on = goes_on or any(at > sheet for at, _ in joins)
        x = spine_x(self._deepest) + 12
        from_before = (f"from sheet {sheet}: " + ", ".join(come),) if come else ()
        onwards = (f"continued on sheet {sheet + 2}",) if goes_on else ()
        for words in from_before:
            canvas.words(block((Part(words, most=1),), 500), x, TOP)
        for words in onwards:
            canvas.words(block((Part(words),), 500), x, bottom - 4)
        return from_before, onwards

    def _draw_control(self, canvas: Canvas, sheet: int, bottom: int) -> None:
        """Draw the control line down the right side, from the limitation scheme to every row."""
        ends = self._ends(self._control_joins, sheet, bottom)
        if ends is not None:
            canvas.line("control", ((CONTROL_X, ends[0]), (CONTROL_X, ends[1])))

    def _ends(self, joins: list[_Join], sheet: int, bottom: int) -> tuple[int, int] | None:
        """Upper and lower end, on one sheet, of a line through (sheet, height) places."""
        here = [y for at, y in joins if at == sheet]
        before = any(at < sheet for at, _ in joins)
        after = any(at > sheet for at, _ in joins)
        if not here and not (before and after):
            return None
        return (TOP if before else min(here), bottom if after else max(here))


def _with_depths(circuit: Circuit) -> Iterable[tuple[Board, int]]:
    yield from _with_depth(circuit.main, 0)
    for board in circuit.tapped:
        yield from _with_depth(board, 1)


def _with_depth(board: Board, depth: int) -> Iterable[tuple[Board, int]]:
    yield board, depth
    for below in board.boards:
        yield from _with_depth(below, depth + 1)
