"""What a change costs in the energy of a year, in one sentence, and what such sentences rest on."""

from connections.energy.asked import YearAsked
from connections.energy.result import Figures
from sites.energy.words.rows import kwh, share_lost

_WHOLE_FROM = 10
"""From here on amounts are shown in whole kWh."""

UNCHANGED = "Nothing changes in the energy of a year."


def difference(before: Figures, after: Figures) -> str:
    """What a year makes, loses, buys and sends out otherwise than before.

    Amounts are rounded as they are shown, and then subtracted, so that each difference is that of
    the figures beside it. What stays as it was is left out, but for what is made.
    """
    made = _made(before, after)
    others = [
        part
        for part in (
            "" if _goes_to_one(before, after) == "lost" else _held_back(before, after),
            "" if _goes_to_one(before, after) == "clipped" else _clipped(before, after),
            _at_the_inverter(before, after),
            _more_or_less(before.imported, after.imported, "bought"),
            _more_or_less(before.exported, after.exported, "exported"),
            _on_the_way(before, after),
        )
        if part
    ]
    if not made and not others:
        return UNCHANGED
    if not made and _shown(after.made):
        made = "as much is made"
    return f"In a year: {'; '.join(part for part in (made, *others) if part)}."


def _shown(amount: float) -> float:
    """An amount [kWh] as `kwh` rounds it."""
    words = kwh(amount).removesuffix(" kWh")
    return 0.0 if words == "none" else float(words.replace(",", ""))


def _amount(amount: float) -> str:
    """The figure alone."""
    return kwh(amount).removesuffix(" kWh")


def _apart(before: float, after: float) -> str:
    """How far two amounts are apart in words, as exact as the two are."""
    change = abs(_change(before, after))
    whole = all(_shown(each).is_integer() for each in (before, after))
    return f"{change:,.0f} kWh" if whole else kwh(change)


def _change(before: float, after: float) -> float:
    """How much more it is [kWh], negative for less; 0 where both are shown alike."""
    return _shown(after) - _shown(before)


def _made(before: Figures, after: Figures) -> str:
    change = _change(before.made, after.made)
    if not change:
        return ""
    if not _shown(after.made):
        return f"nothing is made in place of {kwh(before.made)}"
    word = "more" if change > 0 else "less"
    said = (
        f"{_apart(before.made, after.made)} {word} is made ({_amount(after.made)} in place of "
        f"{_amount(before.made)})"
    )
    to = _goes_to_one(before, after)
    if to == "lost":
        return f"{said}, all of it held back by the export limit: {_share(after)}"
    if to == "clipped":
        return f"{said}, all of it clipped at the inverter"
    return said


def _goes_to_one(before: Figures, after: Figures) -> str:
    """Which loss takes all that is made less: "lost", "clipped" or neither.

    Three figures that are shown in whole kWh may differ by 1 in their sum, in tenths by 0.1.
    """
    less = -_change(before.made, after.made)
    if less <= 0 or not _shown(after.made):
        return ""
    for name, other in (("lost", "clipped"), ("clipped", "lost")):
        old, new = getattr(before, name), getattr(after, name)
        same = _change(getattr(before, other), getattr(after, other)) == 0
        rounding = 1 if min(less, _shown(new)) >= _WHOLE_FROM else 0.15
        if same and _shown(new) and not _shown(old) and abs(_shown(new) - less) <= rounding:
            return name
    return ""


def _share(figures: Figures) -> str:
    return f"{share_lost(figures)} of what could be made"


def _held_back(before: Figures, after: Figures) -> str:
    if not _change(before.lost, after.lost):
        return ""
    if not _shown(after.lost):
        return f"nothing is held back by an export limit, in place of {kwh(before.lost)}"
    place = f" in place of {_amount(before.lost)}" if _shown(before.lost) else ""
    return f"{kwh(after.lost)}{place} is held back by the export limit, {_share(after)}"


