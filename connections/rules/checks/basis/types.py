"""The types of a check: a value from the facts, beside a limit of the rulebook.

Values, limits and margins are in `unit`, in whole steps. A computed value is rounded outwards
before it is compared (`connections.electrical.rounding`).
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from connections.rules.kinds import Kind, Read

Group = Literal[
    "voltage", "circuit", "demand", "balance", "fault", "service", "quality", "protection", "dc",
    "strings",
]  # fmt: skip
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
    "strings": "Strings of panels",
}
"""Titles of the groups, in the order of showing."""

PRINTED: dict[Group, str] = {group: title for group, title in GROUPS.items() if group != "strings"}
"""Those of a pack; the engineer's page alone shows how panels are wired."""

Result = Literal["keeps", "over", "close", "lacks", "impossible", "missing", "listed"]
"""`over` passes its limit on either side, `close` is within one step of it, `lacks` is a missing
thing that the facts call for, `impossible` an operating point that does not exist, `missing` is
undecided; `listed` has no limit and is for reading."""

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
    """An input of a check: its name and value in words, and its origin.

    `where` is the site-file path or the rulebook key; `reason` belongs to an override.
    """

    name: str
    value: str
    origin: From
    where: str = ""
    reason: str = ""


class Point(Struct, frozen=True, gc=False):
    """A point of a plot: its label and its position on both axes."""

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
    """The data of a check's plot: lines over metres, or bars by phase."""

    kind: Literal["along", "bars"]
    x_unit: str
    y_unit: str
    series: tuple[Series, ...]
    levels: tuple[Level, ...]


class CheckKind(Struct, frozen=True):
    """A kind of check, declared once, and the finding of its failure.

    A check without a finding is for reading. If the finding only informs, it is a caution, told on
    the results of `told_on`.
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

    `bound` is the side of the limit that the value must keep. `needs` names the missing facts in
    words. `read` holds every fact behind the check: the basis of its finding.
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
    """The margin of a percentage of voltage, to the nearest mV."""

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
        """Whether a passed limit only informs."""
        return self.kind.caution

    @property
    def failed(self) -> bool:
        """Whether an engineer decides about it."""
        return self.result in FAILED and not self.caution


def bars(phases: Sequence[str], amps: Sequence[float]) -> tuple[Point, ...]:
    """A bar for each phase."""
    return tuple(Point(phase, float(k), amps[k]) for k, phase in enumerate(phases))


_TO_A_THOUSANDTH = frozenset({"ohm", "kW", "kVA", "kvar", "kWp"})


def amount(value: Decimal | float | int, unit: str) -> str:
    """A figure for readers: two decimals, no trailing zeros.

    Three in ohm and in kilo units, and where two would name a tenth that the figure is not: 1.497 %
    never reads 1.5 % beside a limit of 1.5 %.
    """
    text, two = f"{value:.3f}", f"{value:.2f}"
    if unit.partition(" ")[0].rstrip(",") not in _TO_A_THOUSANDTH and not two.endswith("0"):
        text = two
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {unit}".strip()


def result_words(check: Check) -> str:
    """The result in words, with the margin."""
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
