"""The band of a board's feeder, from the feeding busbar down to the board's own."""

from msgspec import Struct

from connections.diagram.circuits.board_tree import TAILS
from connections.diagram.circuits.circuit import MOST_DEVICES, Board
from connections.diagram.sheets.band import BoardFoot, Step, board_foot, device_step, draw_steps
from connections.diagram.sheets.canvas import Canvas
from connections.diagram.sheets.description import board_sentence
from connections.diagram.sheets.geometry import (
    COLUMNS_RIGHT,
    CONTROL_X,
    LINE_AT,
    TAILS_SPINE,
    columns_left,
    spine_x,
)
from connections.diagram.symbols import SYMBOLS

_TAP = 10
"""From the top of the band to the line that taps the feeding busbar."""
_FIRST_STEP = _TAP + 6


class Feeder(Struct, frozen=True):
    """A feeder ready to draw. `fed_from` is the feeding board's id, or TAILS.

    `from_x` is where the line or busbar that feeds it runs down; `depth` is the board's own.
    """

    board: Board
    fed_from: str
    from_x: int
    depth: int
    steps: tuple[Step, ...]
    foot: BoardFoot

    @property
    def _x(self) -> int:
        return columns_left(self.depth) + LINE_AT

    @property
    def height(self) -> int:
        """Height down to the board's busbar."""
        ct = SYMBOLS["ct"].height + 6 if self.board.measured else 0
        return _FIRST_STEP + ct + sum(step.height for step in self.steps) + self.foot.height

    @property
    def control_at(self) -> int | None:
        """Height at which a current transformer's line leaves to the right; None without one."""
        return _FIRST_STEP + SYMBOLS["ct"].height // 2 if self.board.measured else None

    @property
    def busbar_at(self) -> tuple[str, int] | None:
        """Feeding board, and the height of the tap on its busbar."""
        return (self.fed_from, _TAP)

    def draw(self, canvas: Canvas, top: int) -> None:
        """Draw the tap, a current transformer if there is one, the devices, the board's name."""
        subject = self.board.board_id
        tap = top + _TAP
        canvas.line("power", ((self.from_x, tap), (self._x, tap)), True, subject)
        drawn_to, y = tap, top + _FIRST_STEP
        if self.board.measured:
            canvas.line("power", ((self._x, drawn_to), (self._x, y)), True, subject)
            drawn_to = canvas.symbol("ct", self._x, y, True, subject)
            shape = SYMBOLS["ct"]
            lead, middle = self._x + shape.width // 2, y + shape.height // 2
            canvas.line("control", ((lead, middle), (CONTROL_X, middle)), subject=subject)
            y = drawn_to + 6
        drawn_to, y = draw_steps(canvas, self.steps, self._x, y, drawn_to, subject)
        self.foot.draw(canvas, self._x, y, drawn_to)

    def sentences(self) -> tuple[str, ...]:
        """The board and its feed."""
        return (board_sentence(self.board),)


def feeder(board: Board, fed_from: str, fed_from_depth: int) -> Feeder:
    """The feeder of a board one level below the board that feeds it; the tails feed at level 1."""
    depth = fed_from_depth + 1
    from_x = TAILS_SPINE if fed_from == TAILS else spine_x(fed_from_depth)
    x = columns_left(depth) + LINE_AT
    return Feeder(
        board,
        fed_from,
        from_x,
        depth,
        tuple(device_step(d, COLUMNS_RIGHT - x - 40) for d in board.devices[:MOST_DEVICES]),
        board_foot(board, x),
    )
