"""Canvas of a sheet: the layout places symbols, lines and blocks of words on it."""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from connections.diagram.drawing import (
    SMALLEST_LETTERS,
    Label,
    LabelRow,
    Line,
    LineKind,
    PlacedSymbol,
    Point,
)
from connections.diagram.lettering import width_of, wrap
from connections.diagram.reading_order import as_seen, turns
from connections.diagram.symbols import SYMBOLS


class Part(Struct, frozen=True):
    """Words of a block that share size and weight; wrapped to at most `most` lines."""

    text: str
    bold: bool = False
    size: int = SMALLEST_LETTERS
    most: int = 3
    role: str = ""
    soft: bool = False


class Block(Struct, frozen=True):
    """Parts below each other, wrapped to a width. `rows` has the wrapped lines of each part."""

    parts: tuple[Part, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def height(self) -> int:
        """Height in drawing units, 0 if there are no words."""
        return sum(
            line_height(part.size) * len(rows)
            for part, rows in zip(self.parts, self.rows, strict=True)
        )

    @property
    def width(self) -> int:
        """Width of the widest line."""
        return max(
            (
                width_of(row, part.size, part.bold)
                for part, rows in zip(self.parts, self.rows, strict=True)
                for row in rows
            ),
            default=0,
        )


def line_height(size: int) -> int:
    """Distance between baselines: 1.2 times the letter size."""
    return -(-size * 6 // 5)


def block(parts: Iterable[Part], width: int) -> Block:
    """Wrap parts to a width; empty parts take no room."""
    kept = tuple(part for part in parts if part.text)
    rows = tuple(wrap(part.text, width, part.size, part.bold, part.most) for part in kept)
    return Block(kept, rows)


def _row(y: int, text: str) -> LabelRow:
    return LabelRow(y, as_seen(text), as_seen=turns(text))


class Canvas:
    """Collects what is placed on one sheet."""

    def __init__(self) -> None:
        self.symbols: list[PlacedSymbol] = []
        self.lines: list[Line] = []
        self.labels: list[Label] = []

    def symbol(
        self,
        name: str,
        centre: int,
        top: int,
        thick: bool = False,
        subject: str = "",
        sample: bool = False,
    ) -> int:
        """Place a symbol with its connections at `centre`. Returns its bottom edge."""
        shape = SYMBOLS[name]
        left = centre - shape.width // 2
        self.symbols.append(
            PlacedSymbol(name, left, top, shape.width, shape.height, thick, subject, sample)
        )
        return top + shape.height

    def clamp(
        self, arrow: str, centre: int, top: int, thick: bool = False, subject: str = ""
    ) -> int:
        """Place a clamp round the line at `centre`, its arrow at its left. Returns its bottom."""
        ring = SYMBOLS["ct"]
        if arrow:
            shape = SYMBOLS[arrow]
            beside = centre - ring.width // 2 - 2 - shape.width // 2
            self.symbol(arrow, beside, top + (ring.height - shape.height) // 2, thick, subject)
        return self.symbol("ct", centre, top, thick, subject)

    def line(
        self,
        kind: LineKind,
        points: Sequence[Point],
        thick: bool = False,
        subject: str = "",
        sample: bool = False,
    ) -> None:
        """Draw a line, unless it has no length."""
        if len(set(points)) > 1:
            self.lines.append(Line(kind, tuple(points), thick, subject, sample))

    def signal(self, points: Sequence[Point], subject: str = "", sample: bool = False) -> None:
        """Draw a control line that ends level, with an arrowhead pointing to the right."""
        self.line("control", points, subject=subject, sample=sample)
        x, y = points[-1]
        self.line("head", ((x - 6, y - 4), (x, y), (x - 6, y + 4)), subject=subject, sample=sample)

    def box(self, kind: LineKind, left: int, top: int, right: int, bottom: int) -> None:
        """Draw the four sides of a box."""
        corners = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
        self.line(kind, corners)

    def words(self, of: Block, x: int, top: int, subject: str = "") -> int:
        """Place a block by its top left corner. Returns its bottom edge."""
        y = top
        for part, rows in zip(of.parts, of.rows, strict=True):
            step = line_height(part.size)
            placed = tuple(
                # The baseline stands a fifth of the letter size above the bottom of its line.
                _row(y + step * (i + 1) - (part.size + 4) // 5 - 1, row)
                for i, row in enumerate(rows)
            )
            if placed:
                width = max(width_of(row, part.size, part.bold) for row in rows)
                self.labels.append(
                    Label(
                        x=x,
                        rows=placed,
                        size=part.size,
                        width=width,
                        full=part.text,
                        bold=part.bold,
                        subject=subject,
                        role=part.role,
                        soft=part.soft,
                    )
                )
            y += step * len(rows)
        return y
