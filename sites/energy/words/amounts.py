"""Amounts of a year as they are shown, and what is lost between them, so that what is shown adds
up."""

from decimal import Decimal

from connections.energy.result import Figures

LEAST_KWH = 0.05
_EXACT_BELOW_KWH = 10
_CLEAR_KWH = 5
"""Rounding of five figures moves their sum by less than this."""


def kwh(amount: float) -> str:
    """An amount of a year in words: whole, or to a tenth where it is small."""
    if amount < LEAST_KWH:
        return "none"
    return f"{amount:.1f} kWh" if amount < _EXACT_BELOW_KWH else f"{amount:,.0f} kWh"


def shown(amount: float) -> Decimal:
    """An amount [kWh] as `kwh` rounds it."""
    words = kwh(amount).removesuffix(" kWh")
    return Decimal(0) if words == "none" else Decimal(words.replace(",", ""))


def in_words(amount: Decimal) -> str:
    """A sum of amounts that are shown, with a tenth only where one of them has it."""
    if not amount:
        return "none"
    whole = amount == amount.to_integral_value()
    return f"{amount:,.0f} kWh" if whole else f"{amount:,.1f} kWh"


def left_in_cells(figures: Figures) -> Decimal:
    """What is left in the cells at the end [kWh], whole: it is little beside what went through."""
    return Decimal(round(figures.left))


def on_the_way(figures: Figures) -> Decimal:
    """What conversion and cells lose [kWh]: what is made and what cells take from the network, less
    what is used on site, exported and left in the cells, each as it is shown.

    So little that rounding could have made it is told by itself.
    """
    lost = figures.on_the_way
    if abs(lost) < _CLEAR_KWH:
        return shown(lost)
    return left_over(figures)


def left_over(figures: Figures) -> Decimal:
    """Made and from the network, less used on site, exported and left, each as it is shown."""
    return (
        shown(figures.made)
        + shown(figures.bought)
        - shown(figures.on_site)
        - shown(figures.exported)
        - left_in_cells(figures)
    )
