"""Find the largest whole number that still passes, by halving.

If a number passes, every smaller one passes. So the result passes and the next number does not,
which proves that the change is no larger than necessary.
"""

from collections.abc import Callable, Iterator

from connections.remedies.edit import Edit
from connections.remedies.option import Start
from connections.remedies.proof import to_clear
from connections.rules.decide import UNDETERMINED

Making = Callable[[int], Edit]
"""Makes the edit for one number."""


LEAST_SHARE = 10
"""A rating below this part, a tenth, of the present one is not worth telling (our choice)."""


def least_w(rated_w: int) -> int:
    """The least rating worth telling in place of `rated_w` [W]."""
    return max(1, -(-rated_w // LEAST_SHARE))


def largest_below(above: int, passes: Callable[[int], bool], least: int = 1) -> int | None:
    """The largest number from `least` to below `above` that passes; `above` must not pass."""
    if above <= least or not passes(least):
        return None
    low, high = least, above
    while high - low > 1:
        middle = (low + high) // 2
        if passes(middle):
            low = middle
        else:
            high = middle
    return low


def worth_asking(start: Start, make: Making, now: int, least: int = 1) -> Iterator[int]:
    """Numbers below `now` that may be remedies: the largest for each earlier procedure, and the
    largest that clears each obstacle.

    `now` is the present number. In a search for a second change the site may already have an
    earlier procedure with it.
    """
    order = start.rules.book_order
    found: set[int] = set()
    upper = now
    was = start.before.procedure
    if was != UNDETERMINED:
        reached = was
        while True:
            at = order[reached]

            def earlier(number: int, at: int = at) -> bool:
                outcome = start.rules.outcome(make(number).site)
                return outcome != UNDETERMINED and order.get(outcome, len(order)) < at

            number = largest_below(upper, earlier, least)
            if number is None:
                break
            found.add(number)
            reached = start.rules.outcome(make(number).site)
            upper = number
    for name in sorted(to_clear(start.before)):

        def clears(number: int, name: str = name) -> bool:
            return name not in to_clear(start.rules.decide(make(number).site))

        number = largest_below(now, clears, least)
        if number is not None:
            found.add(number)
    yield from sorted(found, reverse=True)
