"""The frozen types of a derivation: how one decision follows from facts and rulebook, step by step.

It is part of a decision file where it was asked for. `connections.rules.explaining.derivation`
makes it.
Amounts are whole numbers in the unit beside them (mA, W, VA, count); None stands for what can't be
told while facts are missing. Every part has a sentence of its own for a reader.
"""

import datetime as dt
from typing import Annotated, Literal, TypeAlias

from msgspec import Struct

from connections.facts.declaring import told

Shown: TypeAlias = int | str | bool | None | list[str]

Certainty: TypeAlias = Annotated[
    str,
    told(
        "Certainty", "How sure it is: published, secondary, common practice, from memory, or local."
    ),
]
Clause: TypeAlias = Annotated[str, told("Clause", "Where in the document it stands.")]
Layer: TypeAlias = Annotated[str, told("Layer", "Which layer of the rulebook it comes from.")]
Margin: TypeAlias = Annotated[
    int | None,
    told("Margin", "What is left to the limit, in the same unit; negative once it is passed."),
]
Result: TypeAlias = Annotated[
    bool | None, told("Result", "Whether it holds; null while facts are missing.")
]
Sentence: TypeAlias = Annotated[
    str, told("Sentence", "What it says, as one sentence for a reader.")
]
SeverityOf: TypeAlias = Annotated[
    Literal["stops", "decide", "inform"],
    told("Severity", "Whether it stops the case, needs a decision, or only informs."),
]
Source: TypeAlias = Annotated[str, told("Source", "The document that it rests on.")]
"""Fields that stand in many parts, with the same words."""


class _Frozen(Struct, frozen=True, forbid_unknown_fields=True):
    """Never changes after it is made."""


class FactRead(_Frozen, frozen=True):
    """One place of the site file that a fact is made from, and what stands there.

    `value` is as the file has it, dates as year-month-day. `left_out` says that the key is not
    there at all, so that its default was taken; None without it means that it is not known.
    """

    path: Annotated[str, told("Place", "The place of the site file.")]
    value: Annotated[Shown, told("Value", "What stands there.")]
    left_out: Annotated[
        bool, told("Left out", "Whether the key is not there, so that its default was taken.")
    ]


class FactUsed(_Frozen, frozen=True):
    """A deciding fact that the rows asked about.

    `value` is in `unit`, None where it is open or there is none; an open amount lies between
    `lowest` and `highest`. `workings` is the arithmetic, empty where there is none.
    """

    name: Annotated[str, told("Name", "The deciding fact.")]
    says: Annotated[str, told("Says", "The fact in words.")]
    value: Annotated[Shown, told("Value", "Its value in the unit named; null where it is open.")]
    lowest: Annotated[int | None, told("Lowest", "The least that it can be while it is open.")]
    highest: Annotated[int | None, told("Highest", "The most that it can be while it is open.")]
    unit: Annotated[str, told("Unit", "The unit of its figures.")]
    read: Annotated[
        tuple[FactRead, ...], told("Read", "The places of the site file that it is made from.")
    ]
    workings: Annotated[str, told("Workings", "The arithmetic behind it.")]
    sentence: Sentence


class LayerSaid(_Frozen, frozen=True):
    """What one layer says of a value: as written, since when, on what source, how certain."""

    layer: Annotated[str, told("Layer", "The file that says it.")]
    title: Annotated[str, told("Title", "The name of that file.")]
    written: Annotated[str, told("Written", "The value as written there.")]
    since: Annotated[dt.date, told("Since", "The day from which it holds.")]
    source: Source
    clause: Clause
    certainty: Certainty


class ValueUsed(_Frozen, frozen=True):
    """A value of the rulebook that took part, the layer that won, and what lies beneath it.

    `beneath` has the overridden layers, the next lower first; it is empty where none was
    overridden, and where the rulebook was kept without them.
    """

    key: Annotated[str, told("Key", "The value by its key.")]
    says: Annotated[str, told("Says", "What the value is.")]
    unit: Annotated[str, told("Unit", "The unit of the value.")]
    won: Annotated[LayerSaid, told("Holds", "What the layer says that won.")]
    beneath: Annotated[
        tuple[LayerSaid, ...], told("Beneath", "What lower layers say, the next lower first.")
    ]
    checked: Annotated[dt.date, told("Checked", "The day on which the value was last checked.")]
    note: Annotated[str, told("Note", "What else is to be known of it.")]
    sentence: Sentence


class Compared(_Frozen, frozen=True):
    """One condition as it was tested: value against limit, with margin, unit and answer.

    `key` is that of the value compared with, empty for a word or number of the table itself;
    `reading` is the key that says how an ambiguous limit is read. `margin` is what is left to the
    limit in `unit`, negative when it is passed. `result` is None where it can't be told.
    """

    fact: Annotated[str, told("Fact", "The deciding fact that was tested.")]
    op: Annotated[str, told("Comparison", 'How it was compared, such as "at_most".')]
    key: Annotated[str, told("Key", "The value of the rulebook that it was compared with.")]
    reading: Annotated[str, told("Reading", "The key that says how an ambiguous limit is read.")]
    value: Annotated[Shown, told("Value", "What the site has, in the unit named.")]
    limit: Annotated[Shown, told("Limit", "What it was compared with, in the unit named.")]
    unit: Annotated[str, told("Unit", "The unit of value, limit and margin.")]
    margin: Margin
    result: Result
    source: Source
    certainty: Certainty
    layer: Layer
    sentence: Sentence


