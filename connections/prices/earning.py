"""When a design that costs more earns that back, and which assumptions move it most."""

from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

PRICE_BAND, COST_BAND = 20, 10
"""How far prices of energy, and the difference in cost, are varied [%]. Our choice."""

LONGEST = 40
"""Such plant rarely lasts more years. Our choice."""

MOST_MOVERS = 3

FINE_PRINT = (
    "For comparing designs; not a forecast, not financial advice; where a certification scheme "
    "prescribes a method for what a consumer is told, its figure is entered and shown instead."
)

LEFT_OUT = "Prices that change over the years, interest, ageing and upkeep are not counted."


class YearMoney(Struct, frozen=True):
    """A year's energy in minor units: what is bought costs, what is sold brings."""

    bought: int
    sold: int

    @property
    def net(self) -> int:
        """Bought less sold."""
        return self.bought - self.sold


class VariedMoney(Struct, frozen=True):
    """The year with one assumption at both ends of its band, in words."""

    what: str
    band: str
    low: YearMoney
    high: YearMoney


class Priced(Struct, frozen=True):
    """A design with its cost [minor units], its year, and that year under other assumptions."""

    name: str
    cost: int
    year: YearMoney
    varied: tuple[VariedMoney, ...] = ()


class Moved(Struct, frozen=True):
    """The years until it is earned back with one assumption at the ends of its band.

    `most` None is never.
    """

    what: str
    band: str
    least: Fraction | None
    most: Fraction | None


class Difference(Struct, frozen=True):
    """Two designs beside each other.

    `cost` is what the dearer one costs more, `saves` what it saves more in a year (negative where
    it saves less), both in minor units. `years` is until it is earned back; `least` and `most` are
    the ends of all assumptions, varied one at a time. None is never. `movers` move it most.
    """

    dearer: str
    cheaper: str
    cost: int
    saves: int
    years: Fraction | None
    least: Fraction | None
    most: Fraction | None
    movers: tuple[Moved, ...]


def difference(one: Priced, other: Priced) -> Difference:
    """Compare two designs. Of equal costs, the first counts as the dearer one."""
    dearer, cheaper = (one, other) if one.cost >= other.cost else (other, one)
    cost = dearer.cost - cheaper.cost
    saves = cheaper.year.net - dearer.year.net
    moved = [
        _moved(what, band, ends) for what, band, ends in _variations(dearer, cheaper, cost, saves)
    ]
    years = earned_back(cost, saves)
    every = [years, *(end for each in moved for end in (each.least, each.most))]
    finite = [end for end in every if end is not None]
    if not finite:
        moved = []
    return Difference(
        dearer=dearer.name,
        cheaper=cheaper.name,
        cost=cost,
        saves=saves,
        years=years,
        least=min(finite, default=None),
        most=None if len(finite) < len(every) else max(finite),
        movers=tuple(sorted(moved, key=_span, reverse=True)[:MOST_MOVERS]),
    )


def earned_back(cost: int, saves: int) -> Fraction | None:
    """Years until a cost is earned back by what is saved in a year; None for never."""
    if saves > 0:
        return Fraction(cost, saves)
    return None


def _moved(what: str, band: str, ends: tuple[tuple[int, int], tuple[int, int]]) -> Moved:
    found = [earned_back(cost, saves) for cost, saves in ends]
    finite = [years for years in found if years is not None]
    return Moved(
        what,
        band,
        min(finite, default=None),
        max(finite) if len(finite) == len(found) else None,
    )


def _span(moved: Moved) -> tuple[bool, Fraction]:
    """How far an assumption moves the years; one that makes it never moves it farthest."""
    if moved.least is None or moved.most is None:
        return True, -(moved.least or Fraction(0))
    return False, moved.most - moved.least


def _variations(
    dearer: Priced, cheaper: Priced, cost: int, saves: int
) -> Iterator[tuple[str, str, tuple[tuple[int, int], tuple[int, int]]]]:
    """Yield each assumption with its band, and cost and saving at both ends."""
    yield (
        "what it costs more",
        f"{COST_BAND} % less or more",
        ((_percent(cost, 100 - COST_BAND), saves), (_percent(cost, 100 + COST_BAND), saves)),
    )
    bought = cheaper.year.bought - dearer.year.bought
    sold = dearer.year.sold - cheaper.year.sold
    for what, part in (
        ("the price of what is bought", bought),
        ("the price of what is sold", sold),
    ):
        more = _percent(part, PRICE_BAND)
        yield (
            what,
            f"{PRICE_BAND} % less or more",
            ((cost, saves - more), (cost, saves + more)),
        )
    mine = {each.what: each for each in dearer.varied}
    theirs = {each.what: each for each in cheaper.varied}
    for what in dict.fromkeys([*mine, *theirs]):
        own, its = mine.get(what), theirs.get(what)
        low = (its.low if its else cheaper.year).net - (own.low if own else dearer.year).net
        high = (its.high if its else cheaper.year).net - (own.high if own else dearer.year).net
        band = (own or its or VariedMoney("", "", dearer.year, dearer.year)).band
        yield what, band, ((cost, low), (cost, high))


def _percent(minor: int, percent: int) -> int:
    """A part of an amount, rounded to whole minor units."""
    return round(Fraction(minor * percent, 100))


def years_words(least: Fraction | None, most: Fraction | None) -> str:
    """A range of years in words, rounded outwards to tenths: "6.1 to 9.3 years".

    Years beyond LONGEST are not told one by one.
    """
    if least is None:
        return "never"
    if least > LONGEST:
        return f"more than {LONGEST} years"
    low = _tenth(least.numerator * 10 // least.denominator)
    if most is None:
        return f"{low} years to never"
    if most > LONGEST:
        return f"{low} to more than {LONGEST} years"
    high = _tenth(-(-most.numerator * 10 // most.denominator))
    return f"{low} years" if low == high else f"{low} to {high} years"


def _tenth(tenths: int) -> str:
    whole, rest = divmod(tenths, 10)
    return f"{whole}.{rest}" if rest else f"{whole}"
