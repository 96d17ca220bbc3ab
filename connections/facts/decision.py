"""The frozen types of a decision file (format decision/1): everything the rules found on a site.

Currents of the procedure are in mA at the rulebook's phase-to-neutral voltage and unity power
factor. `None` means undecided while facts are missing.
"""

import datetime as dt
from typing import Any, Literal, TypeAlias

from msgspec import UNSET, Struct, UnsetType

from connections.facts.derivation import Derivation

Severity = Literal["stops", "decide", "inform"]
What: TypeAlias = Literal[
    "application", "notification", "confirmation", "ask", "decommission", "demand-notice"
]
"""What a step sends. "decommission" tells of plant that is taken out, "demand-notice" of loads."""
Plain: TypeAlias = int | str | bool | None | list[str] | dict[str, int | None]


class _Frozen(Struct, frozen=True, forbid_unknown_fields=True):
    """Never changes after it is made."""


class RulebookRef(_Frozen, frozen=True):
    """Which rulebook decided: its layers, lowest first, and the digest of the whole."""

    key: str
    edition: str
    layers: tuple[str, ...]
    digest: str


class Comparison(_Frozen, frozen=True):
    """One condition as it was tested.

    `value` and `limit` are in `unit`; a per-phase capacity stands in mA, rounded half up (the
    comparison itself was exact). `margin` is what is left to the limit in the same unit, negative
    when it is passed, None where there is nothing to measure.
    """

    fact: str
    op: str
    key: str
    value: Plain
    limit: Plain
    unit: str
    margin: int | None
    result: bool | None
    says: str
    paths: tuple[str, ...]
    source: str
    certainty: str
    layer: str


class NotBecause(_Frozen, frozen=True):
    """Why an outcome that is tried earlier does not hold: the row and its failed conditions."""

    key: str
    row: str
    failed: tuple[Comparison, ...]


class Procedure(_Frozen, frozen=True):
    """The procedure that follows, why, and why none of the earlier ones."""

    key: str
    title: str
    says: str
    because: tuple[Comparison, ...]
    not_because: tuple[NotBecause, ...]
    boundary: bool
    other_reading: str | None


class Period(_Frozen, frozen=True, rename={"from_": "from"}):
    """A time limit: n days, working-days or months, running from an event."""

    n: int
    unit: str
    from_: str


class Step(_Frozen, frozen=True):
    """One thing to send or ask: when, what, in which form, whether to wait for the answer.

    `notes` are sentences on what the network operator of the area wants for it, and on a supply
    that is asked for before it.
    """

    when: Literal["before-work", "before-energising", "after-commissioning"]
    what: What
    form: str
    wait: bool
    limit: Period | None
    attachments: tuple[str, ...]
    sources: tuple[str, ...]
    certainty: str
    says: str
    notes: tuple[str, ...] = ()


class Module(_Frozen, frozen=True):
    """A power generating module: the units in it, its registered capacity and its size class.

    Source: EREC G99 Issue 2, section 4 and figures 4.2 to 4.6.
    """

    units: tuple[str, ...]
    kind: Literal["synchronous", "power-park"]
    w: int | None
    size_class: str | None


class Way(_Frozen, frozen=True):
    """One way to answer a finding; `place` is what the site file must then hold, if anything."""

    key: str
    says: str
    place: str = ""


class Finding(_Frozen, frozen=True):
    """Something the rules say about a site.

    `facts` are the site-file paths read, `basis` the digest of their values: an engineer's
    decision on the finding counts only while the basis is equal. Where there are `ways`, a decision
    names one of them. Without `agreement` only other facts clear what stops.
    """

    id: str
    subject: str
    severity: Severity
    values: dict[str, Plain]
    margin: int | None
    margin_unit: str
    sentence: str
    workings: str
    keys: tuple[str, ...]
    sources: tuple[str, ...]
    facts: tuple[str, ...]
    basis: str
    ways: tuple[Way, ...] = ()
    agreement: bool = True


class Change(_Frozen, frozen=True):
    """One change to a site file: the path, and what to put there (None takes it out)."""

    path: str
    to: Any


class Remedy(_Frozen, frozen=True):
    """A change that would clear a stop or reach an earlier procedure, proved by deciding again.

    Changes are carried out in their order. `leaves` names what still stops the site after them.
    `name` says in a few words what was changed, and `fits` names equipment of the firm's catalogue
    with which the change could be made.
    """

    kind: str
    sentence: str
    change: tuple[Change, ...]
    takes_out: tuple[str, ...]
    procedure: str
    clears: tuple[str, ...]
    margin: int | None
    margin_unit: str
    fits: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()
    name: str = ""


class PhaseTerm(_Frozen, frozen=True):
    """What one line of units puts on one phase: quantity x rated watts / phases of one unit."""

    unit: str
    status: str
    quantity: int | None
    rated_w: int | None
    phases: int


class PhaseSum(_Frozen, frozen=True):
    """The workings of one phase's sum: its terms, watts as sixths, and amps both ways."""

    phase: str
    terms: tuple[PhaseTerm, ...]
    sixths_w: int | None
    ma: int | None
    exact_ma: tuple[int, int] | None


class Decision(_Frozen, frozen=True):
    """The whole decision file. `remedies_stopped` says why a search for remedies ended early;
    `trace` is empty and `derivation` left out unless they are asked for."""

    format: Literal["decision/1"]
    reference: str
    on_date: dt.date
    area: str
    rulebook: RulebookRef
    procedure: Procedure
    possible: tuple[str, ...]
    steps: tuple[Step, ...]
    modules: tuple[Module, ...]
    facility_w: int | None
    per_phase_ma: dict[str, int | None]
    per_phase_exact: dict[str, tuple[int, int] | None]
    phase_sums: tuple[PhaseSum, ...]
    export_per_phase_ma: dict[str, int | None]
    export_w: int | None
    total_w: int | None
    findings: tuple[Finding, ...]
    remedies: tuple[Remedy, ...]
    assumed: tuple[str, ...]
    unknown: tuple[str, ...]
    trace: tuple[Comparison, ...]
    remedies_stopped: str = ""
    derivation: Derivation | UnsetType = UNSET
