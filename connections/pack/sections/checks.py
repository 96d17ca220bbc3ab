"""The electrical checks of a pack: what was checked, against what, with what result.

Results are in words, and like checks share a row. Workings have a section of their own near the
end.
"""

from collections.abc import Sequence
from decimal import Decimal

from msgspec import structs

from connections.pack import cells
from connections.pack.content import (
    Block,
    Cell,
    Column,
    PlotLevel,
    PlotPoint,
    PlotSeries,
    Plotted,
    PrintedRow,
    Prose,
    Table,
    Working,
    Workings,
)
from connections.pack.figures import counted, listed
from connections.pack.sections.alike_checks import Alike, alike, by_title
from connections.pack.sections.check_basis import Basis
from connections.rules.checks.basis.types import (
    FAILED,
    FROM_WORDS,
    PRINTED,
    Check,
    From,
    Group,
    PlotData,
    amount,
    result_words,
)
from connections.rules.checks.plot_words import plot_title, plot_words

MOST_PLOTS = 6
"""Most plots of one kind; those with the smallest margins are drawn."""
NEAR = Decimal("0.1")
"""A value with at most this share of its limit left has a plot. Our choice."""

_COLUMNS = (
    Column("What was checked", 26),
    Column("Value", 12, number=True),
    Column("Limit", 11, number=True),
    Column("Margin", 13, number=True),
    Column("Result", 23),
    Column("Rests on", 15),
)
_COUNTED = (
    (("keeps",), "keeps its limit or is as called for", "keep their limit or are as called for"),
    (("over",), "passes its limit", "pass their limit"),
    (("close",), "is too close to its limit to call", "are too close to their limit to call"),
    (("lacks",), "lacks what the facts call for", "lack what the facts call for"),
    (("impossible",), "has no operating point", "have no operating point"),
    (("caution",), "is a caution, for information", "are cautions, for information"),
    (("missing",), "lacks data", "lack data"),
    (("listed",), "is for reading", "are for reading"),
)
"""Words of the summary for the number of each result."""
_ORDER: tuple[From, ...] = ("site", "rulebook", "assumed", "overridden", "computed")


def electrical_blocks(checks: Sequence[Check], basis: Basis) -> list[Block]:
    """Results of the checks: a table with plots for each group."""
    if not checks:
        return [Prose("checks.none", "", ("There is no plant on these facts to check.",))]
    groups = {
        group: found
        for group in PRINTED
        if (found := by_title(check for check in checks if check.group == group))
    }
    blocks: list[Block] = [_summary(checks, groups)]
    for group, found in groups.items():
        blocks += [_table(group, found, basis), *_plots(group, found)]
    return blocks


def working_blocks(checks: Sequence[Check]) -> list[Block]:
    """Formula, inputs and arithmetic of every check that could be worked out, group by group."""
    blocks: list[Block] = []
    for group, title in PRINTED.items():
        shown = [check for check in checks if check.group == group and check.workings]
        found = alike(by_title(shown), _all_said)
        if found:
            blocks.append(Workings(f"workings.{group}", title, _workings(found)))
    if not blocks:
        return [Prose("workings.none", "", ("No check could be worked out on these facts.",))]
    said = (
        "How the values of the electrical checks come about. Each value is rounded outwards before "
        "it is compared. Checks that differ in nothing but the unit or phase are worked out once; "
        "one that lacks a fact is named, with what it needs, beside its result."
    )
    return [Prose("workings.about", "", (said,)), *blocks]


def _summary(checks: Sequence[Check], groups: dict[Group, tuple[Check, ...]]) -> Prose:
    told = [
        f"{n:,} {one if n == 1 else many}"
        for results, one, many in _COUNTED
        if (n := sum(_counts_as(check) in results for check in checks))
    ]
    said = [
        f"{counted(len(checks), 'check')} on the facts of this site: {listed(told)}.",
        "A value is rounded outwards before it is compared, and one within a step of its limit is "
        "an engineer's to decide; what an engineer decides about stands among the findings. "
        "“Rests on” names facts, and by their number the figures of the section “Figures taken”. "
        "Formulas and arithmetic stand in the section “Workings of the electrical checks”.",
    ]
    left_out = [title for group, title in PRINTED.items() if group not in groups]
    if left_out:
        said.append(f"Nothing on these facts to check: {listed(left_out)}.")
    return Prose("checks.summary", "", tuple(said))


def _counts_as(check: Check) -> str:
    informs = check.caution and check.result in ("over", "close", "lacks")
    return "caution" if informs else check.result


def _table(group: Group, checks: Sequence[Check], basis: Basis) -> Table:
    def said(check: Check) -> tuple[str, ...]:
        return (*_figures(check), _result(check), basis.rests_on(check))

    rows = []
    for each in alike(checks, said):
        value, limit, left, result, rests = said(each.first)
        rows.append(
            PrintedRow(
                (
                    Cell(text=f"{each.first.title}\n{each.subjects}"),
                    *(Cell(text=text) if text else cells.NONE for text in (value, limit, left)),
                    Cell(text=each.words(result)),
                    Cell(text=rests) if rests else cells.NONE,
                )
            )
        )
    return Table(
        id=f"checks.{group}",
        title=PRINTED[group],
        columns=_COLUMNS,
        rows=tuple(rows),
        wordy=True,
    )


