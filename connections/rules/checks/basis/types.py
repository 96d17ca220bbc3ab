"""What a check is: a value worked out from facts, beside a limit of the rulebook.

Values, limits and margins are in `unit`, in whole steps; a computed value is rounded outwards
before it is compared (`connections.electrical.rounding`).
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from connections.rules.kinds import Kind, Read

Group = Literal[
    "voltage", "circuit", "demand", "balance", "fault", "service", "quality", "protection", "dc"
]
GROUPS: dict[Group, str] = {
    "voltage": "Voltage rise",
    "circuit": "Cable and circuit",
    "demand": "Demand and import",
    "balance": "Balance and neutral",
    "fault": "Fault level and earthing",
    "service": "Generation against the service",
    "quality": "Power quality",
    "protection": "Protection schedule",
    "dc": "DC side",
}
"""Titles of the groups, in the order in which they are shown."""

Result = Literal["keeps", "over", "close", "lacks", "impossible", "missing", "listed"]
"""`over` passes its limit on whichever side it is, `close` is within one step of it, `lacks` is
something that the facts call for and is not there, `impossible` an operating point that does not
exist, `missing` can't be told; `listed` has no limit and is there to be read."""

FAILED: frozenset[Result] = frozenset({"over", "close", "lacks", "impossible"})
"""Results that an engineer decides about."""

From = Literal["site", "rulebook", "assumed", "overridden", "computed"]
FROM_WORDS: dict[From, str] = {
    "site": "from the site",
    "rulebook": "limit of the rulebook",
    "assumed": "assumed",
    "overridden": "an engineer's figure",
    "computed": "worked out",
}


class Input(Struct, frozen=True, gc=False):
    """An input of a check: its name and value in words, and where it comes from.

    `where` is the site-file path or the rulebook key; `reason` stands with an override.
    """

    name: str
    value: str
    origin: From
    where: str = ""
    reason: str = ""


class Point(Struct, frozen=True, gc=False):
    """A point of a plot: its words and its place on both axes."""

    label: str
    x: float
    y: float


class Level(Struct, frozen=True, gc=False):
    """A limit across a plot."""

    name: str
    value: float


class Series(Struct, frozen=True, gc=False):
    """One line of a plot, or one kind of bar with a point for each group."""

    name: str
    points: tuple[Point, ...]


class PlotData(Struct, frozen=True, gc=False):
    """What a plot of a check shows: lines along metres, or bars by phase."""

    kind: Literal["along", "bars"]
    x_unit: str
    y_unit: str
    series: tuple[Series, ...]
    levels: tuple[Level, ...]


class CheckKind(Struct, frozen=True):
    """A kind of check, declared once, and the finding that follows where it is not kept.

    A check without one is there to be read. One whose finding informs is a caution, which is told
    on the results of `told_on`.
    """

    id: str
    group: Group
    finding: Kind | None = None
    told_on: tuple[Result, ...] = ("over", "lacks")

    @property
    def caution(self) -> bool:
        """Whether it informs and leaves nothing to decide."""
        return self.finding is not None and self.finding.severity == "inform"


class Check(Struct, frozen=True, gc=False):
    """One check of one subject.

    `bound` says on which side of the limit the value is to stay. `needs` names in words what a
    missing one lacks. `read` is every fact that it rests on: the basis of its finding.
    """

    kind: CheckKind
    subject: str
    title: str
    formula: str
    inputs: tuple[Input, ...]
    workings: tuple[str, ...]
    result: Result
    value: Decimal | None = None
    limit: Decimal | None = None
    unit: str = ""
    margin: Decimal | None = None
    bound: Literal["at most", "at least"] = "at most"
    says: str = ""
    needs: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    read: tuple[Read, ...] = ()
    plot: PlotData | None = None
    margin_mv: int | None = None
    """The margin of a share of a voltage, in millivolts, never flattering."""

    @property
    def id(self) -> str:
        """The id of its kind."""
        return self.kind.id

    @property
    def group(self) -> Group:
        """The group of its kind."""
        return self.kind.group

    @property
    def caution(self) -> bool:
        """Whether it informs where it passes its limit, and leaves nothing to decide."""
        return self.kind.caution

    @property
    def failed(self) -> bool:
        """Whether an engineer decides about it."""
        return self.result in FAILED and not self.caution


def bars(phases: Sequence[str], amps: Sequence[float]) -> tuple[Point, ...]:
    """A bar for each phase."""
    return tuple(Point(phase, float(k), amps[k]) for k, phase in enumerate(phases))


def amount(value: Decimal | float | int, unit: str) -> str:
    """A figure as a reader wants it: no more than three decimals, no trailing noughts."""
    text = f"{value:.3f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {unit}".strip()


def result_words(check: Check) -> str:
    """The result in words, with what is left to the limit."""
    if check.result == "keeps":
        return "keeps its limit" if check.limit is not None else "as called for"
    if check.result == "over":
        return "over its limit" if check.bound == "at most" else "under its limit"
    if check.caution and check.result == "close":
        return "at the figure it is compared with"
    if check.caution and check.result == "lacks":
        return "a caution, for information"
    return {
        "close": "too close to call: an engineer decides",
        "lacks": "not there: an engineer decides",
        "impossible": "no such operating point: an engineer decides",
        "missing": f"cannot tell: needs {_listed(check.needs)}",
        "listed": "for reading; there is no limit",
    }[check.result]


def _listed(words: tuple[str, ...]) -> str:
    return " and ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else "".join(words)
