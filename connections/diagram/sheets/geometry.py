"""Positions on a sheet, in drawing units."""

from connections.diagram.drawing import SHEET_WIDTH

LEFT = 10
RIGHT = SHEET_WIDTH - 10
CONTROL_X = RIGHT
"""Position of the control lines that run down, right of all columns."""
COLUMNS_RIGHT = CONTROL_X - 10

TOP = 12
"""Where the first band begins, inside the frame of the sheet."""
BORDER = 2
"""From the edge of the sheet to its frame."""

TAILS_SPINE = 12
"""Line from the meter tails down to the boards that they feed."""
FIRST_SPINE = 20
SPINE_STEP = 14

LINE_AT = 36
"""From the left edge of a slot to its line."""
RISER_AT = 2
"""From the left edge of a slot to the control line that rises beside its column."""
FRAME_LEFT = 8
FRAME_RIGHT = 3
WORDS_LEFT = 14
"""From the left edge of a slot to the words below a source."""
WORDS_RIGHT = 7

TRUNK_X = FIRST_SPINE + SPINE_STEP + LINE_AT
"""Line from the network, above the line of the first column."""
LEGEND_X = 432
LOADS_X = 404


def spine_x(depth: int) -> int:
    """Where a board's busbar runs down to its next rows; the main board has depth 0."""
    return FIRST_SPINE + SPINE_STEP * depth


def columns_left(depth: int) -> int:
    """Left edge of the first slot of a board's rows."""
    return spine_x(depth) + SPINE_STEP
