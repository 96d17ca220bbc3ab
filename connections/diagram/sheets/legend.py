"""The legend: every symbol and kind of line that stands on a sheet, and no other."""

from msgspec import Struct

from connections.diagram.drawing import LegendEntry, PlacedSymbol
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.symbols import LINE_WORDS, SHOWN_SMALLER, SYMBOLS

_SAMPLE = 54
"""Room for the sample, left of the words."""
_HEAD = 18
_GAP = 5


class Legend(Struct, frozen=True):
    """A legend wrapped for a width: columns of entries with their words."""

    columns: tuple[tuple[tuple[LegendEntry, Block], ...], ...]
    column_width: int

    @property
    def height(self) -> int:
        """Height in drawing units, with the heading."""
        return _HEAD + max(
            (sum(_height(entry, words) for entry, words in column) for column in self.columns),
            default=0,
        )

    @property
    def entries(self) -> tuple[LegendEntry, ...]:
        """All entries in their order."""
        return tuple(entry for column in self.columns for entry, _ in column)


def entries_of(canvas: Canvas) -> tuple[LegendEntry, ...]:
    """What a legend must explain of all that is drawn on a canvas."""
    kinds = {line.kind for line in canvas.lines if not line.sample}
    names = {symbol.name for symbol in canvas.symbols if not symbol.sample}
    existing = any(line.thick and line.kind == "power" for line in canvas.lines)
    existing = existing or any(symbol.thick for symbol in canvas.symbols)
    shown = {
        "existing": existing,
        "proposed": "frame" in kinds,
        "removed": "cross" in kinds,
        "busbar": "busbar" in kinds,
        "boundary": "boundary" in kinds,
        "control": "control" in kinds,
    }
    return (
        *(LegendEntry(LINE_WORDS[name], line=name) for name in LINE_WORDS if shown[name]),
        *(
            LegendEntry(symbol.words, symbol=name)
            for name, symbol in SYMBOLS.items()
            if name in names
        ),
    )


def arrange(of: tuple[LegendEntry, ...], width: int, columns: int) -> Legend:
    """Wrap a legend into columns, filled downwards, none longer than it must be."""
    column_width = width // columns
    wrapped = [
        (entry, block((Part(entry.words, most=6, role="legend"),), column_width - _SAMPLE - 6))
        for entry in of
    ]
    heights = [_height(entry, words) for entry, words in wrapped]
    most = max([*heights, -(-sum(heights) // columns)], default=0)
    while len(found := _filled(heights, most)) > columns:
        most += 1
    return Legend(
        tuple(tuple(wrapped[start:end]) for start, end in found),
        column_width,
    )


def _filled(heights: list[int], most: int) -> list[tuple[int, int]]:
    """Begin and end of each column, none higher than `most`."""
    found: list[tuple[int, int]] = []
    start, used = 0, 0
    for i, height in enumerate(heights):
        if used + height > most:
            found.append((start, i))
            start, used = i, 0
        used += height
    return [*found, (start, len(heights))]


def draw_legend(canvas: Canvas, legend: Legend, x: int, y: int) -> None:
    """Draw a legend with its top left corner at `x`, `y`."""
    canvas.words(block((Part("Legend", bold=True, role="legend"),), 100), x, y)
    for i, column in enumerate(legend.columns):
        left, top = x + i * legend.column_width, y + _HEAD
        for entry, words in column:
            height = _height(entry, words) - _GAP
            middle = top + height // 2
            if entry.symbol:
                _symbol_sample(canvas, entry.symbol, left + 26, middle)
            else:
                _line_sample(canvas, entry.line, left, middle)
            canvas.words(words, left + _SAMPLE, middle - words.height // 2)
            top += height + _GAP


def _height(entry: LegendEntry, words: Block) -> int:
    sample = _size(entry.symbol)[1] if entry.symbol else 16
    return max(sample, words.height) + _GAP


def _size(symbol: str) -> tuple[int, int]:
    shape = SYMBOLS[symbol]
    return SHOWN_SMALLER.get(symbol, (shape.width, shape.height))


def _symbol_sample(canvas: Canvas, symbol: str, centre: int, middle: int) -> None:
    width, height = _size(symbol)
    left, top = centre - width // 2, middle - height // 2
    canvas.symbols.append(PlacedSymbol(symbol, left, top, width, height, sample=True))


def _line_sample(canvas: Canvas, name: str, left: int, middle: int) -> None:
    ends = ((left + 6, middle), (left + 40, middle))
    x0, x1, y0, y1 = left + 8, left + 38, middle - 7, middle + 7
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    if name == "existing":
        canvas.line("power", ends, thick=True, sample=True)
    elif name == "proposed":
        canvas.line("frame", corners, sample=True)
    elif name == "removed":
        canvas.line("box", corners, sample=True)
        canvas.line("cross", (corners[0], corners[2]), sample=True)
        canvas.line("cross", (corners[1], corners[3]), sample=True)
    elif name == "control":
        canvas.signal(ends, sample=True)
    elif name == "boundary":
        canvas.line("boundary", ends, sample=True)
    else:
        canvas.line("busbar", ends, sample=True)
