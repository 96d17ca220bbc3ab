"""What a sweep of export limits is asked with, as it is stored and told apart, and what follows."""

from collections.abc import Iterator, Sequence
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from connections.energy.asked import Files, YearAsked, load_of, sun_of
from connections.energy.faults import EnergyError
from connections.energy.options import Prices
from connections.energy.plant import Plant
from connections.energy.result import AtLimit
from connections.energy.year import each_limit
from connections.facts.canonical import digest

FEWEST, MOST = 2, 60
"""Limits of one sweep, no limit and the design's own not counted. Our choice."""
HIGHEST_W = 10_000_000
"""No limit is tried above this: larger plant is beyond what this program prepares."""
MOST_PROPOSED = 30
"""So many limits are proposed at the most, a round step apart. Our choice."""
_ROUND_W = tuple(tens * each for tens in (10, 100, 1000, 10_000, 100_000, 1_000_000)
                 for each in (1, 2, 5))  # fmt: skip


class LimitsAsked(Struct, frozen=True):
    """The limits to be tried [W], rising, and the year of the design in which they are tried."""

    year: YearAsked
    limits_w: tuple[int, ...]

    @property
    def digest(self) -> str:
        """By which the sweep is known."""
        return digest(self)

    @property
    def tried_w(self) -> tuple[float | None, ...]:
        """Every limit in the order in which it is tried: none, the design's own, then the rest.

        What says most comes first, since a sweep may be stopped.
        """
        own = self.year.plant.export_limit_w
        first = (None,) if own is None else (None, own)
        return (*first, *(limit for limit in self.limits_w if limit != own))


def limits_asked(year: YearAsked, limits_w: Sequence[int]) -> LimitsAsked:
    """A sweep of the year of a design; what its sums do not depend on is left out.

    Raises EnergyError where there are too few, too many, or where a limit cannot be.
    """
    limits = tuple(sorted(set(limits_w)))
    if not FEWEST <= len(limits) <= MOST:
        raise EnergyError(f"Try {FEWEST} to {MOST} limits; these are {len(limits)}.")
    if limits[0] < 0 or limits[-1] > HIGHEST_W:
        raise EnergyError(f"Give limits from 0 to {HIGHEST_W // 1000:,} kW.")
    plain = replace(year.options, prices=Prices(), cases=False, finer=False)
    return LimitsAsked(replace(year, options=plain), limits)


def same_year(asked: LimitsAsked, year: YearAsked) -> bool:
    """Whether a sweep was asked of what the year of its design would now follow from; not where
    limits are kept that could not be asked for any more."""
    try:
        return asked == limits_asked(year, asked.limits_w)
    except EnergyError:
        return False


def limits_of(asked: LimitsAsked, files: Files, *, after: int = 0) -> Iterator[AtLimit]:
    """The year's sums under each limit as they are worked out, without the first `after` of them.

    Raises EnergyError as `each_limit` and the readers of files do.
    """
    year = asked.year
    left = asked.tried_w[after:]
    return each_limit(year.plant, sun_of(year, files), load_of(year, files), left, year.options)


def evenly(lowest_w: int, highest_w: int, count: int) -> tuple[int, ...]:
    """So many limits from the lowest to the highest, as evenly as whole watts lie [W].

    Raises EnergyError where there are not so many.
    """
    span, gaps = highest_w - lowest_w, count - 1
    if gaps < 1 or span < gaps:
        raise EnergyError(
            f"From {lowest_w} W to {highest_w} W there are no {count} limits of whole watts. Give "
            "limits that lie further apart, or fewer of them."
        )
    # Halves are rounded up.
    return tuple(lowest_w + (2 * place * span + gaps) // (2 * gaps) for place in range(count))


def by_step(lowest_w: int, highest_w: int, step_w: int) -> tuple[int, ...]:
    """Limits from the lowest on, a step apart; the highest is the last, the gap to it shorter
    where the steps do not end there [W].

    Raises EnergyError where there would be too many, and for a step that leads nowhere.
    """
    if step_w <= 0:
        raise EnergyError("Give a step of more than nothing.")
    span = highest_w - lowest_w
    count = -(-span // step_w) + 1
    if count > MOST:
        least = ceil(span / (MOST - 1))
        raise EnergyError(
            f"So small a step makes {count:,} limits, and at most {MOST} are tried. Give at least "
            f"{least / 1000:g} kW."
        )
    return (*range(lowest_w, highest_w, step_w), highest_w)


def proposed_step_w(highest_w: int) -> int:
    """The smallest round step with which few limits reach from nothing to the highest [W]."""
    return next(step for step in _ROUND_W if -(-highest_w // step) < MOST_PROPOSED)


def step_within(limits_w: Sequence[int]) -> int | None:
    """How far apart rising limits lie [W], the last one not further; None where they differ, and
    for fewer or more of them than may be asked for."""
    if not FEWEST <= len(limits_w) <= MOST:
        return None
    step, span = limits_w[1] - limits_w[0], limits_w[-1] - limits_w[0]
    # Counted first: limits far apart with a small first gap would make millions.
    if step <= 0 or -(-span // step) + 1 != len(limits_w):
        return None
    return step if by_step(limits_w[0], limits_w[-1], step) == tuple(limits_w) else None


def highest_proposed_w(plant: Plant) -> int:
    """The AC ratings of a plant together [W]: no more than this is ever sent out."""
    together = sum(unit.rated_w for unit in plant.with_panels)
    together += sum(unit.rated_w for unit in plant.storage)
    return min(ceil(together), HIGHEST_W)