class RowTried(_Frozen, frozen=True):
    """One row of the decision table with its conditions; `result` says whether it holds."""

    id: Annotated[str, told("Id", "The row of the table.")]
    outcome: Annotated[str, told("Outcome", "The procedure that the row gives.")]
    title: Annotated[str, told("Title", "That procedure in words.")]
    result: Result
    settles: Annotated[bool, told("Settles", "Whether the outcome follows from this row.")]
    comparisons: Annotated[
        tuple[Compared, ...], told("Comparisons", "The conditions of the row as they were tested.")
    ]
    source: Source
    clause: Clause
    certainty: Certainty
    sentence: Sentence


class StepFollowed(_Frozen, frozen=True):
    """A step of the outcome, the conditions that it was tested on, and the values that it names.

    `result` is None where a condition can't be told; the step is kept then.
    """

    id: Annotated[str, told("Id", "The step of the outcome.")]
    says: Annotated[str, told("Says", "What to do, in words.")]
    result: Result
    comparisons: Annotated[
        tuple[Compared, ...], told("Comparisons", "The conditions of the step as they were tested.")
    ]
    keys: Annotated[tuple[str, ...], told("Keys", "The values of the rulebook that it names.")]
    source: Source
    clause: Clause
    certainty: Certainty
    layer: Layer
    sentence: Sentence


class ConditionAsked(_Frozen, frozen=True):
    """An extra condition of an operator or the firm; `result` says whether it holds for the site.

    None where it can't be told.
    """

    id: Annotated[str, told("Id", "The extra condition.")]
    says: Annotated[str, told("Says", "What it is.")]
    asks: Annotated[str, told("Asks", "What follows where it holds.")]
    severity: SeverityOf
    result: Result
    comparisons: Annotated[
        tuple[Compared, ...], told("Comparisons", "The condition as it was tested.")
    ]
    source: Source
    clause: Clause
    certainty: Certainty
    layer: Layer
    sentence: Sentence


class CapLookedAt(_Frozen, frozen=True):
    """A cap on export by place; `where` says by what it is the site's, empty where it isn't."""

    id: Annotated[str, told("Id", "The cap by its id.")]
    says: Annotated[str, told("Says", "What is capped.")]
    written: Annotated[str, told("Written", "The cap as written.")]
    where: Annotated[str, told("Where", "By what it is the site's; empty where it isn't.")]
    source: Source
    clause: Clause
    certainty: Certainty
    layer: Layer
    sentence: Sentence


class FindingMade(_Frozen, frozen=True):
    """A finding with the values and the places of the site file that it rests on."""

    id: Annotated[str, told("Id", "Which finding it is.")]
    subject: Annotated[str, told("Subject", "What it is about.")]
    severity: SeverityOf
    sentence: Sentence
    workings: Annotated[str, told("Workings", "The arithmetic behind it.")]
    keys: Annotated[tuple[str, ...], told("Keys", "The values of the rulebook that it rests on.")]
    read: Annotated[
        tuple[FactRead, ...], told("Read", "The places of the site file that were read.")
    ]


class LayerUsed(_Frozen, frozen=True):
    """One file that took part in the rulebook, lowest first."""

    key: Annotated[str, told("Key", "The file by its key.")]
    title: Annotated[str, told("Title", "The name of the file.")]
    digest: Annotated[str, told("Digest", "The hash of the file.")]


class Derivation(_Frozen, frozen=True):
    """The whole derivation of one decision.

    `rows` are those that were tried, up to the one that settles it or stays open; `settled_by` is
    the id of the one that settles it, empty while it stays open. `values` holds every value that a
    comparison, a step or a finding names, once, by key. `conditions` and `caps` are all that the
    rulebook holds beside its table, also those that are not for this site. `sentence` says the
    outcome.
    """

    reference: Annotated[str, told("Reference", "The firm's own name for the case.")]
    on_date: Annotated[dt.date, told("Date of the rules", "The day whose rules decided.")]
    area: Annotated[str, told("Licence area", "The area whose operator answers.")]
    edition: Annotated[str, told("Edition", "The edition that decided.")]
    digest: Annotated[str, told("Digest", "The hash of the whole rulebook.")]
    layers: Annotated[
        tuple[LayerUsed, ...], told("Layers", "The files that took part, lowest first.")
    ]
    facts: Annotated[
        tuple[FactUsed, ...], told("Facts", "The deciding facts that the rows asked about.")
    ]
    rows: Annotated[tuple[RowTried, ...], told("Rows", "The rows of the table that were tried.")]
    settled_by: Annotated[
        str, told("Settled by", "The row that settles it, empty while it stays open.")
    ]
    procedure: Annotated[str, told("Procedure", "The procedure by its short key.")]
    title: Annotated[str, told("Title", "The procedure in words.")]
    possible: Annotated[
        tuple[str, ...], told("Possible outcomes", "What can still follow while facts are missing.")
    ]
    unknown: Annotated[
        tuple[str, ...],
        told("Unknown", "The places of the site file that could change the outcome."),
    ]
    steps: Annotated[
        tuple[StepFollowed, ...], told("Steps", "The steps of the outcome as they were tested.")
    ]
    findings: Annotated[
        tuple[FindingMade, ...], told("Findings", "The findings with what they rest on.")
    ]
    values: Annotated[tuple[ValueUsed, ...], told("Values", "Every value that took part, once.")]
    sentence: Sentence
    conditions: Annotated[
        tuple[ConditionAsked, ...],
        told("Conditions", "Extra conditions of operators and of the firm."),
    ] = ()
    caps: Annotated[tuple[CapLookedAt, ...], told("Caps", "Caps on export by place.")] = ()

    def value(self, key: str) -> ValueUsed | None:
        """The value of `key`, if it took part."""
        return next((value for value in self.values if value.key == key), None)
