"""Inputs of a sweep of export limits, as stored and told apart, and its results."""

from collections.abc import Iterator, Sequence
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from connections.energy.asked import Files, YearAsked, load_of, sun_of
from connections.energy.energy_errors import EnergyError
from connections.energy.options import Prices
from connections.energy.plant import Plant
from connections.energy.result import AtLimit
from connections.energy.year import each_limit
from connections.facts.canonical import digest

FEWEST, MOST = 2, 60
"""Limits of one sweep, without "no limit" and the design's own. Our choice."""
HIGHEST_W = 10_000_000
"""Highest limit tried [W]: this program does not prepare larger plant."""
MOST_PROPOSED = 30
"""Most limits to propose, a round step apart. Our choice."""
_ROUND_W = tuple(tens * each for tens in (10, 100, 1000, 10_000, 100_000, 1_000_000)
                 for each in (1, 2, 5))  # fmt: skip


class LimitsAsked(Struct, frozen=True):
    """The limits to try [W], rising, and the year of the design to try them in."""

    year: YearAsked
    limits_w: tuple[int, ...]

    @property
    def digest(self) -> str:
        """Digest that identifies the sweep."""
        return digest(self)

    @property
    def tried_w(self) -> tuple[float | None, ...]:
        """Every limit in the order of trial: none, the design's own, then the rest.

        The most telling come first, since a sweep may be stopped.
        """
        own = self.year.plant.export_limit_w
        first = (None,) if own is None else (None, own)
        return (*first, *(limit for limit in self.limits_w if limit != own))


def limits_asked(year: YearAsked, limits_w: Sequence[int]) -> LimitsAsked:
    """A sweep over a design's year, without the options that its sums do not depend on.

    Raises EnergyError for too few or too many limits, or an impossible one.
    """
    limits = tuple(sorted(set(limits_w)))
    if not FEWEST <= len(limits) <= MOST:
        raise EnergyError(f"Try {FEWEST} to {MOST} limits; these are {len(limits)}.")
    if limits[0] < 0 or limits[-1] > HIGHEST_W:
        raise EnergyError(f"Give limits from 0 to {HIGHEST_W // 1000:,} kW.")
    plain = replace(year.options, prices=Prices(), cases=False, finer=False)
    return LimitsAsked(replace(year, options=plain), limits)


def same_year(asked: LimitsAsked, year: YearAsked) -> bool:
    """Whether a sweep has the inputs that its design's year would have now.

    False where its stored limits may not be asked for any more.
    """
    try:
        return asked == limits_asked(year, asked.limits_w)
    except EnergyError:
        return False


def limits_of(asked: LimitsAsked, files: Files, *, after: int = 0) -> Iterator[AtLimit]:
    """Calculate the year's sums under each limit, one by one, without the first `after` limits.

    Raises EnergyError as `each_limit` and the readers of files do.
    """
    year = asked.year
    left = asked.tried_w[after:]
    return each_limit(year.plant, sun_of(year, files), load_of(year, files), left, year.options)


def evenly(lowest_w: int, highest_w: int, count: int) -> tuple[int, ...]:
    """`count` limits from the lowest to the highest, spaced as evenly as whole watts allow [W].

    Raises EnergyError where the range has fewer whole watts.
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
    """Limits a step apart from the lowest, and last the highest [W].

    The last gap is shorter where the steps do not end at the highest. Raises EnergyError for too
    many limits, and for a step of nothing or less.
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
    """Smallest round step that reaches the highest from 0 in at most MOST_PROPOSED limits [W]."""
    return next(step for step in _ROUND_W if -(-highest_w // step) < MOST_PROPOSED)


def step_within(limits_w: Sequence[int]) -> int | None:
    """Step between rising limits [W]; the last gap may be shorter.

    None where steps differ, and for fewer or more limits than may be asked for.
    """
    if not FEWEST <= len(limits_w) <= MOST:
        return None
    step, span = limits_w[1] - limits_w[0], limits_w[-1] - limits_w[0]
    # Count first: far limits with a small first gap would make millions.
    if step <= 0 or -(-span // step) + 1 != len(limits_w):
        return None
    return step if by_step(limits_w[0], limits_w[-1], step) == tuple(limits_w) else None


def highest_proposed_w(plant: Plant) -> int:
    """Sum of a plant's AC ratings [W], the most it ever exports; at most HIGHEST_W."""
    together = sum(unit.rated_w for unit in plant.with_panels)
    together += sum(unit.rated_w for unit in plant.storage)
    return min(ceil(together), HIGHEST_W)