def _figures(check: Check) -> tuple[str, str, str]:
    """Value, limit and margin in words; empty where there is none."""
    value = "" if check.value is None else _amount(check.value, check.unit)
    limit = (
        "" if check.limit is None else f"{check.bound} {_amount(check.limit, check.unit)}"
    ) or next((one.value for one in check.inputs if one.name == "limit"), "")
    left = "" if check.margin is None else _amount(check.margin, check.unit)
    if left and check.margin_mv is not None:
        left += f"\n{_amount(Decimal(check.margin_mv) / 1000, 'V')}"
    return value, limit, left


def _amount(value: Decimal, unit: str) -> str:
    """A figure that no line break divides."""
    number, _, name = amount(value, unit).partition(" ")
    whole, dot, rest = number.partition(".")
    whole = whole if whole == "-0" else f"{int(whole):,}"
    return f"{whole}{dot}{rest} {name}".strip().replace("-", "−").replace(" ", "\N{NO-BREAK SPACE}")


def _result(check: Check) -> str:
    words = result_words(check)
    if check.caution and check.result == "over":
        words += ": a caution, for information"
    if check.says:
        words += f"\n{check.says[:1].upper()}{check.says[1:].rstrip('.')}."
    devices = [one.value for one in check.inputs if one.name == "device"]
    if check.result == "keeps" and devices:
        words += f": {listed(devices)}"
    return words


def _plots(group: Group, checks: Sequence[Check]) -> list[Block]:
    """Plots of a group near their limits, each once; of many, those with the smallest margins."""
    first: dict[PlotData, Check] = {}
    for check in checks:
        if check.plot is not None:
            first.setdefault(check.plot, check)
    near = [pair for pair in first.items() if _is_near(pair[1])]
    chosen = sorted(near, key=lambda pair: _left(pair[1]))[:MOST_PLOTS]
    drawn = [(plot, check) for plot, check in first.items() if (plot, check) in chosen]
    blocks: list[Block] = [
        _plotted(f"checks.plot-{group}-{n}", plot, check)
        for n, (plot, check) in enumerate(drawn, start=1)
    ]
    if len(first) > len(drawn):
        left_out = len(first) - len(drawn)
        said = (
            f"{counted(left_out, 'plot')} with more left to the limits "
            f"{'is' if left_out == 1 else 'are'} not drawn; the figures stand in the table."
        )
        blocks.append(Prose(f"checks.not-drawn-{group}", "", (said,)))
    return blocks


def _is_near(check: Check) -> bool:
    """Whether a value has passed its limit or is near it."""
    return check.result in FAILED or (check.margin is not None and _left(check) <= NEAR)


def _left(check: Check) -> Decimal:
    """Margin as a share of the limit, to order unlike limits."""
    if check.margin is None or not check.limit:
        return Decimal(0)
    return check.margin / abs(check.limit)


def _plotted(block_id: str, plot: PlotData, check: Check) -> Plotted:
    return Plotted(
        id=block_id,
        title=plot_title(check, plot),
        told=plot_words(plot),
        plot=plot.kind,
        x_unit=plot.x_unit,
        y_unit=plot.y_unit,
        series=tuple(
            PlotSeries(
                series.name,
                tuple(PlotPoint(p.label, _thousandths(p.x), _thousandths(p.y))
                      for p in series.points),
            )
            for series in plot.series
        ),
        levels=tuple(PlotLevel(level.name, _thousandths(level.value)) for level in plot.levels),
    )  # fmt: skip


def _thousandths(value: float) -> int:
    return round(value * 1000)


def _all_said(check: Check) -> tuple[str, ...]:
    return (
        *_figures(check),
        _result(check),
        check.formula,
        *_inputs(check),
        *check.workings,
    )


def _workings(found: Sequence[Alike]) -> tuple[Working, ...]:
    """One working for each; formula and inputs are not repeated where they are as before."""
    workings: list[Working] = []
    formula, inputs = "", tuple[str, ...]()
    for each in found:
        made = _working(each)
        same = [
            word
            for word, now, before in (
                ("formula", made.formula, formula),
                ("inputs", made.inputs, inputs),
            )
            if now and now == before
        ]
        formula, inputs = made.formula, made.inputs
        if same:
            words = f"{listed(same)} as above"
            made = structs.replace(
                made,
                formula=f"{words[:1].upper()}{words[1:]}." if "formula" in same else formula,
                inputs=() if "inputs" in same else inputs,
            )
        workings.append(made)
    return tuple(workings)


def _working(each: Alike) -> Working:
    check = each.first
    lines = check.workings
    if len(each.checks) > 1:
        lines = (*lines, f"Shown for {check.subject}; the others come out alike.")
    return Working(
        title=check.title,
        of=each.subjects,
        formula=check.formula,
        inputs=_inputs(check),
        lines=lines,
        result=_outcome(check),
    )


def _inputs(check: Check) -> tuple[str, ...]:
    """The inputs by origin: "From the site: ..."."""
    said = []
    for origin in _ORDER:
        found = [
            f"{one.name} {one.value.rstrip('.')}"
            + (f" ({one.reason.rstrip('.')})" if one.reason else "")
            for one in check.inputs
            if one.origin == origin
        ]
        if found:
            words = FROM_WORDS[origin]
            said.append(f"{words[:1].upper()}{words[1:]}: {'; '.join(found)}.")
    return tuple(said)


def _outcome(check: Check) -> str:
    value, limit, left = _figures(check)
    figures = value
    if value and check.limit is not None:
        figures = f"{value}, {limit}"
    if left and check.margin is not None and check.margin >= 0:
        figures += f", {' or '.join(left.split(chr(10)))} left"
    words = " ".join(_result(check).split("\n"))
    return f"{figures}: {words}." if figures else f"{words[:1].upper()}{words[1:].rstrip('.')}."
