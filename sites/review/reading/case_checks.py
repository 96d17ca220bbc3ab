"""Electrical checks of one case for its page: values, limits, margins, workings."""

from collections.abc import Iterable
from decimal import Decimal

from django.utils.http import urlencode
from msgspec import Struct

from connections.documents.check_plots import plot_of
from connections.plots.chart import Plot
from connections.rules.checks.basis.types import (
    FROM_WORDS,
    GROUPS,
    Check,
    Group,
    Input,
    amount,
    result_words,
)
from connections.rules.engineering import checks_of
from sites.cases.models import Case
from sites.deciding.limit_bars import Bar, bar_of
from sites.deciding.reading.deciding import decide_case
from sites.deciding.reading.explained import where

_STEPS = 1000
"""Whole bar steps per unit: values have up to three decimals."""


class ShownInput(Struct, frozen=True):
    """An input in words; `key` is its rulebook value, if any."""

    name: str
    value: str
    origin: str
    key: str
    reason: str


class ShownCheck(Struct, frozen=True):
    """A row of the table with its workings; `tone` is a severity, or `kept` or `soft`."""

    anchor: str
    title: str
    subject: str
    value: str
    limit: str
    margin: str
    bar: Bar | None
    result: str
    tone: str
    says: str
    formula: str
    inputs: tuple[ShownInput, ...]
    workings: tuple[str, ...]
    sources: tuple[str, ...]
    plot: Plot | None


class ShownGroup(Struct, frozen=True):
    """The checks of one kind."""

    id: Group
    title: str
    checks: tuple[ShownCheck, ...]


class Checked(Struct, frozen=True):
    """All checks of a case; `fault` says why there are none.

    `decide` are the checks that need an engineer, `missing` those that can't be told. `asked` is
    place and day of the rulebook.
    """

    fault: str
    groups: tuple[ShownGroup, ...] = ()
    decide: tuple[ShownCheck, ...] = ()
    cautions: tuple[ShownCheck, ...] = ()
    missing: tuple[ShownCheck, ...] = ()
    keeps: int = 0
    listed: int = 0
    edition: str = ""
    asked: str = ""

    @property
    def count(self) -> int:
        """The number of checks made."""
        return sum(len(group.checks) for group in self.groups)


def case_checks(case: Case) -> Checked:
    """Return every electrical check of a case, from its rows."""
    found = decide_case(case)
    if found.book is None or found.decided is None:
        return Checked(found.fault)
    checks = checks_of(found.decided)
    groups = tuple(
        ShownGroup(name, title, shown)
        for name, title in GROUPS.items()
        if (
            shown := tuple(
                _shown(check, n) for n, check in enumerate(checks) if check.group == name
            )
        )
    )
    every = [check for group in groups for check in group.checks]
    return Checked(
        fault="",
        groups=groups,
        decide=_of("decide", every),
        cautions=_of("inform", every),
        missing=_of("missing", every),
        keeps=len(_of("kept", every)),
        listed=len(_of("soft", every)),
        edition=found.book.edition,
        asked=urlencode({"where": where(found.book), "on": found.book.on_date.isoformat()}),
    )


def _of(tone: str, checks: Iterable[ShownCheck]) -> tuple[ShownCheck, ...]:
    return tuple(check for check in checks if check.tone == tone)


def _shown(check: Check, number: int) -> ShownCheck:
    words = result_words(check)
    return ShownCheck(
        anchor=f"check-{number + 1}",
        title=check.title,
        subject=check.subject,
        value="" if check.value is None else amount(check.value, check.unit),
        limit="" if check.limit is None else f"{check.bound} {amount(check.limit, check.unit)}",
        margin=_margin(check),
        bar=_bar(check),
        result=words[:1].upper() + words[1:],
        tone=tone_of(check),
        says=check.says[:1].upper() + check.says[1:],
        formula=check.formula,
        inputs=tuple(_input(one) for one in check.inputs),
        workings=check.workings,
        sources=check.sources,
        plot=plot_of(check),
    )


def tone_of(check: Check) -> str:
    """Return the mark of a check: the severity of its finding, or one of its own."""
    if check.failed:
        return "decide"
    if check.result == "missing":
        return "missing"
    if check.result == "listed":
        return "soft"
    return "kept" if check.result == "keeps" else "inform"


def _margin(check: Check) -> str:
    if check.margin is None:
        return ""
    if check.margin < 0:
        side = "too much" if check.bound == "at most" else "too little"
        return f"{amount(-check.margin, check.unit)} {side}"
    volts = ""
    if check.margin_mv is not None and check.unit != "V":
        volts = f" ({amount(Decimal(check.margin_mv) / 1000, 'V')})"
    return f"{amount(check.margin, check.unit)}{volts} left"


def _bar(check: Check) -> Bar | None:
    if check.value is None or check.limit is None:
        return None
    return bar_of(
        int(check.value * _STEPS),
        int(check.limit * _STEPS),
        within=check.result == "keeps",
        words=f"{amount(check.value, check.unit)} beside a limit of "
        f"{amount(check.limit, check.unit)}",
    )


def _input(one: Input) -> ShownInput:
    in_book = one.origin in ("rulebook", "assumed")
    return ShownInput(
        name=one.name[:1].upper() + one.name[1:],
        value=one.value,
        origin=FROM_WORDS[one.origin],
        key=one.where if in_book else "",
        reason=one.reason,
    )
