"""Draw one column: symbols on its line, words beside them, frames, control line, sources."""

from collections.abc import Mapping

from connections.diagram.sheets.canvas import Canvas
from connections.diagram.sheets.column import (
    FAN_STEP,
    FIRST_STAGE,
    NO_SYMBOL,
    STAGE_GAP,
    STAGES,
    WORDS_GAP,
    PlannedColumn,
    Stage,
)
from connections.diagram.sheets.geometry import (
    FRAME_LEFT,
    FRAME_RIGHT,
    LINE_AT,
    RISER_AT,
    WORDS_LEFT,
)
from connections.diagram.symbols import SYMBOLS


def draw_column(
    canvas: Canvas,
    planned: PlannedColumn,
    left: int,
    busbar_y: int,
    heights: Mapping[Stage, int],
    control_y: int,
) -> None:
    """Draw a column whose slots begin at `left`, below the busbar at `busbar_y`.

    `heights` are the row's stage heights; `control_y` is the height of the row's control lines.
    """
    column = planned.column
    subject = column.unit_id
    thick = column.status == "existing"
    centre = left + LINE_AT
    right = left + planned.width
    drawn_to = busbar_y
    top = busbar_y + FIRST_STAGE
    tops: dict[Stage, int] = {}
    for stage in STAGES:
        tops[stage] = top
        top += heights.get(stage, 0)

    unit_bottom = 0
    for stage in STAGES[: STAGES.index("fan")]:
        piece = planned.pieces.get(stage)
        if piece is None:
            continue
        middle = tops[stage] + (heights[stage] - STAGE_GAP) // 2
        half = NO_SYMBOL
        if piece.symbol:
            shape = SYMBOLS[piece.symbol]
            half = shape.width // 2
            symbol_top = middle - shape.height // 2
            canvas.line("power", ((centre, drawn_to), (centre, symbol_top)), thick, subject)
            if stage.startswith("clamp"):
                arrow = column.clamps[int(stage.split()[1]) - 1].arrow
                drawn_to = canvas.clamp(arrow, centre, symbol_top, thick, subject)
            else:
                drawn_to = canvas.symbol(piece.symbol, centre, symbol_top, thick, subject)
        words_top = middle - piece.words.height // 2
        canvas.words(piece.words, centre + half + WORDS_GAP, words_top, subject)
        if stage == "ct":
            canvas.line(
                "control",
                ((centre + half, middle), (right - 1, middle), (right - 1, control_y)),
                subject=subject,
            )
        if stage == "island" and planned.island:
            joint = tops[stage] + heights[stage] - STAGE_GAP
            planned.island.draw(canvas, left, centre, joint, thick, subject)
        if stage == "unit":
            unit_bottom = tops[stage] + heights[stage] - 2
            if column.status == "removed":
                cross(canvas, centre, middle, shape.width, shape.height, subject)
            if column.controlled:
                canvas.signal(
                    (
                        (left + RISER_AT, control_y),
                        (left + RISER_AT, middle),
                        (centre - half, middle),
                    ),
                    subject,
                )

    bottom = _draw_sources(canvas, planned, left, drawn_to, tops, heights)
    _frames(canvas, planned, left, right, busbar_y, unit_bottom, bottom, tops)


def _draw_sources(
    canvas: Canvas,
    planned: PlannedColumn,
    left: int,
    unit_edge: int,
    tops: Mapping[Stage, int],
    heights: Mapping[Stage, int],
) -> int:
    """Draw the sources from the unit's lower edge. Returns the bottom of the lowest words."""
    column = planned.column
    centre = left + LINE_AT
    last = len(column.sources) - 1
    # Each source has its own line; the rightmost turns off highest, so that none cross.
    step = 0 if column.symbol == "machine" or last < 1 else max(14 // last, 3)
    bottom = unit_edge
    for i, source in enumerate(column.sources):
        thick = source.status == "existing"
        slot = left + i * planned.source_width
        x = slot + LINE_AT
        start = (centre + i * step, unit_edge)
        words = planned.dc_words[i]
        top = tops["source"]
        if source.isolator:
            shape = SYMBOLS["dc-isolator"]
            top = tops["dc isolator"] + (heights["dc isolator"] - STAGE_GAP - shape.height) // 2
        if i:
            turn = tops["fan"] + 2 + FAN_STEP * (last - i)
            way = [start, (start[0], turn), (x, turn), (x, top)]
        else:
            way = [start, (x, top)]
        canvas.line("power", way, thick, column.unit_id)
        if words.rows:
            half = SYMBOLS["dc-isolator"].width // 2 if source.isolator else NO_SYMBOL
            middle = tops["dc isolator"] + (heights["dc isolator"] - STAGE_GAP) // 2
            canvas.words(words, x + half + WORDS_GAP, middle - words.height // 2, column.unit_id)
        if source.isolator:
            edge = canvas.symbol("dc-isolator", x, top, thick, column.unit_id)
            canvas.line("power", ((x, edge), (x, tops["source"])), thick, column.unit_id)
        canvas.symbol(source.symbol, x, tops["source"], thick, column.unit_id)
        if source.status == "removed":
            shape = SYMBOLS[source.symbol]
            middle = tops["source"] + shape.height // 2
            cross(canvas, x, middle, shape.width, shape.height, column.unit_id)
        bottom = max(
            bottom,
            canvas.words(
                planned.source_words[i], slot + WORDS_LEFT, tops["source words"], column.unit_id
            ),
        )
    return bottom


def _frames(
    canvas: Canvas,
    planned: PlannedColumn,
    left: int,
    right: int,
    busbar_y: int,
    unit_bottom: int,
    bottom: int,
    tops: Mapping[Stage, int],
) -> None:
    """Draw dashed frames around proposed plant."""
    column = planned.column
    alike = all(source.status == column.status for source in column.sources)
    if column.status == "proposed":
        lower = max(bottom + 3, unit_bottom) if alike else unit_bottom
        frame(canvas, left, right, busbar_y + 6, lower, column.unit_id)
    if column.status == "proposed" and alike:
        return
    for i, source in enumerate(column.sources):
        if source.status == "proposed":
            slot = left + i * planned.source_width
            named = source.isolator or source.unisolated
            upper = (tops["dc isolator"] if named else tops["source"]) - 1
            lower = tops["source words"] + planned.source_words[i].height + 3
            frame(canvas, slot, slot + planned.source_width, upper, lower, column.unit_id)


def frame(canvas: Canvas, left: int, right: int, top: int, bottom: int, subject: str) -> None:
    """Draw the dashed frame of proposed plant in a slot from `left` to `right`."""
    x0, x1 = left + FRAME_LEFT, right - FRAME_RIGHT
    corners = ((x0, top), (x1, top), (x1, bottom), (x0, bottom), (x0, top))
    canvas.line("frame", corners, subject=subject)


def cross(canvas: Canvas, centre: int, middle: int, width: int, height: int, subject: str) -> None:
    """Cross out a removed symbol of that size."""
    x0, x1 = centre - width // 2 - 2, centre + width // 2 + 2
    y0, y1 = middle - height // 2 - 2, middle + height // 2 + 2
    canvas.line("cross", ((x0, y0), (x1, y1)), subject=subject)
    canvas.line("cross", ((x0, y1), (x1, y0)), subject=subject)
