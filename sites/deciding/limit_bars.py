"""A value against its limit as a small bar: places on a line of whole steps."""

from msgspec import Struct

WIDTH = 240
"""Length of the line in steps; the larger of value and limit leaves a tenth of it free."""

_FULL = WIDTH * 9 // 10


class Bar(Struct, frozen=True):
    """A bar up to `filled`, a mark of the limit at `mark`, both in steps from the left.

    `words` is the text alternative.
    """

    filled: int
    mark: int
    within: bool
    words: str


def bar_of(value: object, limit: object, *, within: bool, words: str) -> Bar | None:
    """The bar of whole amounts in one unit; None where one of the two is no amount, or both are 0.

    Unequal amounts never look equal: bar and mark are then at least a step apart.
    """
    if isinstance(value, bool) or isinstance(limit, bool):
        return None
    if not isinstance(value, int) or not isinstance(limit, int):
        return None
    longer = max(value, limit)
    if longer <= 0 or min(value, limit) < 0:
        return None
    filled, mark = value * _FULL // longer, limit * _FULL // longer
    if filled == mark and value < limit:
        filled -= 1
    elif filled == mark and value > limit:
        mark -= 1
    return Bar(filled, mark, within, words)
