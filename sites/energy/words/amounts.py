"""Rounds the energies of a year for display, with the loss that makes displayed figures add up."""

from decimal import Decimal

from connections.energy.result import Figures

LEAST_KWH = 0.05
_EXACT_BELOW_KWH = 10
_CLEAR_KWH = 5
"""Rounding five figures changes their sum by less than this."""


def kwh(amount: float) -> str:
    """Return an energy [kWh] in words: whole, or to a tenth if small."""
    if amount < LEAST_KWH:
        return "none"
    return f"{amount:.1f} kWh" if amount < _EXACT_BELOW_KWH else f"{amount:,.0f} kWh"


def shown(amount: float) -> Decimal:
    """Return an energy [kWh] as `kwh` rounds it."""
    words = kwh(amount).removesuffix(" kWh")
    return Decimal(0) if words == "none" else Decimal(words.replace(",", ""))


def in_words(amount: Decimal) -> str:
    """Return a sum of rounded energies in words, with a tenth only if one of them has it."""
    if not amount:
        return "none"
    whole = amount == amount.to_integral_value()
    return f"{amount:,.0f} kWh" if whole else f"{amount:,.1f} kWh"


def left_in_cells(figures: Figures) -> Decimal:
    """Return the energy left in the cells at the end [kWh], whole because it is small."""
    return Decimal(round(figures.left))


def on_the_way(figures: Figures) -> Decimal:
    """Return the losses of conversion and cells [kWh], from the rounded figures.

    That is: made and taken from the network by cells, less used on site, exported and left in the
    cells. A loss so small that rounding could explain it is taken from its own figure.
    """
    lost = figures.on_the_way
    if abs(lost) < _CLEAR_KWH:
        return shown(lost)
    return left_over(figures)


def left_over(figures: Figures) -> Decimal:
    """Return made and bought for cells, less used on site, exported and left, each as rounded."""
    return (
        shown(figures.made)
        + shown(figures.bought)
        - shown(figures.on_site)
        - shown(figures.exported)
        - left_in_cells(figures)
    )
