"""The title block at the foot of a sheet, and the frame round the sheet.

The fields are common practice of engineering drawings, after ISO 7200 (from memory). A field
without a value is a line to write on.
"""

from msgspec import Struct

from connections.diagram.drawing import SHEET_WIDTH
from connections.diagram.heading import Heading
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.sheets.geometry import BORDER

TITLE = "Single-line diagram"
_INSET = 7
_LEAST_VALUE = 15
"""Height of a value; enough to write on."""
_CAPTION = 12


class Field(Struct, frozen=True):
    """One field: caption, value (empty: a line to write on) and width."""

    caption: str
    lines: tuple[str, ...]
    width: int
    bold: bool = False

    @property
    def value(self) -> Block:
        """The value, wrapped to the field."""
        size = 11 if self.bold else 10
        parts = (
            Part(
                line, bold=self.bold, size=size, most=3 if len(self.lines) == 1 else 2, role="title"
            )
            for line in self.lines
        )
        return block(parts, self.width - 2 * _INSET)


class TitleBlock(Struct, frozen=True):
    """The fields of a title block, row by row."""

    rows: tuple[tuple[Field, ...], ...]

    @property
    def height(self) -> int:
        """Height of all rows."""
        return sum(_height(row) for row in self.rows)

    def draw(self, canvas: Canvas, top: int) -> int:
        """Draw it with its upper edge at `top`. Returns its lower edge."""
        y = top
        for row in self.rows:
            bottom = y + _height(row)
            x = BORDER
            canvas.line("border", ((BORDER, y), (SHEET_WIDTH - BORDER, y)))
            for field in row:
                if x > BORDER:
                    canvas.line("border", ((x, y), (x, bottom)))
                _draw_field(canvas, field, x, y, bottom)
                x += field.width
            y = bottom
        return y

    def sentence(self) -> str:
        """The title block in words."""
        said = [
            f"{field.caption}: {', '.join(field.lines) or 'a line to write on'}"
            for row in self.rows
            for field in row
        ]
        return f"Title block. {'; '.join(said)}."


def _height(row: tuple[Field, ...]) -> int:
    return 4 + _CAPTION + max(max(field.value.height for field in row), _LEAST_VALUE) + 5


def _draw_field(canvas: Canvas, field: Field, x: int, top: int, bottom: int) -> None:
    caption = block((Part(field.caption, role="title", soft=True),), field.width - 2 * _INSET)
    below = canvas.words(caption, x + _INSET, top + 4)
    if field.lines:
        canvas.words(field.value, x + _INSET, below)
    else:
        y = bottom - 6
        canvas.line("blank", ((x + _INSET, y), (x + field.width - _INSET, y)))


def title_block(heading: Heading, reference: str, sheet: int, sheets: int) -> TitleBlock:
    """The title block of one sheet."""
    width = SHEET_WIDTH - 2 * BORDER
    numbers = (
        *heading.import_numbers,
        *(f"{number} (export)" for number in heading.export_numbers),
    )
    return TitleBlock(
        (
            (
                Field(TITLE, (reference,), 250, bold=True),
                Field("Premises", _said(heading.address), 286),
                Field(heading.number_word, numbers[:4], width - 536),
            ),
            (
                Field("Drawn by", _said(heading.drawn), 170),
                Field("Checked by", _said(heading.checked), 170),
                Field("Date", _said(heading.date), 150),
                Field("Reference and revision", _said(heading.revision), 136),
                Field("Sheet", (f"{sheet} of {sheets}",), width - 626),
            ),
        )
    )


def _said(value: str) -> tuple[str, ...]:
    return (value,) if value else ()
