"""What each export limit costs in a year, as sentences, rows of a table, and a plot."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct

from connections.energy.from_site import VOLTS
from connections.energy.result import AtLimit, Figures
from connections.plots.chart import TALL, Line, Plot, Upright, line_plot
from sites.energy.words.rows import kwh, share_lost

_LEAST_KWH = 0.05
"""Below this an amount of a year is called none."""
_EXACT_BELOW = 10


class LimitRow(Struct, frozen=True):
    """One limit of the table. Energies of the year in kWh; `amps` on each phase, at VOLTS.

    `at_cap` and `above_cap` tell how it lies to the operator's cap on export.
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
    """From the lowest limit to the highest, and then no limit."""
    return sorted(found, key=lambda each: (each.limit_kw is None, each.limit_kw or 0))


def limit_rows(
    found: Sequence[AtLimit], own_kw: float | None, phases: int, cap_kw: float | None = None
) -> list[LimitRow]:
    """The rows of the table, rising. `own_kw` is the limit of the design as it stands, `cap_kw`
    the operator's cap on export."""
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
    """A limit in words: at least two decimals, and nothing rounded away."""
    if limit_kw is None:
        return "no limit"
    whole, decimals = f"{limit_kw:,.6f}".split(".")
    return f"{whole}.{decimals.rstrip('0'):<02} kW"


def _amps(limit_kw: float | None, phases: int) -> str:
    """A limit on each of the phases, an equal share each, at unity power factor."""
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
    """What the design's own limit costs, from which of the limits tried nothing is lost, and what
    the operator's cap on export is."""
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
    """The lowest limit from which on nothing is lost, of those that were tried."""
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
    """Exported and lost against the limit; None for fewer than two limits.

    The operator's cap is marked where the design has no limit of its own: one name has room.
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
