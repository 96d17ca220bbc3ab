"""Divide the bands of a drawing among sheets, and join them on each sheet."""

from collections.abc import Iterable
from typing import TypeAlias

from msgspec import Struct

from connections.diagram.circuits.circuit import Board, Circuit
from connections.diagram.drawing import SHEET_HEIGHT, SHEET_WIDTH, Drawing
from connections.diagram.sheets.band import Band
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.sheets.feeder import feeder
from connections.diagram.sheets.geometry import (
    COLUMNS_RIGHT,
    CONTROL_X,
    LEFT,
    LEGEND_X,
    RIGHT,
    columns_left,
    spine_x,
)
from connections.diagram.sheets.legend import arrange, draw_legend, entries
from connections.diagram.sheets.remainder import notes, strays
from connections.diagram.sheets.rows import ColumnRow, rows_of
from connections.diagram.sheets.trunk import trunk

_BOTTOM = 12
_CONTINUED = 18
"""Room for the words on a busbar that continues on another sheet."""
_HEAD_TOP = 26


_Join: TypeAlias = tuple[int, int]
"""A sheet (from 0) and a height on it."""


class _Placed(Struct, frozen=True):
    band: Band
    sheet: int
    top: int


class Sheets:
    """The sheets of one circuit."""

    def __init__(self, circuit: Circuit) -> None:
        self._circuit = circuit
        self._legend = entries(circuit)
        self._wide_legend = arrange(self._legend, RIGHT - LEFT, 5)
        self._head: Block = block((Part(circuit.reference, role="title", most=2),), 560)
        self._head_height = _HEAD_TOP + self._head.height + 8
        self._boards = tuple(_with_depth(circuit.main, 0))
        self._deepest = max(depth for _, depth in self._boards)
        self._placed: list[_Placed] = []
        self._bottoms: list[int] = []
        self._place(self._groups())
        self._busbar_joins, self._control_joins = self._joins()

    def drawings(self) -> tuple[Drawing, ...]:
        """Draw every sheet."""
        return tuple(self._drawing(sheet) for sheet in range(len(self._bottoms)))

    # Dividing

    def _groups(self) -> list[tuple[Band, ...]]:
        """Bands in order; one group stays on one sheet."""
        circuit = self._circuit
        room = COLUMNS_RIGHT - columns_left(self._deepest)
        groups: list[tuple[Band, ...]] = []

        def add(board: Board, depth: int, head: Band) -> None:
            first, *others = rows_of(board, depth, room)
            groups.append((head, first))
            groups.extend((row,) for row in others)
            for below in board.boards:
                add(below, depth + 1, feeder(below, board.board_id, depth))

        add(circuit.main, 0, trunk(circuit, arrange(self._legend, RIGHT - LEGEND_X, 2)))
        if circuit.strays:
            groups.append((strays(circuit),))
        if circuit.notes:
            groups.append((notes(circuit),))
        return groups

    def _start(self, sheet: int) -> int:
        return self._head_height + (_CONTINUED if sheet else 0)

    def _end(self, sheet: int) -> int:
        legend = self._wide_legend.height + 10 if sheet else 0
        return SHEET_HEIGHT - _BOTTOM - _CONTINUED - legend

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
        busbars: dict[str, list[_Join]] = {board.board_id: [] for board, _ in self._boards}
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
        name = block((Part("Single-line diagram", bold=True, size=14, role="title"),), 400)
        canvas.words(name, LEFT, 6)
        canvas.words(self._head, LEFT, _HEAD_TOP)
        canvas.right_words(f"sheet {sheet + 1} of {count}", RIGHT, 20)
        here = [placed for placed in self._placed if placed.sheet == sheet]
        for placed in here:
            placed.band.draw(canvas, placed.top)
        bottom = self._bottoms[sheet]
        goes_on = self._draw_spines(canvas, sheet, bottom + 6)
        self._draw_control(canvas, sheet, bottom + 6)
        bottom += _CONTINUED if goes_on else 0
        if sheet:
            draw_legend(canvas, self._wide_legend, LEFT, bottom + 10)
            bottom += 10 + self._wide_legend.height
        title = f"Single-line diagram of {self._circuit.reference}"
        if count > 1:
            title += f", sheet {sheet + 1} of {count}"
        said = [f"{title}.", *(line for placed in here for line in placed.band.sentences())]
        said.append("Legend: " + "; ".join(entry.words for entry in self._legend) + ".")
        return Drawing(
            width=SHEET_WIDTH,
            height=bottom + _BOTTOM,
            sheet=sheet + 1,
            sheets=count,
            title=title,
            description="\n".join(said),
            symbols=tuple(canvas.symbols),
            lines=tuple(canvas.lines),
            labels=tuple(canvas.labels),
            legend=self._legend,
        )

    def _draw_spines(self, canvas: Canvas, sheet: int, bottom: int) -> bool:
        """Draw busbars down the left side. Returns whether one continues on the next sheet."""
        come: list[str] = []
        goes_on = False
        for board, depth in self._boards:
            joins = self._busbar_joins[board.board_id]
            if not joins or not joins[0][0] <= sheet <= joins[-1][0]:
                continue
            ends = self._ends(joins, sheet, bottom)
            if ends is None:
                continue
            x = spine_x(depth)
            canvas.line("busbar", ((x, ends[0]), (x, ends[1])), True, board.board_id)
            if any(at < sheet for at, _ in joins):
                come.append(board.name)
            goes_on = goes_on or any(at > sheet for at, _ in joins)
        x = spine_x(self._deepest) + 12
        if come:
            words = block((Part(f"from sheet {sheet}: " + ", ".join(come), most=1),), 500)
            canvas.words(words, x, self._head_height)
        if goes_on:
            words = block((Part(f"continued on sheet {sheet + 2}"),), 500)
            canvas.words(words, x, bottom - 4)
        return goes_on

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
        return (self._head_height if before else min(here), bottom if after else max(here))


def _with_depth(board: Board, depth: int) -> Iterable[tuple[Board, int]]:
    yield board, depth
    for below in board.boards:
        yield from _with_depth(below, depth + 1)
