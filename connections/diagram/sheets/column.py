"""One column of a board: the circuit of one line of like units, from the busbar down.

A column is a stack of stages. Columns side by side share the height of every stage, so that
isolators align with isolators and inverters with inverters.
"""

from collections.abc import Mapping, Sequence
from typing import TypeAlias

from msgspec import Struct

from connections.diagram.circuits.circuit import MOST_CLAMPS, MOST_DEVICES, Column, Source
from connections.diagram.lettering import printable
from connections.diagram.sheets.canvas import Block, Part, block
from connections.diagram.sheets.geometry import LINE_AT, WORDS_LEFT, WORDS_RIGHT
from connections.diagram.sheets.island import IslandPlace, plan_island
from connections.diagram.symbols import SYMBOLS

STAGE_GAP = 6
WORDS_GAP = 5
"""Between a symbol and the words beside it."""
NO_SYMBOL = 3
"""Half the width kept free around a line without a symbol."""
FIRST_STAGE = 13
"""From the busbar to the first stage."""
UNIT_LETTERS = 11
FAN_STEP = 5

Stage: TypeAlias = str
STAGES: tuple[Stage, ...] = (
    "ct",
    "clamp 1",
    "clamp 2",
    "device 1",
    "device 2",
    "device 3",
    "cable",
    "changeover",
    "island",
    "isolator",
    "interface",
    "unit",
    "fan",
    "dc isolator",
    "source",
    "source words",
)

ISLAND_SLOTS = 3
"""Least number of slots of a column with an island beside it. Our choice."""
_ISLAND_LINE = 12
"""Height of the stage where the island's line leaves the column."""


class Piece(Struct, frozen=True):
    """Content of one stage of a column: a symbol, words beside it, or both."""

    symbol: str = ""
    words: Block = Block((), ())
    height: int = 0


class PlannedColumn(Struct, frozen=True):
    """A column with its pieces wrapped to its width. `slots` is the number of slots it takes."""

    column: Column
    slots: int
    width: int
    source_width: int
    pieces: Mapping[Stage, Piece]
    source_words: tuple[Block, ...]
    dc_words: tuple[Block, ...]
    island: IslandPlace | None = None


def slots_of(column: Column, most: int) -> int:
    """Number of slots that the column's sources and its island need, at most `most`."""
    least = ISLAND_SLOTS if column.island else 1
    return min(max(len(column.sources), least), most)


def plan(column: Column, slots: int, slot_width: int) -> PlannedColumn:
    """Choose the pieces of a column and wrap their words."""
    width = slots * slot_width
    # Beside an island the words of the circuit keep to the first slot.
    beside = slot_width if column.island else width
    pieces: dict[Stage, Piece] = {}

    def put(stage: Stage, symbol: str, words: Sequence[Part], within: int = beside) -> None:
        half = SYMBOLS[symbol].width // 2 if symbol else NO_SYMBOL
        room = within - LINE_AT - half - WORDS_GAP - WORDS_RIGHT
        wrapped = block(words, room)
        tall = max(SYMBOLS[symbol].height if symbol else 0, wrapped.height)
        if tall:
            pieces[stage] = Piece(symbol, wrapped, tall + STAGE_GAP)

    if column.measured:
        put("ct", "ct", ())
    for i, clamps in enumerate(column.clamps[:MOST_CLAMPS]):
        put(f"clamp {i + 1}", "ct", (Part(clamps.words, most=5),))
    for i, device in enumerate(column.devices[:MOST_DEVICES]):
        put(f"device {i + 1}", device.symbol, (Part(device.words, most=4),))
    put("cable", "", (Part(column.cable),))
    if column.changeover:
        put("changeover", column.changeover.symbol, (Part(column.changeover.words, most=6),))
    if column.island:
        pieces["island"] = Piece(height=_ISLAND_LINE)
    if column.isolator:
        put("isolator", column.isolator.symbol, (Part(column.isolator.words, most=4),))
    if column.interface:
        put("interface", "interface", (Part(column.interface, most=4),))
    put("unit", column.symbol, unit_parts(column))
    count = len(column.sources)
    if count:
        pieces["fan"] = Piece(height=2 if count == 1 else FAN_STEP * (count - 1) + 4)
    source_width = width // max(count, 1)
    dc_words = tuple(_dc_words(source, source_width) for source in column.sources)
    tallest = max((words.height for words in dc_words), default=0)
    if any(source.isolator for source in column.sources):
        tallest = max(tallest, SYMBOLS["dc-isolator"].height)
    if tallest:
        pieces["dc isolator"] = Piece(height=tallest + STAGE_GAP)
    source_words = tuple(
        block(source_parts(source, column.status), source_width - WORDS_LEFT - WORDS_RIGHT)
        for source in column.sources
    )
    if count:
        pieces["source"] = Piece(
            height=max(SYMBOLS[source.symbol].height for source in column.sources) + 4
        )
        pieces["source words"] = Piece(height=max(words.height for words in source_words) + 6)
    island = plan_island(column.island, slot_width, width) if column.island else None
    return PlannedColumn(column, slots, width, source_width, pieces, source_words, dc_words, island)


def _dc_words(source: Source, width: int) -> Block:
    """The words beside the DC isolator of a source, or those on its lack."""
    half = SYMBOLS["dc-isolator"].width // 2 if source.isolator else NO_SYMBOL
    words = source.isolator or source.unisolated
    return block((Part(words, most=4),), width - LINE_AT - half - WORDS_GAP - WORDS_RIGHT)


def unit_parts(column: Column) -> tuple[Part, ...]:
    """The words beside the unit's symbol: id, figures, status."""
    name = printable(column.unit_id) or "id not printable"
    return (
        Part(name, bold=True, size=UNIT_LETTERS, role="unit"),
        *(Part(line, most=4) for line in column.words),
        Part(column.status, bold=True),
    )


def source_parts(source: Source, unit_status: str) -> tuple[Part, ...]:
    """The words below a source; its status only where it differs from the unit's."""
    status = source.status if source.status != unit_status else ""
    return (*(Part(line) for line in source.words), Part(status, bold=True))
