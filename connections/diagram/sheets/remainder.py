"""The bands below the circuits: panels and cells without a unit, and notes."""

from msgspec import Struct

from connections.diagram.circuits.circuit import Circuit, Stray
from connections.diagram.sheets.canvas import Block, Canvas, Part, block
from connections.diagram.sheets.column import source_parts
from connections.diagram.sheets.column_drawing import cross, frame
from connections.diagram.sheets.description import stray_sentences
from connections.diagram.sheets.geometry import (
    LEFT,
    LINE_AT,
    RIGHT,
    WORDS_LEFT,
    WORDS_RIGHT,
    columns_left,
)
from connections.diagram.symbols import SYMBOLS

MOST_STRAYS = 5
MOST_NOTES = 8
_STRAY_WIDTH = 130
_STRAY_SYMBOL = 36
"""Height kept for the symbol above the words."""


class _Loose(Struct, frozen=True):
    """A band that joins nothing."""

    @property
    def control_at(self) -> int | None:
        """None: no control line comes here."""
        return None

    @property
    def busbar_at(self) -> tuple[str, int] | None:
        """None: no busbar comes here."""
        return None


class Strays(_Loose, frozen=True):
    """Panels and cells that name a missing unit: drawn, but joined to nothing."""

    strays: tuple[Stray, ...]
    words: tuple[Block, ...]
    head: Block

    @property
    def height(self) -> int:
        """Height with the heading."""
        shown = max(block.height for block in self.words)
        return 12 + self.head.height + 6 + _STRAY_SYMBOL + shown + 10

    def draw(self, canvas: Canvas, top: int) -> None:
        """Draw the first few side by side."""
        y = canvas.words(self.head, LEFT, top + 12) + 6
        for i, (stray, words) in enumerate(zip(self.strays, self.words, strict=False)):
            left = columns_left(0) + i * _STRAY_WIDTH
            source = stray.source
            shape = SYMBOLS[source.symbol]
            centre = left + LINE_AT
            canvas.symbol(source.symbol, centre, y + 3, source.status == "existing", stray.names)
            bottom = canvas.words(words, left + WORDS_LEFT, y + _STRAY_SYMBOL, stray.names)
            if source.status == "proposed":
                frame(canvas, left, left + _STRAY_WIDTH, y, bottom + 3, stray.names)
            elif source.status == "removed":
                middle = y + 3 + shape.height // 2
                cross(canvas, centre, middle, shape.width, shape.height, stray.names)

    def sentences(self) -> tuple[str, ...]:
        """Sentences on all of them, drawn or not."""
        return (f"{self.head.parts[0].text}.", *stray_sentences(self.strays))


def strays(circuit: Circuit) -> Strays:
    """The band of panels and cells without a unit; only for a circuit that has some."""
    shown = circuit.strays[:MOST_STRAYS]
    rest = len(circuit.strays) - len(shown)
    head = "Behind no unit of this site, joined to nothing"
    if rest:
        head += f" ({rest} more stand in the text description)"
    return Strays(
        circuit.strays,
        tuple(
            block(
                (
                    *source_parts(stray.source, ""),
                    Part(f"names unit “{stray.names}”, which is not there"),
                ),
                _STRAY_WIDTH - WORDS_LEFT - WORDS_RIGHT,
            )
            for stray in shown
        ),
        block((Part(head, bold=True),), RIGHT - LEFT),
    )


class Notes(_Loose, frozen=True):
    """Sentences below the drawing."""

    notes: tuple[str, ...]
    more: tuple[str, ...]
    words: Block

    @property
    def height(self) -> int:
        """Height with the heading."""
        return self.words.height + 14

    def draw(self, canvas: Canvas, top: int) -> None:
        """Draw the first few."""
        canvas.words(self.words, LEFT, top + 10)

    def sentences(self) -> tuple[str, ...]:
        """All of them, drawn or not."""
        numbered = (f"{i}. {note}" for i, note in enumerate(self.notes, start=1))
        return (*(part.text for part in self.words.parts if part.bold), *numbered, *self.more)


def notes(circuit: Circuit) -> Notes:
    """The band of notes; only for a circuit that has some."""
    shown = circuit.notes[:MOST_NOTES]
    rest = len(circuit.notes) - len(shown)
    lines = [f"{i + 1}. {note}" for i, note in enumerate(shown)]
    more = (f"{rest} more notes stand in the text description.",) if rest else ()
    parts = (Part("Notes", bold=True), *(Part(line) for line in (*lines, *more)))
    return Notes(circuit.notes, more, block(parts, RIGHT - LEFT))
