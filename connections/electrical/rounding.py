"""Compare computed values with limits, after rounding them outwards by one step.

Round once, here, in whole steps, to the unfavourable side. A value within one step of its limit is
too close to call.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from math import isfinite
from typing import Literal

from msgspec import Struct

Bound = Literal["at most", "at least"]
Result = Literal["keeps", "over", "too close"]


_NOISE = Decimal("1e-6")
"""Part of a step by which float arithmetic may miss a whole step; our choice. It decides nothing: a
value within a whole step of its limit is too close to call."""


class Compared(Struct, frozen=True):
    """A computed value beside its limit, both in one unit and in whole steps.

    `value` is rounded outwards; `margin` is the distance to the limit, negative when it is passed.
    """

    value: Decimal
    limit: Decimal
    margin: Decimal
    result: Result


def outwards(value: float | Decimal, step: Decimal, bound: Bound) -> Decimal:
    """The value in whole steps, rounded to the unfavourable side: up for an "at most" limit.

    A float that misses a whole step by noise alone is that step: 0.17 in steps of 0.001 is 0.170.
    """
    steps = Decimal(value) / step
    nearest = steps.to_integral_value(ROUND_HALF_EVEN)
    if isinstance(value, float) and abs(steps - nearest) <= _NOISE:
        return nearest * step
    rounding = ROUND_CEILING if bound == "at most" else ROUND_FLOOR
    return steps.to_integral_value(rounding) * step


def compare(
    value: float | Decimal, limit: Decimal, step: Decimal, bound: Bound = "at most"
) -> Compared:
    """Whether a value keeps its limit after rounding outwards; within one step is too close to
    call.

    Raises ValueError for infinity or NaN.
    """
    if not isfinite(value):
        raise ValueError("what is compared must be a number")
    rounded = outwards(value, step, bound)
    margin = limit - rounded if bound == "at most" else rounded - limit
    if abs(margin) <= step:
        result: Result = "too close"
    else:
        result = "keeps" if margin > 0 else "over"
    return Compared(rounded, limit, margin, result)
