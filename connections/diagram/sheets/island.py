"""The island of a unit: what it feeds once it is parted from the network, drawn beside its column.

The line leaves the column between the changeover and the isolator. Above it stand the RCD and the
backed-up board, below it the relay between neutral and earth, the main earth terminal and the
earth electrode.
"""

from msgspec import Struct

from connections.diagram.circuits.circuit import Island
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.symbols import SYMBOLS

_LINE_IN = 30
"""From the left edge of the second slot to the island's line."""
_WORDS = 20
"""From that line to the words at its right."""
_INSET = 10
"""Kept free at the right edge of the column."""
_GAP = 7


class IslandPlace(Struct, frozen=True):
    """An island with its words wrapped. Positions count from the left edge of the column."""

    island: Island
    line_at: int
    loads_at: int
    right: int
    name: Block
    loads: Block
    residual: Block
    earthing: tuple[tuple[str, Block], ...]
    """Symbols from the island's line down to the electrode, with their words."""

    @property
    def _head(self) -> int:
        """Height of the words and the arrow above the busbar."""
        return max(self.name.height, self.loads.height, SYMBOLS["load"].height) + 4

    @property
    def _device(self) -> int:
        residual = self.island.residual
        return max(SYMBOLS[residual.symbol].height, self.residual.height) if residual else 0

    @property
    def above(self) -> int:
        """Height that it needs above its line."""
        return _GAP + self._head + _GAP + self._device + _GAP if self.island.board else 0

    @property
    def below(self) -> int:
        """Height that it needs below its line."""
        return sum(_GAP + _tall(symbol, words) for symbol, words in self.earthing) + 2

    def draw(
        self, canvas: Canvas, left: int, centre: int, y: int, thick: bool, subject: str
    ) -> None:
        """Draw it for a column whose left edge and line are at `left` and `centre`.

        `y` is the height at which its line leaves the column's.
        """
        x = left + self.line_at
        canvas.line("power", ((centre, y), (x, y)), thick, subject)
        at, top = y, y
        for symbol, words in self.earthing:
            tall = _tall(symbol, words)
            middle = top + _GAP + tall // 2
            upper = middle - SYMBOLS[symbol].height // 2
            canvas.line("power", ((x, at), (x, upper)), thick, subject)
            at = canvas.symbol(symbol, x, upper, thick, subject)
            canvas.words(words, x + _WORDS, middle - words.height // 2, subject)
            top += _GAP + tall
        if self.island.board:
            self._draw_board(canvas, left, x, y, thick, subject)

    def _draw_board(
        self, canvas: Canvas, left: int, x: int, y: int, thick: bool, subject: str
    ) -> None:
        residual = self.island.residual
        busbar = y - 2 * _GAP - self._device
        lower = y
        if residual:
            middle = busbar + _GAP + self._device // 2
            upper = middle - SYMBOLS[residual.symbol].height // 2
            edge = canvas.symbol(residual.symbol, x, upper, thick, subject)
            canvas.words(self.residual, x + _WORDS, middle - self.residual.height // 2, subject)
            canvas.line("power", ((x, edge), (x, lower)), thick, subject)
            lower = upper
        canvas.line("power", ((x, busbar), (x, lower)), thick, subject)
        canvas.line("busbar", ((x - 14, busbar), (left + self.right, busbar)), True, subject)
        canvas.words(self.name, x - 14, busbar - 4 - self.name.height, subject)
        arrow = SYMBOLS["load"].height
        canvas.symbol("load", left + self.loads_at, busbar - arrow, thick, subject)
        canvas.words(self.loads, left + self.loads_at + 10, busbar - 4 - self.loads.height, subject)


def _tall(symbol: str, words: Block) -> int:
    return max(SYMBOLS[symbol].height, words.height)


def plan_island(island: Island, slot: int, width: int) -> IslandPlace:
    """Wrap the words of an island beside a column of this slot width and whole width."""
    line_at, right = slot + _LINE_IN, width - _INSET
    loads_at = line_at + (right - line_at) // 2
    room = right - line_at - _WORDS

    def words(text: str) -> Block:
        return block((Part(text, most=4),), room)

    earthing = (("relay", island.relay), ("earth-terminal", island.terminal))
    return IslandPlace(
        island,
        line_at,
        loads_at,
        right,
        block((Part(island.board, bold=True),), loads_at - line_at),
        block((Part(island.loads),), right - loads_at - 12),
        words(island.residual.words if island.residual else ""),
        tuple((symbol, words(text)) for symbol, text in (*earthing, ("earth", island.electrode))),
    )
