"""The frozen types of a decision file (format decision/1): everything the rules found on a site.

Currents of the procedure are in milliamps at the rulebook's phase-to-neutral voltage and unity
power factor. `None` stands for what can't be told while facts are missing.
"""

import datetime as dt
from typing import Annotated, Any, Literal, TypeAlias

from msgspec import UNSET, Struct, UnsetType

from connections.facts.declaring import told
from connections.facts.derivation import (
    Certainty,
    Derivation,
    Layer,
    Margin,
    Result,
    Sentence,
    SeverityOf,
    Source,
)

Severity = Literal["stops", "decide", "inform"]
Plain: TypeAlias = int | str | bool | None | list[str] | dict[str, int | None]


class _Frozen(Struct, frozen=True, forbid_unknown_fields=True):
    """Never changes after it is made."""


class RulebookRef(_Frozen, frozen=True):
    """Which rulebook decided: its layers, lowest first, and the digest of the whole."""

    key: Annotated[str, told("Key", "The file of the edition.")]
    edition: Annotated[str, told("Edition", "The edition that decided, in words.")]
    layers: Annotated[tuple[str, ...], told("Layers", "The files that took part, lowest first.")]
    digest: Annotated[str, told("Digest", "The hash of the whole rulebook.")]


class Comparison(_Frozen, frozen=True):
    """One condition as it was tested.

    `value` and `limit` are in `unit`; a per-phase capacity stands in mA, rounded half up (the
    comparison itself was exact). `margin` is what is left to the limit in the same unit, negative
    when it is passed, None where there is nothing to measure.
    """

    fact: Annotated[str, told("Fact", "The deciding fact that was tested.")]
    op: Annotated[str, told("Comparison", 'How it was compared, such as "at_most".')]
    key: Annotated[str, told("Key", "The value of the rulebook that it was compared with.")]
    value: Annotated[Plain, told("Value", "What the site has, in the unit named.")]
    limit: Annotated[Plain, told("Limit", "What it was compared with, in the unit named.")]
    unit: Annotated[str, told("Unit", "The unit of value, limit and margin.")]
    margin: Margin
    result: Result
    says: Annotated[str, told("Says", "The condition in words.")]
    paths: Annotated[
        tuple[str, ...], told("Places", "The places of the site file that the fact is made from.")
    ]
    source: Source
    certainty: Certainty
    layer: Layer


class NotBecause(_Frozen, frozen=True):
    """Why an outcome that is tried earlier does not hold: the row and its failed conditions."""

    key: Annotated[str, told("Outcome", "The outcome that is tried earlier.")]
    row: Annotated[str, told("Row", "The row of the table that gives it.")]
    failed: Annotated[tuple[Comparison, ...], told("Failed", "The conditions that do not hold.")]


class Procedure(_Frozen, frozen=True):
    """The procedure that follows, why, and why none of the earlier ones."""

    key: Annotated[str, told("Key", "The procedure by its short key.")]
    title: Annotated[str, told("Title", "The procedure in words.")]
    says: Annotated[str, told("Says", "What the procedure is.")]
    because: Annotated[tuple[Comparison, ...], told("Because", "The conditions that led to it.")]
    not_because: Annotated[
        tuple[NotBecause, ...], told("Not because", "Why no earlier outcome holds.")
    ]
    boundary: Annotated[bool, told("Boundary", "Whether an ambiguous limit was met exactly.")]
    other_reading: Annotated[
        str | None, told("Other reading", "The procedure under the other reading of that limit.")
    ]


class Period(_Frozen, frozen=True, rename={"from_": "from"}):
    """A time limit: n days, working-days or months, running from an event."""

    n: Annotated[int, told("Number", "How many days, working days or months.")]
    unit: Annotated[str, told("Unit", "What is counted: days, working-days or months.")]
    from_: Annotated[str, told("From", "The event that the time runs from.")]