def _clipped(before: Figures, after: Figures) -> str:
    """Said to explain what is made, so less than 1 kWh is left out, and all where nothing is."""
    if abs(_change(before.clipped, after.clipped)) < 1 or not _shown(after.made):
        return ""
    if not _shown(after.clipped):
        return f"nothing is clipped at the inverter, in place of {kwh(before.clipped)}"
    place = f" in place of {_amount(before.clipped)}" if _shown(before.clipped) else ""
    return f"{kwh(after.clipped)}{place} is clipped at the inverter"


def _at_the_inverter(before: Figures, after: Figures) -> str:
    """What the inverters of the sun lose otherwise, where that tells what is made apart from what
    is clipped and held back."""
    moved = after.dc - before.dc
    turned = (after.potential - before.potential) - moved
    if abs(turned) < 1 or abs(moved) >= 1 or not _shown(after.made):
        return ""
    rest = _change(before.made, after.made)
    rest += _change(before.clipped, after.clipped) + _change(before.lost, after.lost)
    if not rest:
        return ""
    return f"the inverter itself loses {_kwh(rest)} {'less' if rest > 0 else 'more'} of the sun"


def _on_the_way(before: Figures, after: Figures) -> str:
    """What cells and their conversions lose otherwise: what stands in the sentence leaves it."""
    if abs(after.on_the_way - before.on_the_way) < 1:
        return ""
    rest = _change(before.made, after.made) + _change(before.imported, after.imported)
    rest -= _change(before.exported, after.exported)
    if not rest:
        return ""
    return f"{_kwh(rest)} {'more' if rest > 0 else 'less'} is lost in conversion and cells"


def _kwh(change: float) -> str:
    """How far sums of shown amounts are apart, as exact as they are."""
    amount = abs(round(change, 1))
    return f"{amount:,.0f} kWh" if amount.is_integer() else f"{amount:,.1f} kWh"


def _more_or_less(before: float, after: float, done: str) -> str:
    change = _change(before, after)
    if not change:
        return ""
    return f"{_apart(before, after)} {'more' if change > 0 else 'less'} is {done}"


def cannot_be_told(why: str) -> str:
    """Where a change lacks a fact, or its year could not be worked out."""
    return f"What it costs in energy can\u2019t be told: {why}"


def as_it_stands(figures: Figures) -> str:
    """The year of the design itself, which every difference is from."""
    lost = ""
    if _shown(figures.lost):
        lost = f"{kwh(figures.lost)} is held back by the export limit, {_share(figures)}; "
    return (
        f"As it stands, in a year {_or_nothing(figures.made)} is made; {lost}"
        f"{_or_nothing(figures.imported)} is bought; {_or_nothing(figures.exported)} is exported."
    )


def _or_nothing(amount: float) -> str:
    words = kwh(amount)
    return "nothing" if words == "none" else words


def rests(asked: YearAsked) -> tuple[str, ...]:
    """What the sentences rest on: sun, use, steps, and how the design was read."""
    sun = (
        f"a typical year of the region {asked.region.name}"
        if asked.irradiance is None
        else "uploaded irradiance"
    )
    if asked.measured_kwh is not None:
        sun += f", a measured yield of {asked.measured_kwh:,} kWh"
    use = (
        f"a use of {asked.yearly_use_kwh:,} kWh a year"
        if asked.meter is None and asked.yearly_use_kwh is not None
        else "uploaded meter readings"
    )
    clipping = ""
    if asked.plant.with_panels:
        clipping = (
            " What is made, clipped and held back is counted at AC behind the sun’s inverter; what "
            "cells lose comes after it."
        )
    return (
        f"What each change costs in energy rests on {sun}, and on {use}, in steps of "
        f"{asked.options.step_minutes} minutes.{clipping}",
        *_windows(asked),
        *asked.plant.told,
    )


def _windows(asked: YearAsked) -> tuple[str, ...]:
    """The hours in which cells are filled from the network and emptied into it."""
    if not asked.plant.with_cells:
        return ()
    cheap, sell = asked.options.cheap, asked.options.sell
    said = []
    if cheap is not None:
        said.append(f"Cells are filled from the network from {cheap.words()}.")
    if sell is not None:
        said.append(f"Cells are emptied into the network from {sell.words()}.")
    return tuple(said)
