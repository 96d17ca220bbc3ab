"""Values that are possible and yet unlikely; boxes and findings ask about them."""

import datetime as dt
from fractions import Fraction

from msgspec import Struct, UnsetType

from connections.facts.declaring import declared
from connections.facts.defaults import first_day, rating
from connections.facts.site import Panel


def odd_panel_w(peak_w: int | None | UnsetType, panels: int | None | UnsetType) -> Fraction | None:
    """Peak power of one panel [W] if it lies outside its declared band; None if not, or not known.

    `peak_w` is of all `panels` together.
    """
    whole, number = rating(peak_w), rating(panels)
    if whole is None or number is None:
        return None
    each, (low, high) = Fraction(whole, number), panel_band_w()
    return None if low <= each <= high else each


def panel_band_w() -> tuple[int, int]:
    """The least and the most peak power that one panel usually has [W]: our own choice."""
    band = declared(Panel)["peak_w"].band
    assert band is not None, "the peak power of a panel has no band"
    return band


def is_odd_day(kind: type[Struct], name: str, when: dt.date | str | None | UnsetType) -> bool:
    """Whether a date lies outside the declared years of its fact."""
    years, day = declared(kind)[name].years, first_day(when)
    return years is not None and day is not None and not years[0] <= day.year <= years[1]
