"""Possible but unusual figures, which the form asks about once."""

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from sites.energy.writing.given import Given

LEAST_USE_KWH, MOST_USE_KWH = 100, 100_000
"""Yearly uses between these raise no question. Our choice."""
LEAST_PENCE, MOST_PENCE = 1, 100
"""Prices between these [pence/kWh] raise no question. Our choice."""

LEAST_DAY, MOST_DAY = 10, 300
"""Standing charges between these [pence/day] raise no question. Our choice."""


class Odd(Struct, frozen=True):
    """A figure to ask about: its box, the key that confirms it, and the question.

    The key contains the figure, so that another figure is asked about again.
    """

    box: str
    key: str
    says: str


def odd_figures(given: Given, metered_kwh: float | None) -> tuple[Odd, ...]:
    """Return the figures to ask about.

    `metered_kwh` is the use in the meter file, None if there is no file or the use is not known.
    """
    return tuple(Odd(box, key, says) for box, key, says in _looked_at(given, metered_kwh) if says)


def keys_of(given: Given) -> tuple[str, ...]:
    """Return the keys of all figures: a confirmed figure is not asked about again."""
    return tuple(key for _, key, _ in _looked_at(given, None))


def _looked_at(given: Given, metered_kwh: float | None) -> Iterator[tuple[str, str, str]]:
    """Yield box, key and question of each figure; the question of a usual figure is empty."""
    if given.meter_key is not None:
        says = "" if metered_kwh is None else _of_use(metered_kwh, "The file has")
        yield "meter_file", f"meter_file={given.meter_key}", says
    elif given.yearly_use_kwh is not None:
        use = given.yearly_use_kwh
        yield "yearly_use_kwh", f"yearly_use_kwh={use}", _of_use(use, "It is")
    for box, for_nothing in (
        ("import_pence", False), ("export_pence", True), ("cheap_pence", True), ("sell_pence", True)
    ):  # fmt: skip
        price: Decimal | None = getattr(given, box)
        if price is not None:
            yield box, f"{box}={_figure(price)}", _of_price(price, for_nothing)
    for box, hours in (
        ("import_hours", given.import_hours),
        ("export_hours", given.export_hours),
    ):
        for each in hours:
            yield (
                box,
                f"{box}={each.window.words()}={_figure(each.pence)}",
                _of_price(each.pence, for_nothing=True),
            )
    if given.standing_pence is not None:
        standing = _figure(given.standing_pence)
        usual = given.standing_pence == 0 or LEAST_DAY <= given.standing_pence <= MOST_DAY
        says = f"{standing} pence a day is far from the usual {LEAST_DAY} to {MOST_DAY}."
        yield "standing_pence", f"standing_pence={standing}", "" if usual else says
    for box, in_window, common, says in (
        ("cheap_pence", given.cheap_pence, given.import_pence,
         "The cheap window is dearer than the rest of the day: {} p and {} p."),
        ("sell_pence", given.export_pence, given.sell_pence,
         "What is exported in the selling window brings less than at other times: {1} p and {0} "
         "p."),
    ):  # fmt: skip
        if in_window is not None and common is not None:
            pair = _figure(in_window), _figure(common)
            yield (
                box,
                f"{box}={pair[0]}>{pair[1]}",
                says.format(*pair) if in_window > common else "",
            )


def _of_use(kwh: float, begins: str) -> str:
    if LEAST_USE_KWH <= kwh <= MOST_USE_KWH:
        return ""
    return (
        f"{begins} {kwh:,.0f} kWh in a year, and {LEAST_USE_KWH} to {MOST_USE_KWH:,} is usual. "
        "Check the figures and their unit."
    )


def _of_price(price: Decimal, for_nothing: bool) -> str:
    if LEAST_PENCE <= price <= MOST_PENCE or (for_nothing and price == 0):
        return ""
    pounds = f" If it is in pounds, give {_figure(price * 100)}." if 0 < price < 1 else ""
    return (
        f"{_figure(price)} pence a kWh is far from the usual {LEAST_PENCE} to {MOST_PENCE}.{pounds}"
    )


def _figure(price: Decimal) -> str:
    """Return a price without needless digits."""
    return f"{price.normalize():f}"
