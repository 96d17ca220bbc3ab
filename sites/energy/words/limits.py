"""Yearly cost of each export limit as sentences, table rows and a plot."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from connections.energy.from_site import VOLTS
from connections.energy.result import AtLimit, Figures
from connections.plots.chart import TALL, Line, Plot, Upright, line_plot
from sites.energy.words.rows import kwh, share_lost

_LEAST_KWH = 0.05
"""A yearly energy below this counts as none."""
_EXACT_BELOW = 10


class LimitRow(Struct, frozen=True):
    """A limit in the table, with yearly energies in kWh; `amps` is per phase, at VOLTS.

    `at_cap` and `above_cap` compare it with the operator's cap on export.
    """

    limit: str
    amps: str
    own: bool
    at_cap: bool
    above_cap: bool
    made: str
    exported: str
    lost: str
    share: str
    hours: str
    bought: str


def rising(found: Sequence[AtLimit]) -> list[AtLimit]:
    """Sort from the lowest limit to the highest, then no limit."""
    return sorted(found, key=lambda each: (each.limit_kw is None, each.limit_kw or 0))


def limit_rows(
    found: Sequence[AtLimit], own_kw: float | None, phases: int, cap_kw: float | None = None
) -> list[LimitRow]:
    """Return the rows of the table, lowest limit first.

    `own_kw` is the design's present limit, `cap_kw` the operator's cap on export.
    """
    return [_row(each, own_kw, phases, cap_kw) for each in rising(found)]


def _row(each: AtLimit, own_kw: float | None, phases: int, cap_kw: float | None) -> LimitRow:
    figures, limit_kw = each.figures, each.limit_kw
    return LimitRow(
        limit=limit_words(limit_kw),
        amps=_amps(limit_kw, phases),
        own=limit_kw == own_kw,
        at_cap=cap_kw is not None and limit_kw == cap_kw,
        above_cap=cap_kw is not None and (limit_kw is None or limit_kw > cap_kw),
        made=_amount(figures.made),
        exported=_amount(figures.exported),
        lost=_amount(figures.lost),
        share=share_lost(figures).removesuffix(" %").replace("less than ", "<"),
        hours=f"{figures.hours_limited:,.1f}".removesuffix(".0"),
        bought=_amount(figures.imported),
    )


def limit_words(limit_kw: float | None) -> str:
    """Return a limit in words, with at least two decimals and without rounding."""
    if limit_kw is None:
        return "no limit"
    whole, decimals = f"{limit_kw:,.6f}".split(".")
    return f"{whole}.{decimals.rstrip('0'):<02} kW"


def _amps(limit_kw: float | None, phases: int) -> str:
    """Return a limit in amps per phase, in equal shares at unity power factor."""
    if limit_kw is None or not phases:
        return ""
    ma = round(Fraction(round(limit_kw * 1_000_000), VOLTS * phases))
    return f"{Decimal(ma) / 1000:.3f}"


def _amount(amount: float) -> str:
    if amount < _LEAST_KWH:
        return "0"
    return f"{amount:.1f}" if amount < _EXACT_BELOW else f"{amount:,.0f}"


def sentences(
    found: Sequence[AtLimit], own_kw: float | None, cap_kw: float | None = None
) -> tuple[str, ...]:
    """Return sentences on the design's own limit, the lossless limits and the operator's cap.

    They say what the own limit costs, and from which of the limits tried nothing is lost.
    """
    ordered = rising(found)
    if not ordered:
        return ()
    said = (_own(ordered, own_kw), _from_which(ordered), _cap(ordered, cap_kw))
    return tuple(each for each in said if each)


def _cap(ordered: Sequence[AtLimit], cap_kw: float | None) -> str:
    if cap_kw is None:
        return ""
    tried = any(each.limit_kw == cap_kw for each in ordered)
    return (
        f"The operator caps export at {limit_words(cap_kw)}"
        f"{'' if tried else ', which is not among the limits tried'}; what lies above it is marked."
    )


def _own(ordered: Sequence[AtLimit], own_kw: float | None) -> str:
    if own_kw is None:
        return "This design has no export limit, so nothing is lost behind one as it stands."
    one = next((each for each in ordered if each.limit_kw == own_kw), None)
    return "" if one is None else f"At its limit of {limit_words(own_kw)} {_lost(one.figures)}."


def _lost(figures: Figures) -> str:
    if figures.lost < _LEAST_KWH:
        return "nothing is lost"
    return f"{kwh(figures.lost)} a year are lost, {share_lost(figures)} of what could be made"


def _from_which(ordered: Sequence[AtLimit]) -> str:
    """Say from which of the limits tried nothing is lost."""
    limited = [each for each in ordered if each.limit_kw is not None]
    if not limited:
        return ""
    free = len(limited)
    while free and limited[free - 1].figures.lost < _LEAST_KWH:
        free -= 1
    highest = limited[-1]
    if free == len(limited):
        return (
            f"Of the limits tried, something is lost at each: at the highest, "
            f"{limit_words(highest.limit_kw)}, {kwh(highest.figures.lost)} a year."
        )
    from_here = limit_words(limited[free].limit_kw)
    if free == 0:
        return f"Of the limits tried, nothing is lost from the lowest on, {from_here}."
    return f"Of the limits tried, from {from_here} up nothing is lost."


def limit_plot(
    found: Sequence[AtLimit], own_kw: float | None, cap_kw: float | None = None
) -> Plot | None:
    """Plot exported and lost energy against the limit; None for fewer than two limits.

    Marks the operator's cap only if the design has no limit of its own: there is room for one name.
    """
    points = [(each.limit_kw, each.figures) for each in rising(found) if each.limit_kw is not None]
    if len(points) < 2:
        return None
    if own_kw is not None:
        marked: tuple[Upright, ...] = (Upright(f"now {limit_words(own_kw)}", own_kw),)
    elif cap_kw is not None:
        marked = (Upright(f"operator’s cap {limit_words(cap_kw)}", cap_kw),)
    else:
        marked = ()
    told = "; ".join(
        f"{limit_words(kw)}: {_amount(each.exported)} and {_amount(each.lost)}"
        for kw, each in points
    )
    now = "" if own_kw is None else f" The design’s own limit of {limit_words(own_kw)} is marked."
    if own_kw is None and cap_kw is not None:
        now = f" The operator’s cap of {limit_words(cap_kw)} is marked."
    return line_plot(
        "A year under each limit",
        (
            Line("exported", tuple((kw, each.exported) for kw, each in points)),
            Line("lost behind the limit", tuple((kw, each.lost) for kw, each in points)),
        ),
        x_label="export limit in kW",
        y_label="kWh in a year",
        description=f"Exported and lost in a year, in kWh, under each limit. {told}.{now}",
        uprights=marked,
        from_zero=True,
        sheet=TALL,
    )
