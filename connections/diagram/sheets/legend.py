"""The legend: every symbol and kind of line on the drawing that has no words beside it."""

from msgspec import Struct

from connections.diagram.circuits.circuit import Circuit, every_board
from connections.diagram.drawing import LegendEntry, PlacedSymbol
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.symbols import LINE_WORDS, SHOWN_SMALLER, SYMBOLS

_SAMPLE = 48
"""Room for the sample, left of the words."""
_HEAD = 18


class Legend(Struct, frozen=True):
    """A legend wrapped for a width. `rows` are the heights of its rows."""

    entries: tuple[LegendEntry, ...]
    words: tuple[Block, ...]
    columns: int
    column_width: int
    rows: tuple[int, ...]

    @property
    def height(self) -> int:
        """Height in drawing units, with the heading."""
        return _HEAD + sum(self.rows)


def entries(circuit: Circuit) -> tuple[LegendEntry, ...]:
    """Symbols and lines that the legend of this site must explain."""
    used = {"isolator"}
    statuses = {"existing", "proposed"}
    if circuit.scheme:
        used.add("ct")
    for board in every_board(circuit.main):
        for column in board.columns:
            statuses.add(column.status)
            if column.symbol == "inverter-tested":
                used.update(("inverter", "interface"))
            else:
                used.update((column.symbol, "interface"))
            for source in column.sources:
                statuses.add(source.status)
                used.add(source.symbol)
                if source.isolated:
                    used.add("dc-isolator")
    for stray in circuit.strays:
        statuses.add(stray.source.status)
        used.add(stray.source.symbol)
    lines = [status for status in ("existing", "proposed", "removed") if status in statuses]
    others = ["busbar", *(["control"] if circuit.scheme else [])]
    return (
        *(LegendEntry(LINE_WORDS[name], line=name) for name in lines),
        *(
            LegendEntry(symbol.words, symbol=name)
            for name, symbol in SYMBOLS.items()
            if name in used and symbol.words
        ),
        *(LegendEntry(LINE_WORDS[name], line=name) for name in others),
    )


def arrange(of: tuple[LegendEntry, ...], width: int, columns: int) -> Legend:
    """Wrap a legend into columns, filled downwards."""
    column_width = width // columns
    words = tuple(
        block((Part(entry.words, most=6, role="legend"),), column_width - _SAMPLE - 6)
        for entry in of
    )
    row_count = -(-len(of) // columns)
    heights = [
        max(_sample_height(entry), wrapped.height) + 5
        for entry, wrapped in zip(of, words, strict=True)
    ]
    rows = tuple(max(heights[row::row_count]) for row in range(row_count))
    return Legend(of, words, columns, column_width, rows)


def draw_legend(canvas: Canvas, legend: Legend, x: int, y: int) -> None:
    """Draw a legend with its top left corner at `x`, `y`."""
    canvas.words(block((Part("Legend", bold=True, role="legend"),), 100), x, y)
    canvas.words(block((Part("(isolator without rating: not known)"),), 230), x + 46, y)
    row_count = len(legend.rows)
    for i, entry in enumerate(legend.entries):
        column, row = divmod(i, row_count)
        left = x + column * legend.column_width
        top = y + _HEAD + sum(legend.rows[:row])
        middle = top + (legend.rows[row] - 5) // 2
        if entry.symbol:
            _symbol_sample(canvas, entry.symbol, left + 22, middle)
        else:
            _line_sample(canvas, entry.line, left, middle)
        words = legend.words[i]
        canvas.words(words, left + _SAMPLE, middle - words.height // 2)


def _size(symbol: str) -> tuple[int, int]:
    shape = SYMBOLS[symbol]
    return SHOWN_SMALLER.get(symbol, (shape.width, shape.height))


def _sample_height(entry: LegendEntry) -> int:
    return _size(entry.symbol)[1] if entry.symbol else 16


def _symbol_sample(canvas: Canvas, symbol: str, centre: int, middle: int) -> None:
    width, height = _size(symbol)
    canvas.symbols.append(
        PlacedSymbol(symbol, centre - width // 2, middle - height // 2, width, height)
    )


def _line_sample(canvas: Canvas, name: str, left: int, middle: int) -> None:
    ends = ((left + 6, middle), (left + 40, middle))
    box = (
        (left + 8, middle - 7),
        (left + 38, middle - 7),
        (left + 38, middle + 7),
        (left + 8, middle + 7),
        (left + 8, middle - 7),
    )
    if name == "existing":
        canvas.line("power", ends, thick=True)
    elif name == "proposed":
        canvas.line("frame", box)
    elif name == "removed":
        canvas.line("box", box)
        canvas.line("cross", (box[0], box[2]))
        canvas.line("cross", (box[1], box[3]))
    elif name == "control":
        canvas.line("control", ends)
    else:
        canvas.line("busbar", ends)
