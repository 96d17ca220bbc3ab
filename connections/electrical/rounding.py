"""Compare computed values with limits, after rounding them outwards by one step.

A float is never exactly at a limit, so round it first, in whole steps, to the unfavourable side. A
value within one step of its limit is too close to call.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Literal

from msgspec import Struct

Bound = Literal["at most", "at least"]
Result = Literal["keeps", "over", "too close"]


class Compared(Struct, frozen=True):
    """A computed value beside its limit, both in one unit and in whole steps.

    `value` is rounded outwards; `margin` is the distance to the limit, negative when it is passed.
    """

    value: Decimal
    limit: Decimal
    margin: Decimal
    result: Result


def outwards(value: float, step: Decimal, bound: Bound) -> Decimal:
    """The value in whole steps, rounded to the unfavourable side: up for an "at most" limit."""
    exact = Decimal(value) / step
    rounding = ROUND_CEILING if bound == "at most" else ROUND_FLOOR
    return exact.to_integral_value(rounding) * step


def compare(value: float, limit: Decimal, step: Decimal, bound: Bound = "at most") -> Compared:
    """Whether a value keeps its limit after rounding outwards; within one step is too close to
    call.

    Raises ValueError for infinity or NaN.
    """
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError("what is compared must be a number")
    rounded = outwards(value, step, bound)
    margin = limit - rounded if bound == "at most" else rounded - limit
    if abs(margin) <= step:
        result: Result = "too close"
    else:
        result = "keeps" if margin > 0 else "over"
    return Compared(rounded, limit, margin, result)
