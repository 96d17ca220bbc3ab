"""Rows of columns below a busbar."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from connections.diagram.circuits.circuit import Board
from connections.diagram.sheets.canvas import Canvas
from connections.diagram.sheets.column import (
    FIRST_STAGE,
    STAGE_GAP,
    STAGES,
    PlannedColumn,
    Stage,
    plan,
    slots_of,
)
from connections.diagram.sheets.column_drawing import draw_column
from connections.diagram.sheets.description import column_sentence
from connections.diagram.sheets.geometry import (
    CONTROL_X,
    LINE_AT,
    LOADS_X,
    RISER_AT,
    columns_left,
    spine_x,
)
from connections.diagram.sheets.island import IslandPlace

MOST_SLOTS = 5
"""Most columns side by side; with more, their words would not fit. Our choice."""
TALLEST_ROW = 600
"""Room on a sheet below its head and above its legend."""
_WAYS = ((MOST_SLOTS, 215), (3, 215), (2, 320))
"""Slots across and their greatest width: wider slots for very long words."""


class ColumnRow(Struct, frozen=True):
    """A busbar with columns below it, ready to draw; without columns only the busbar.

    `first`: the board's feeder ends at this row.
    """

    board: Board
    depth: int
    columns: tuple[PlannedColumn, ...]
    heights: Mapping[Stage, int]
    first: bool

    @property
    def _controlled(self) -> bool:
        return any(p.column.controlled or p.column.measured for p in self.columns)

    @property
    def height(self) -> int:
        """Height with the control line below the columns."""
        if not self.columns:
            return 12
        return FIRST_STAGE + sum(self.heights.values()) + (14 if self._controlled else 8)

    @property
    def control_at(self) -> int | None:
        """Height of the row's control line; None without one."""
        return self.height - 8 if self._controlled else None

    @property
    def busbar_at(self) -> tuple[str, int] | None:
        """Its own busbar, at the top."""
        return (self.board.board_id, 0)

    def draw(self, canvas: Canvas, top: int) -> None:
        """Draw the busbar and the columns below it."""
        left = columns_left(self.depth)
        control_y = top + self.height - 8
        busbar_end = LOADS_X + 20 if self.first else left + LINE_AT
        leftmost = CONTROL_X
        x = left
        for planned in self.columns:
            draw_column(canvas, planned, x, top, self.heights, control_y)
            if planned.column.controlled:
                leftmost = min(leftmost, x + RISER_AT)
            if planned.column.measured:
                leftmost = min(leftmost, x + planned.width - 1)
            busbar_end = max(busbar_end, x + LINE_AT + 14)
            x += planned.width
        ends = ((spine_x(self.depth), top), (busbar_end, top))
        canvas.line("busbar", ends, True, self.board.board_id)
        if self._controlled:
            canvas.line("control", ((leftmost, control_y), (CONTROL_X, control_y)))

    def sentences(self) -> tuple[str, ...]:
        """The units of the row."""
        return tuple(column_sentence(p.column, self.board) for p in self.columns)

    def overleaf(self) -> tuple["ColumnRow", "ColumnRow"]:
        """Split a row that is too tall: the busbar alone, and the columns as a further row."""
        alone = ColumnRow(self.board, self.depth, (), {}, self.first)
        return alone, ColumnRow(self.board, self.depth, self.columns, self.heights, False)


def rows_of(board: Board, depth: int, room: int) -> tuple[ColumnRow, ...]:
    """The rows of a board in a width of `room`, at least one.

    Uses fewer and wider columns where long words would make a row taller than a sheet.
    """
    if not board.columns:
        return (_row(board, depth, (), True),)
    rows: tuple[ColumnRow, ...] = ()
    for most, widest in _WAYS:
        rows = _filled(board, depth, room, most, widest)
        if all(row.height <= TALLEST_ROW for row in rows):
            break
    return rows


def _filled(board: Board, depth: int, room: int, most: int, widest: int) -> tuple[ColumnRow, ...]:
    """Rows of about `most` slots, filled evenly, no slot wider than `widest`."""
    counts = [slots_of(column, MOST_SLOTS) for column in board.columns]
    row_count = -(-sum(counts) // most)
    across = max(max(counts), -(-sum(counts) // row_count))
    width = min(widest, room // across)
    rows: list[ColumnRow] = []
    at = 0
    while at < len(counts):
        end, used = at + 1, counts[at]
        while end < len(counts) and used + counts[end] <= across:
            used += counts[end]
            end += 1
        columns = tuple(
            plan(column, slots, width)
            for column, slots in zip(board.columns[at:end], counts[at:end], strict=True)
        )
        rows.append(_row(board, depth, columns, not rows))
        at = end
    return tuple(rows)


def _row(board: Board, depth: int, columns: Sequence[PlannedColumn], first: bool) -> ColumnRow:
    """Build a row; each stage is as high as its tallest column needs."""
    heights = {
        stage: max((p.pieces[stage].height for p in columns if stage in p.pieces), default=0)
        for stage in STAGES
    }
    for planned in columns:
        if planned.island:
            _make_room(planned.island, heights)
    return ColumnRow(board, depth, tuple(columns), heights, first)


def _make_room(island: IslandPlace, heights: dict[Stage, int]) -> None:
    """Raise the stages round an island's line where the island needs more height."""
    upper = STAGES[: STAGES.index("island") + 1]
    above = FIRST_STAGE + sum(heights[stage] for stage in upper) - STAGE_GAP
    heights["island"] += max(island.above - above, 0)
    lower = STAGES[len(upper) : STAGES.index("unit") + 1]
    below = STAGE_GAP + sum(heights[stage] for stage in lower)
    heights["unit"] += max(island.below - below, 0)
