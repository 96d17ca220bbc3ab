"""A band: a part of a sheet with its full width and a height of its own.

A drawing is a stack of bands. Busbars down the left and control lines down the right join bands;
they are drawn once the bands have their places.
"""

from typing import Protocol

from msgspec import Struct

from connections.diagram.circuits.circuit import Board, Clamps, Device
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.sheets.geometry import COLUMNS_RIGHT, LOADS_X
from connections.diagram.symbols import SYMBOLS


class Band(Protocol):
    """Interface of a band; heights count from its top."""

    @property
    def height(self) -> int:
        """Height of the band."""

    @property
    def control_at(self) -> int | None:
        """Height at which it meets the control line on the right side; None if it doesn't."""

    @property
    def busbar_at(self) -> tuple[str, int] | None:
        """Board whose busbar it joins, and the height of the joint; None if it joins none."""

    def draw(self, canvas: Canvas, top: int) -> None:
        """Draw the band with its upper edge at `top`."""

    def sentences(self) -> tuple[str, ...]:
        """Its content in words."""


class Step(Struct, frozen=True):
    """A symbol in a vertical line with words at its right."""

    symbol: str
    words: Block
    gap: int = 6
    arrow: str = ""
    """The arrow beside a clamp."""

    @property
    def height(self) -> int:
        """Height of the step with the gap below it."""
        symbol = SYMBOLS[self.symbol].height if self.symbol else 0
        return max(symbol, self.words.height) + self.gap


WORDS_BESIDE = 28
"""Distance from a vertical line to the words at its right."""


def clamp_step(clamps: Clamps, width: int) -> Step:
    """A step for clamps whose words may be `width` wide."""
    return Step("ct", block((Part(clamps.words),), width), arrow=clamps.arrow)


def device_step(device: Device, width: int) -> Step:
    """A step for a device whose words may be `width` wide."""
    return Step(device.symbol, block((Part(device.words, most=2),), width))


def draw_steps(
    canvas: Canvas,
    steps: tuple[Step, ...],
    x: int,
    top: int,
    drawn_to: int | None,
    subject: str = "",
) -> tuple[int, int]:
    """Draw steps one below another. Returns the lower end of the line, and the next top.

    `drawn_to` is the lower end of the line above them; None if the line begins here.
    """
    reached = top if drawn_to is None else drawn_to
    for step in steps:
        middle = top + (step.height - step.gap) // 2
        if step.symbol:
            symbol_top = middle - SYMBOLS[step.symbol].height // 2
            if drawn_to is not None:
                canvas.line("power", ((x, drawn_to), (x, symbol_top)), True, subject)
            if step.symbol == "ct":
                reached = drawn_to = canvas.clamp(step.arrow, x, symbol_top, True, subject)
            else:
                reached = drawn_to = canvas.symbol(step.symbol, x, symbol_top, True, subject)
        canvas.words(step.words, x + WORDS_BESIDE, middle - step.words.height // 2, subject)
        top += step.height
    return reached, top


class BoardFoot(Struct, frozen=True):
    """Lower end of the line that feeds a board: name, loads, and the busbar below.

    The loads are drawn as an arrow away from the busbar, with the clamps on them below it.
    """

    board_id: str
    name: Block
    loads: Block
    clamps: tuple[Step, ...] = ()

    @property
    def _clamped(self) -> int:
        """Height of the clamps between the busbar and the arrow."""
        return sum(step.height for step in self.clamps)

    @property
    def height(self) -> int:
        """Height down to the busbar."""
        return max(self.name.height + 8, self._clamped + max(self.loads.height + 8, 38))

    def draw(self, canvas: Canvas, x: int, top: int, drawn_to: int) -> None:
        """Draw it for a line at `x` that reaches down to `drawn_to`."""
        bottom = top + self.height
        canvas.line("power", ((x, drawn_to), (x, bottom)), True, self.board_id)
        canvas.words(self.name, x + 11, bottom - 6 - self.name.height, self.board_id)
        lower = bottom
        for step in self.clamps:
            upper = lower - step.height
            middle = lower - (step.height - step.gap) // 2
            ring = middle - SYMBOLS[step.symbol].height // 2
            edge = canvas.clamp(step.arrow, LOADS_X, ring, True, self.board_id)
            canvas.line("power", ((LOADS_X, edge), (LOADS_X, lower)), True, self.board_id)
            canvas.line("power", ((LOADS_X, upper), (LOADS_X, ring)), True, self.board_id)
            canvas.words(step.words, LOADS_X + 20, middle - step.words.height // 2, self.board_id)
            lower = upper
        canvas.symbol("load", LOADS_X, lower - SYMBOLS["load"].height, True, self.board_id)
        canvas.words(self.loads, LOADS_X + 14, lower - 6 - self.loads.height, self.board_id)


def board_foot(board: Board, x: int) -> BoardFoot:
    """The foot of the line at `x` that feeds a board."""
    name = (Part(board.name, bold=True, size=11, most=2), Part(board.feed, most=2))
    return BoardFoot(
        board.board_id,
        block(name, LOADS_X - 20 - x - 11),
        block((Part(board.loads),), COLUMNS_RIGHT - LOADS_X - 20),
        tuple(clamp_step(clamps, COLUMNS_RIGHT - LOADS_X - 30) for clamps in board.clamps),
    )
