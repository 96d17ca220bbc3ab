"""Computed values against limits: rounded outwards by one step before they are compared.

A float can't stand exactly at a limit, so a computed value is first rounded away from what is
allowed, in whole steps. What lies within one step of its limit is too close to call.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Literal

from msgspec import Struct

Bound = Literal["at most", "at least"]
Result = Literal["keeps", "over", "too close"]


class Compared(Struct, frozen=True):
    """A computed value beside its limit, all in one unit, in whole steps.

    `value` is rounded outwards; `margin` is what is left to the limit, negative when it is passed.
    """

    value: Decimal
    limit: Decimal
    margin: Decimal
    result: Result


def outwards(value: float, step: Decimal, bound: Bound) -> Decimal:
    """The value in whole steps, rounded away from what is allowed: up where there is a most."""
    exact = Decimal(value) / step
    rounding = ROUND_CEILING if bound == "at most" else ROUND_FLOOR
    return exact.to_integral_value(rounding) * step


def compare(value: float, limit: Decimal, step: Decimal, bound: Bound = "at most") -> Compared:
    """Whether a computed value keeps its limit: rounded outwards, and told apart within a step.

    Raises ValueError for what is no number.
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
