"""Placed symbols, lines and labels of a drawing, in whole drawing units.

Four drawing units make one millimetre on a sheet printed at its full width of 180 mm. A letter of
size 10 is then 7.1 points high. Our choice, so that nothing falls below 7 points on a portrait A4
page.
"""

from typing import Literal, TypeAlias

from msgspec import Struct

UNITS_PER_MM = 4
SHEET_WIDTH = 720
"""180 mm: the type area of a portrait A4 page."""
SHEET_HEIGHT = 940
"""235 mm: no sheet is higher, so that a heading of the page fits above it."""
SMALLEST_LETTERS = 10

Point: TypeAlias = tuple[int, int]
Box: TypeAlias = tuple[int, int, int, int]
"""Left, top, right, bottom."""

LineKind = Literal[
    "power", "busbar", "control", "head", "boundary", "frame", "cross", "box", "border", "blank"
]
"""head: the arrowhead of a control line; border: frame and title block of the sheet; blank: a line
to write on."""

DASHES: dict[str, str] = {"control": "2 3", "boundary": "12 3 2 3", "frame": "7 4"}
THIN_TENTHS: dict[str, int] = {
    "power": 11,
    "busbar": 40,
    "control": 12,
    "head": 12,
    "boundary": 11,
    "frame": 9,
    "cross": 22,
    "box": 11,
    "border": 8,
    "blank": 6,
}
THICK_TENTHS = 22
"""Width of a line of existing plant, in tenths of a drawing unit."""


def _tenths(value: int) -> str:
    return f"{value // 10}.{value % 10}"


class PlacedSymbol(Struct, frozen=True):
    """A symbol of `connections.diagram.symbols` with its top left corner and its drawn size.

    `subject` is the id of its unit or board; empty for the supply and the legend. `sample`: it
    stands in the legend.
    """

    name: str
    x: int
    y: int
    width: int
    height: int
    thick: bool = False
    subject: str = ""
    sample: bool = False

    @property
    def stroke_width(self) -> str:
        """Width of the symbol's lines; existing plant is drawn thick."""
        return _tenths(THICK_TENTHS if self.thick else THIN_TENTHS["power"])

    @property
    def box(self) -> Box:
        """The space that the symbol takes."""
        return (self.x, self.y, self.x + self.width, self.y + self.height)


class Line(Struct, frozen=True):
    """A line through `points`. Its kind sets the dashes; `thick` marks existing plant."""

    kind: LineKind
    points: tuple[Point, ...]
    thick: bool = False
    subject: str = ""
    sample: bool = False

    @property
    def path(self) -> str:
        """The `points` attribute of an SVG polyline."""
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
    """One printed line of a label; `y` is its baseline.

    `as_seen`: its right-to-left words are already in visual order. A browser must not reorder them.
    """

    y: int
    text: str
    as_seen: bool = False


class Label(Struct, frozen=True):
    """Words of one size and weight; `x` is their left edge, or the right one if `anchor` is "end".

    `width` is the measured width, `full` the text before shortening. `role` is "unit" (for a unit's
    id), "legend", "title" (in the title block) or empty. `soft`: a caption, in lighter ink.
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
    soft: bool = False

    @property
    def box(self) -> Box:
        """Space of the words, from above the first baseline to below the last."""
        left = self.x if self.anchor == "start" else self.x - self.width
        top = self.rows[0].y - (self.size * 4 + 4) // 5
        bottom = self.rows[-1].y + (self.size + 3) // 4
        return (left, top, left + self.width, bottom)


class LegendEntry(Struct, frozen=True):
    """Meaning of a symbol or of a kind of line. Either `symbol` or `line` is empty."""

    words: str
    symbol: str = ""
    line: str = ""


class Drawing(Struct, frozen=True):
    """One sheet. `description` tells the drawing in words, in drawing order."""

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

    @property
    def prefix(self) -> str:
        """The word that ids of this sheet begin with; no other sheet of the drawing has it."""
        return f"sld-{self.sheet}"

    @property
    def drawn_names(self) -> frozenset[str]:
        """Names of the symbols on the sheet, legend included."""
        return frozenset(symbol.name for symbol in self.symbols)