class Step(_Frozen, frozen=True):
    """One thing to send or ask: when, what, in which form, whether to wait for the answer.

    `notes` are sentences on what the network operator of the area wants for it, and on a supply
    that is asked for before it.
    """

    when: Annotated[
        Literal["before-work", "before-energising", "after-commissioning"],
        told("When", "Before the work, before energising, or after commissioning."),
    ]
    what: Annotated[
        Literal["application", "notification", "confirmation", "ask"],
        told("What", "What is to be sent or asked."),
    ]
    form: Annotated[str, told("Form", "The form that it goes in.")]
    wait: Annotated[bool, told("Wait", "Whether to wait for the answer.")]
    limit: Annotated[Period | None, told("Time limit", "By when, where there is a limit.")]
    attachments: Annotated[tuple[str, ...], told("Attachments", "What goes with it.")]
    sources: Annotated[tuple[str, ...], told("Sources", "The documents that the step rests on.")]
    certainty: Certainty
    says: Annotated[str, told("Says", "What to do, in words.")]
    notes: Annotated[
        tuple[str, ...], told("Notes", "What the network operator of the area wants beside.")
    ] = ()


class Module(_Frozen, frozen=True):
    """A power generating module: the units in it, its registered capacity and its size class.

    Source: EREC G99 Issue 2, section 4 and figures 4.2 to 4.6.
    """

    units: Annotated[tuple[str, ...], told("Units", "The names of the units in it.")]
    kind: Annotated[
        Literal["synchronous", "power-park"],
        told("Kind", "A synchronous machine, or a power park module."),
    ]
    w: Annotated[
        int | None, told("Registered capacity", "The capacity of the units together, in W.")
    ]
    size_class: Annotated[str | None, told("Size class", "The class that the capacity falls in.")]


class Finding(_Frozen, frozen=True):
    """Something the rules say about a site.

    `facts` are the site-file paths read, `basis` the digest of their values: an engineer's
    decision on the finding counts only while the basis is equal.
    """

    id: Annotated[str, told("Id", "Which finding it is.")]
    subject: Annotated[str, told("Subject", "What it is about: a unit, a place or a value.")]
    severity: SeverityOf
    values: Annotated[dict[str, Plain], told("Values", "The figures that the sentence is made of.")]
    margin: Margin
    margin_unit: Annotated[str, told("Unit of the margin", "The unit of the margin.")]
    sentence: Sentence
    workings: Annotated[
        str, told("Workings", "The arithmetic behind it, empty where there is none.")
    ]
    keys: Annotated[tuple[str, ...], told("Keys", "The values of the rulebook that it rests on.")]
    sources: Annotated[tuple[str, ...], told("Sources", "The documents that it rests on.")]
    facts: Annotated[tuple[str, ...], told("Places", "The places of the site file that were read.")]
    basis: Annotated[
        str,
        told("Basis", "The hash of what was read; a decision on it counts while this is equal."),
    ]


class Change(_Frozen, frozen=True):
    """One change to a site file: the path, and what to put there (None takes it out)."""

    path: Annotated[str, told("Place", "The place of the site file that changes.")]
    to: Annotated[Any, told("To", "What to put there; null takes it out.")]


class Remedy(_Frozen, frozen=True):
    """A change that would clear a stop or reach an earlier procedure, proved by deciding again.

    Changes are carried out in their order. `leaves` names what still stops the site after them.
    `name` says in a few words what was changed, and `fits` names equipment of the firm's catalogue
    with which the change could be made.
    """

    kind: Annotated[str, told("Kind", "Which kind of change it is.")]
    sentence: Sentence
    change: Annotated[
        tuple[Change, ...], told("Changes", "The changes to the site file, in their order.")
    ]
    takes_out: Annotated[tuple[str, ...], told("Takes out", "The units that go.")]
    procedure: Annotated[str, told("Procedure", "The procedure that then follows.")]
    clears: Annotated[tuple[str, ...], told("Clears", "The findings that are then gone.")]
    margin: Margin
    margin_unit: Annotated[str, told("Unit of the margin", "The unit of the margin.")]
    fits: Annotated[
        tuple[str, ...], told("Fits", "Equipment of the catalogue with which it could be made.")
    ] = ()
    leaves: Annotated[tuple[str, ...], told("Leaves", "What still stops the site after it.")] = ()
    name: Annotated[str, told("Name", "The change in a few words.")] = ""


