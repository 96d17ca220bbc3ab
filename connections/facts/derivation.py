"""The frozen types of a derivation: how a decision follows from facts and rulebook, step by step.

A decision file contains it on request. `connections.rules.explaining.derivation` makes it. Amounts
are whole numbers in the unit beside them (mA, W, VA, count); None means undecided while facts are
missing. Every part has its own sentence for a reader.
"""

import datetime as dt
from typing import Literal, TypeAlias

from msgspec import Struct

Shown: TypeAlias = int | str | bool | None | list[str]


class _Frozen(Struct, frozen=True, forbid_unknown_fields=True):
    """Never changes after it is made."""


class FactRead(_Frozen, frozen=True):
    """One place of the site file that a fact is made from, and what stands there.

    `value` is as the file has it, dates as year-month-day. `left_out` says that the key is not
    there at all, so that its default was taken; None without it means that it is not known.
    """

    path: str
    value: Shown
    left_out: bool


class FactUsed(_Frozen, frozen=True):
    """A deciding fact that the rows asked about.

    `value` is in `unit`, None where it is open or there is none; an open amount lies between
    `lowest` and `highest`. `workings` is the arithmetic, empty where there is none.
    """

    name: str
    says: str
    value: Shown
    lowest: int | None
    highest: int | None
    unit: str
    read: tuple[FactRead, ...]
    workings: str
    sentence: str


class LayerSaid(_Frozen, frozen=True):
    """What one layer says of a value: as written, since when, on what source, how certain."""

    layer: str
    title: str
    written: str
    since: dt.date
    source: str
    clause: str
    certainty: str


class ValueUsed(_Frozen, frozen=True):
    """A value of the rulebook that took part, the layer that won, and what lies beneath it.

    `beneath` has the overridden layers, the next lower first; it is empty where none was
    overridden, and where the rulebook was kept without them.
    """

    key: str
    says: str
    unit: str
    won: LayerSaid
    beneath: tuple[LayerSaid, ...]
    checked: dt.date
    note: str
    sentence: str


class Compared(_Frozen, frozen=True):
    """One condition as it was tested: value against limit, with margin, unit and answer.

    `key` is that of the value compared with, empty for a word or number of the table itself;
    `reading` is the key that says how an ambiguous limit is read. `margin` is what is left to the
    limit in `unit`, negative when it is passed. `result` is None where it can't be told.
    """

    fact: str
    op: str
    key: str
    reading: str
    value: Shown
    limit: Shown
    unit: str
    margin: int | None
    result: bool | None
    source: str
    certainty: str
    layer: str
    sentence: str


class RowTried(_Frozen, frozen=True):
    """One row of the decision table with its conditions; `result` says whether it holds."""

    id: str
    outcome: str
    title: str
    result: bool | None
    settles: bool
    comparisons: tuple[Compared, ...]
    source: str
    clause: str
    certainty: str
    sentence: str


class StepFollowed(_Frozen, frozen=True):
    """A step of the outcome, the conditions that it was tested on, and the values that it names.

    `result` is None where a condition can't be told; the step is kept then.
    """

    id: str
    says: str
    result: bool | None
    comparisons: tuple[Compared, ...]
    keys: tuple[str, ...]
    source: str
    clause: str
    certainty: str
    layer: str
    sentence: str


class ConditionAsked(_Frozen, frozen=True):
    """An extra condition of an operator or the firm; `result` says whether it holds for the site.

    None where it can't be told.
    """

    id: str
    says: str
    asks: str
    severity: Literal["stops", "decide", "inform"]
    result: bool | None
    comparisons: tuple[Compared, ...]
    source: str
    clause: str
    certainty: str
    layer: str
    sentence: str


class CapLookedAt(_Frozen, frozen=True):
    """A cap on export by place; `where` says by what it is the site's, empty where it isn't."""

    id: str
    says: str
    written: str
    where: str
    source: str
    clause: str
    certainty: str
    layer: str
    sentence: str


class FindingMade(_Frozen, frozen=True):
    """A finding with the values and the places of the site file that it rests on."""

    id: str
    subject: str
    severity: Literal["stops", "decide", "inform"]
    sentence: str
    workings: str
    keys: tuple[str, ...]
    read: tuple[FactRead, ...]


class LayerUsed(_Frozen, frozen=True):
    """One file that took part in the rulebook, lowest first."""

    key: str
    title: str
    digest: str


class Derivation(_Frozen, frozen=True):
    """The whole derivation of one decision.

    `rows` are those that were tried, up to the one that settles it or stays open; `settled_by` is
    the id of the one that settles it, empty while it stays open. `values` holds every value that a
    comparison, a step or a finding names, once, by key. `conditions` and `caps` are all that the
    rulebook holds beside its table, also those that are not for this site. `sentence` says the
    outcome.
    """

    reference: str
    on_date: dt.date
    area: str
    edition: str
    digest: str
    layers: tuple[LayerUsed, ...]
    facts: tuple[FactUsed, ...]
    rows: tuple[RowTried, ...]
    settled_by: str
    procedure: str
    title: str
    possible: tuple[str, ...]
    unknown: tuple[str, ...]
    steps: tuple[StepFollowed, ...]
    findings: tuple[FindingMade, ...]
    values: tuple[ValueUsed, ...]
    sentence: str
    conditions: tuple[ConditionAsked, ...] = ()
    caps: tuple[CapLookedAt, ...] = ()

    def value(self, key: str) -> ValueUsed | None:
        """The value of `key`, if the decision used it."""
        return next((value for value in self.values if value.key == key), None)
