"""Sentence on what a change costs in energy per year, and on its basis."""

from connections.energy.asked import YearAsked
from connections.energy.result import Figures
from sites.energy.words.rows import kwh, share_lost

_WHOLE_FROM = 10
"""Amounts from here on are shown in whole kWh."""

UNCHANGED = "Nothing changes in the energy of a year."


def difference(before: Figures, after: Figures) -> str:
    """Return in a sentence how a year changes in made, lost, bought and exported energy.

    Rounds amounts as displayed before it subtracts them, so that each difference fits its figures.
    Leaves out unchanged amounts, except what is made.
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
    """Return an energy [kWh] as `kwh` rounds it."""
    words = kwh(amount).removesuffix(" kWh")
    return 0.0 if words == "none" else float(words.replace(",", ""))


def _amount(amount: float) -> str:
    """Return the figure without its unit."""
    return kwh(amount).removesuffix(" kWh")


def _apart(before: float, after: float) -> str:
    """Return the difference of two amounts in words, as exact as both."""
    change = abs(_change(before, after))
    whole = all(_shown(each).is_integer() for each in (before, after))
    return f"{change:,.0f} kWh" if whole else kwh(change)


def _change(before: float, after: float) -> float:
    """Return the increase [kWh], negative for less; 0 if both are displayed alike."""
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
    """Return the loss that explains all the energy made less: "lost", "clipped" or "".

    Allows for rounding: three figures in whole kWh may be 1 out in their sum, in tenths 0.1.
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
    """Return the change in clipped energy, which explains the change in energy made.

    Empty below 1 kWh, or if nothing is made.
    """
    if abs(_change(before.clipped, after.clipped)) < 1 or not _shown(after.made):
        return ""
    if not _shown(after.clipped):
        return f"nothing is clipped at the inverter, in place of {kwh(before.clipped)}"
    place = f" in place of {_amount(before.clipped)}" if _shown(before.clipped) else ""
    return f"{kwh(after.clipped)}{place} is clipped at the inverter"


def _at_the_inverter(before: Figures, after: Figures) -> str:
    """Return the change in the losses of the panels' inverters.

    Empty unless clipped and held-back energy leave a change in energy made unexplained.
    """
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
    """Return the change in losses of cells and conversions, from the sentence's rounded figures."""
    if abs(after.on_the_way - before.on_the_way) < 1:
        return ""
    rest = _change(before.made, after.made) + _change(before.imported, after.imported)
    rest -= _change(before.exported, after.exported)
    if not rest:
        return ""
    return f"{_kwh(rest)} {'more' if rest > 0 else 'less'} is lost in conversion and cells"


def _kwh(change: float) -> str:
    """Return the difference of sums of rounded amounts, as exact as they are."""
    amount = abs(round(change, 1))
    return f"{amount:,.0f} kWh" if amount.is_integer() else f"{amount:,.1f} kWh"


def _more_or_less(before: float, after: float, done: str) -> str:
    change = _change(before, after)
    if not change:
        return ""
    return f"{_apart(before, after)} {'more' if change > 0 else 'less'} is {done}"


def cannot_be_told(why: str) -> str:
    """Return the words for a change that lacks a fact or whose year failed."""
    return f"What it costs in energy can\u2019t be told: {why}"


def as_it_stands(figures: Figures) -> str:
    """Return the year of the unchanged design, with which each difference compares."""
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
    """Return the basis of the sentences: sun, use, steps, and how the design was read."""
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
    """Return the hours in which cells charge from the network and discharge into it."""
    if not asked.plant.with_cells:
        return ()
    cheap, sell = asked.options.cheap, asked.options.sell
    said = []
    if cheap is not None:
        said.append(f"Cells are filled from the network from {cheap.words()}.")
    if sell is not None:
        said.append(f"Cells are emptied into the network from {sell.words()}.")
    return tuple(said)
