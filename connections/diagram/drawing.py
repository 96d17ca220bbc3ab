"""What a drawing is made of: placed symbols, lines and labels, all in whole drawing units.

Four drawing units are one millimetre when a sheet is printed at its full width of 180 mm, so a
letter of size 10 comes out at 7.1 points. Our choice, so that nothing falls below 7 points on a
portrait A4 page.
"""

from typing import Literal, TypeAlias

from msgspec import Struct

UNITS_PER_MM = 4
SHEET_WIDTH = 720
"""180 mm: the type area of a portrait A4 page."""
SHEET_HEIGHT = 1000
"""250 mm: no sheet is higher."""
SMALLEST_LETTERS = 10

Point: TypeAlias = tuple[int, int]
Box: TypeAlias = tuple[int, int, int, int]
"""Left, top, right, bottom."""

LineKind = Literal["power", "busbar", "control", "boundary", "frame", "cross", "box"]

DASHES: dict[str, str] = {"control": "2 3", "boundary": "12 3 2 3", "frame": "7 4"}
THIN_TENTHS: dict[str, int] = {
    "power": 11,
    "busbar": 40,
    "control": 12,
    "boundary": 11,
    "frame": 9,
    "cross": 22,
    "box": 11,
}
THICK_TENTHS = 22
"""Width of a line of existing plant, in tenths of a drawing unit."""


def _tenths(value: int) -> str:
    return f"{value // 10}.{value % 10}"


class PlacedSymbol(Struct, frozen=True):
    """A symbol of `connections.diagram.symbols`, by its top left corner and its size as drawn.

    `subject` is the id of the unit or board that it belongs to, empty for the supply and legend.
    """

    name: str
    x: int
    y: int
    width: int
    height: int
    thick: bool = False
    subject: str = ""

    @property
    def stroke_width(self) -> str:
        """Width of the symbol's lines; existing plant is drawn thick."""
        return _tenths(THICK_TENTHS if self.thick else THIN_TENTHS["power"])

    @property
    def box(self) -> Box:
        """The space that the symbol takes."""
        return (self.x, self.y, self.x + self.width, self.y + self.height)


class Line(Struct, frozen=True):
    """A line through `points`. Its kind gives the dashes; `thick` is existing plant."""

    kind: LineKind
    points: tuple[Point, ...]
    thick: bool = False
    subject: str = ""

    @property
    def path(self) -> str:
        """The points as the `points` of an SVG polyline."""
        return " ".join(f"{x},{y}" for x, y in self.points)

    @property
    def stroke_width(self) -> str:
        """Width of the line in drawing units."""
        thick = self.thick and self.kind == "power"
        return _tenths(THICK_TENTHS if thick else THIN_TENTHS[self.kind])

    @property
    def dashes(self) -> str:
        """The dash pattern, empty for a solid line."""
        return DASHES.get(self.kind, "")


class LabelRow(Struct, frozen=True):
    """One printed line of a label, by its baseline.

    `as_seen` says that right-to-left words in it are already turned round, so that a browser must
    leave their order alone.
    """

    y: int
    text: str
    as_seen: bool = False


class Label(Struct, frozen=True):
    """Words on the drawing, all of one size and weight; `x` is their left (or right) edge.

    `width` is their measured width, `full` the text before it was shortened. `role` says what the
    words are: "unit" for a unit's id, "legend", "title", or empty.
    """

    x: int
    rows: tuple[LabelRow, ...]
    size: int
    width: int
    full: str
    bold: bool = False
    anchor: Literal["start", "end"] = "start"
    subject: str = ""
    role: str = ""

    @property
    def box(self) -> Box:
        """The space that the words take: above the first baseline, below the last."""
        left = self.x if self.anchor == "start" else self.x - self.width
        top = self.rows[0].y - (self.size * 4 + 4) // 5
        bottom = self.rows[-1].y + (self.size + 3) // 4
        return (left, top, left + self.width, bottom)


class LegendEntry(Struct, frozen=True):
    """What a symbol or a kind of line means. One of the two names is empty."""

    words: str
    symbol: str = ""
    line: str = ""


class Drawing(Struct, frozen=True):
    """One sheet. `description` says in words, in order, what is drawn."""

    width: int
    height: int
    sheet: int
    sheets: int
    title: str
    description: str
    symbols: tuple[PlacedSymbol, ...]
    lines: tuple[Line, ...]
    labels: tuple[Label, ...]
    legend: tuple[LegendEntry, ...]