class PhaseTerm(_Frozen, frozen=True):
    """What one line of units puts on one phase: quantity x rated watts / phases of one unit."""

    unit: Annotated[str, told("Unit", "The name of the line of units.")]
    status: Annotated[str, told("Status", "Whether it is there or proposed.")]
    quantity: Annotated[
        int | None, told("Number of like units", "How many units the line stands for.")
    ]
    rated_w: Annotated[int | None, told("Registered capacity", "The capacity of one unit, in W.")]
    phases: Annotated[int, told("Phases", "On how many phases one unit feeds.")]


class PhaseSum(_Frozen, frozen=True):
    """The workings of one phase's sum: its terms, watts as sixths, and amps both ways."""

    phase: Annotated[str, told("Phase", "Which phase it is.")]
    terms: Annotated[tuple[PhaseTerm, ...], told("Terms", "What each line of units adds.")]
    sixths_w: Annotated[
        int | None, told("Sixths of a watt", "The sum in sixths of a watt, which is exact.")
    ]
    ma: Annotated[int | None, told("Current", "The sum in whole mA, half up.")]
    exact_ma: Annotated[
        tuple[int, int] | None, told("Exact current", "Numerator and denominator of the sum in mA.")
    ]


class Decision(_Frozen, frozen=True):
    """The whole decision file. `remedies_stopped` says why a search for remedies ended early;
    `trace` is empty and `derivation` left out unless they are asked for."""

    format: Annotated[
        Literal["decision/1"],
        told("Format", "Says that this is a decision file, and of which form."),
    ]
    reference: Annotated[str, told("Reference", "The firm's own name for the case.")]
    on_date: Annotated[dt.date, told("Date of the rules", "The day whose rules decided.")]
    area: Annotated[str, told("Licence area", "The area whose operator answers.")]
    rulebook: Annotated[RulebookRef, told("Rulebook", "Which rulebook decided.")]
    procedure: Annotated[Procedure, told("Procedure", "What follows, and why.")]
    possible: Annotated[
        tuple[str, ...], told("Possible outcomes", "What can still follow while facts are missing.")
    ]
    steps: Annotated[tuple[Step, ...], told("Steps", "What to do, in order.")]
    modules: Annotated[
        tuple[Module, ...], told("Modules", "The power generating modules of the site.")
    ]
    facility_w: Annotated[int | None, told("Capacity of the site", "All modules together, in W.")]
    per_phase_ma: Annotated[
        dict[str, int | None],
        told("Current per phase", "The aggregate registered capacity on each phase, in whole mA."),
    ]
    per_phase_exact: Annotated[
        dict[str, tuple[int, int] | None],
        told("Exact current per phase", "The same as numerator and denominator in mA."),
    ]
    phase_sums: Annotated[tuple[PhaseSum, ...], told("Sums per phase", "The workings of each sum.")]
    export_per_phase_ma: Annotated[
        dict[str, int | None],
        told("Export per phase", "What can go out on each phase, in whole mA."),
    ]
    export_w: Annotated[int | None, told("Export", "What can go out in all, in W.")]
    total_w: Annotated[int | None, told("Total", "The aggregate registered capacity, in W.")]
    findings: Annotated[
        tuple[Finding, ...], told("Findings", "Everything that the rules say about the site.")
    ]
    remedies: Annotated[
        tuple[Remedy, ...],
        told("Remedies", "Changes that would clear a stop or reach an earlier procedure."),
    ]
    assumed: Annotated[
        tuple[str, ...], told("Assumed", "The places of the site file where a default was taken.")
    ]
    unknown: Annotated[
        tuple[str, ...],
        told("Unknown", "The places of the site file that could change the outcome."),
    ]
    trace: Annotated[
        tuple[Comparison, ...],
        told("Trace", "Every condition that was tested, if it was asked for."),
    ]
    remedies_stopped: Annotated[
        str, told("Remedies stopped", "Why the search for remedies ended early.")
    ] = ""
    derivation: Annotated[
        Derivation | UnsetType,
        told("Derivation", "How the decision follows, step by step, if it was asked for."),
    ] = UNSET
