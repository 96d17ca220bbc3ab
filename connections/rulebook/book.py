"""The frozen types of a resolved rulebook.

A rulebook holds on one date in one licence area: values, the decision table, the steps after each
outcome, protection settings, areas and source documents. `connections.rulebook.load` makes it from
TOML files; after that it is plain data.

Amounts are whole numbers in the unit named beside them (`mA`, `W`, `VA`, `mV`, `mHz`, `ms`, ...).
"""

import datetime as dt
from collections.abc import Mapping
from typing import Literal, TypeAlias

from msgspec import Struct

from connections.facts.decision import What

Certainty = Literal["published", "secondary", "common practice", "from memory", "local"]

UNSURE = ("secondary", "from memory")
"""Certainties of what nobody has read in the text itself."""

Amount: TypeAlias = int | bool | str | dt.date | tuple[str, ...]

GREAT_BRITAIN = ("england", "wales", "scotland")
"""The nations that share one rulebook and its licence areas."""


class Source(Struct, frozen=True):
    """The source of a value: an entry of the register of source documents, and the clause.

    `document` is the register's id; `clause` is empty only if the document has no clauses.
    """

    document: str
    title: str
    edition: str
    clause: str

    def __str__(self) -> str:
        """Title, edition and clause in one line, as printed beside a value."""
        return ", ".join(part for part in (self.title, self.edition, self.clause) if part)


class Value(Struct, frozen=True):
    """One value of a rulebook with everything that a reader needs to judge it."""

    key: str
    says: str
    """One sentence that describes the value."""
    unit: str
    """Unit of `amount`: one of `schema.UNITS` (mA, W, VA, Wp, mV, V, mHz, mHz/s, ms, m, days,
    working-days, months, %, thousandths, GBP, ..., count, text, list, date or yes-no)."""
    applies_to: str
    amount: Amount
    written: str
    """The amount with its unit, as the file writes it ("16 A")."""
    since: dt.date
    source: Source
    certainty: Certainty
    checked: dt.date
    layer: str
    """The layer that gives the value: key of the edition, the area or the local file."""
    note: str = ""
    """A conflict between sources, or another reading, in plain words."""


Op = Literal["at_most", "below", "at_least", "above", "is", "one_of"]


class Condition(Struct, frozen=True):
    """One test of a row: a fact, an operator and a value.

    `against` is a rulebook key; `literal` holds a literal instead (only for `is` and `one_of`).
    `reading` names a text value, one of READINGS, for an ambiguous condition; "inclusive" turns
    `below` into `at_most`, and lets `is` hold for every word.
    """

    fact: str
    op: Op
    against: str = ""
    literal: Amount | None = None
    reading: str = ""


class TableRow(Struct, frozen=True, omit_defaults=True):
    """One row of the decision table; it holds when every condition holds.

    `switch` names a yes-no value; if that is no, the row takes no part (`switching`).
    """

    id: str
    outcome: str
    when: tuple[Condition, ...]
    source: Source
    certainty: Certainty
    switch: str = ""


class Outcome(Struct, frozen=True, omit_defaults=True):
    """One outcome of the table: its key, its title, and its meaning.

    `missing` names a rule that the rulebook does not hold, and `ask` who knows it. A site with this
    outcome is undetermined; its finding names both.
    """

    key: str
    title: str
    says: str
    serves: str
    """The form of the recommendations whose data a pack for this outcome holds ("Form A1-2")."""
    missing: str = ""
    ask: str = ""


class StepRule(Struct, frozen=True):
    """A step after an outcome, if its conditions hold."""

    id: str
    outcomes: tuple[str, ...]
    when: Literal["before-work", "before-energising", "after-commissioning"]
    what: What
    form: str
    """Key of the text value that names the form, or empty."""
    wait: bool
    limit: str
    """Key of a period value (days, working-days, months), or empty."""
    limit_from: str
    """Start of the period: "submission", "commissioning" or "taking-out"; with
    "before-commissioning" the period ends at commissioning. Empty without a limit."""
    attachments: tuple[str, ...]
    only_if: tuple[Condition, ...]
    source: Source
    certainty: Certainty
    says: str


class Setting(Struct, frozen=True):
    """One interface protection setting.

    `amount` is in `unit` (mV phase to neutral or % of nominal, mHz, mHz/s, degrees); `delay_ms` is
    in milliseconds or None.
    """

    function: str
    stage: int
    amount: int
    unit: str
    delay_ms: int | None
    written: str


class SettingTable(Struct, frozen=True):
    """Interface protection settings for one standard, voltage level and operating mode."""

    id: str
    says: str
    standard: str
    voltage_level: str
    operating_mode: str
    settings: tuple[Setting, ...]
    source: Source
    certainty: Certainty
    checked: dt.date
    note: str = ""


class ExportCap(Struct, frozen=True):
    """A cap on the export of sites, for feeders, postcode sectors, or everywhere in an area.

    `amount` is in `unit` (mA, W or VA), per phase or in total, as `per` says; a current is always
    per phase. The cap reflects the capacity of a feeder, not a single site.
    """

    id: str
    says: str
    feeders: tuple[str, ...]
    postcode_sectors: tuple[str, ...]
    """Outward code and first inward digit ("EX1 1")."""
    everywhere: bool
    per: Literal["phase", "total"]
    unit: str
    amount: int
    written: str
    since: dt.date
    source: Source
    certainty: Certainty
    checked: dt.date
    layer: str = ""
    note: str = ""


class ExtraCondition(Struct, frozen=True):
    """A further demand of an operator or the firm on the sites that meet its conditions.

    Without conditions it applies to every site. `asks` says what to do, `attachments` what to send
    with the application.
    """

    id: str
    says: str
    when: tuple[Condition, ...]
    severity: Literal["stops", "decide", "inform"]
    asks: str
    attachments: tuple[str, ...]
    since: dt.date
    source: Source
    certainty: Certainty
    checked: dt.date
    layer: str = ""
    note: str = ""


class Area(Struct, frozen=True, omit_defaults=True):
    """A licence area, or an independent operator's prefix, which gives no region.

    `prefix` begins the supply numbers of the area; empty if numbers do not identify it. `nation` is
    empty for the areas of Great Britain, which has one rulebook for its nations.
    """

    id: str
    prefix: str
    name: str
    independent: bool
    source: Source
    certainty: Certainty
    nation: str = ""

    @property
    def nations(self) -> tuple[str, ...]:
        """The nations whose rulebooks hold in the area."""
        return (self.nation,) if self.nation else GREAT_BRITAIN


class Reading(Struct, frozen=True):
    """Who of the firm read a value in its document and agrees with it, and when."""

    by: str
    on: dt.date


class Layer(Struct, frozen=True):
    """One file of the rulebook: its key, its title, and the digest of its content."""

    key: str
    title: str
    digest: str


class Rulebook(Struct, frozen=True):
    """The rulebook that holds on `on_date` in `area`.

    `digest` covers everything but `on_date`, so days with the same content share it
    (`keeping.content_of`).
    """

    key: str
    edition: str
    on_date: dt.date
    area: str
    """Licence area id, or empty if not known."""
    layers: tuple[Layer, ...]
    values: Mapping[str, Value]
    table: tuple[TableRow, ...]
    outcomes: tuple[Outcome, ...]
    """In the order of trying."""
    steps: tuple[StepRule, ...]
    settings: tuple[SettingTable, ...]
    areas: tuple[Area, ...]
    digest: str
    caps: tuple[ExportCap, ...] = ()
    """Caps on export by place, ordered by id."""
    conditions: tuple[ExtraCondition, ...] = ()
    """Extra conditions, ordered by id."""
    beneath: Mapping[str, tuple[Value, ...]] = {}
    """The overridden values of each key, the next lower layer first. Not part of the kept content,
    which only has what holds."""
    given_by: Mapping[str, tuple[str, ...]] = {}
    """For each "step ID" and "setting table ID": the layers that give it, the winner first. Not
    part of the content."""
    awaited: Mapping[str, Source] = {}
    """For a value of the edition that is secondary or from memory: the document that would settle
    it. Not part of the content."""
    readings: Mapping[str, Reading] = {}
    """For a value that somebody of the firm read in its document: who, and when. Not part of the
    content: it changes what is said of a value's certainty, and nothing that is decided."""
    reference: frozenset[str] = frozenset()
    """Keys of the values that nothing acts on. Not part of the content: a value decides the same
    wherever it is listed."""

    def settling(self, value: Value) -> Source:
        """The document that settles a value of this rulebook: an awaited one, else its source."""
        awaited = self.awaited.get(value.key) if value.layer == self.key else None
        return awaited or value.source

    def reading_of(self, value: Value) -> Reading | None:
        """Who of the firm read this value, and when; None for one of a layer beneath."""
        return self.readings.get(value.key) if self.values.get(value.key) == value else None

    def amount(self, key: str) -> Amount:
        """The amount of `key`. Raises KeyError naming the key if this rulebook lacks it."""
        return self.values[key].amount

    def whole(self, key: str) -> int:
        """The amount of `key` as a whole number in the value's unit."""
        amount = self.values[key].amount
        if isinstance(amount, bool) or not isinstance(amount, int):
            raise TypeError(f"{key} is not a number")
        return amount

    def text(self, key: str) -> str:
        """The amount of `key` as text."""
        amount = self.values[key].amount
        if not isinstance(amount, str):
            raise TypeError(f"{key} is not text")
        return amount

    def words(self, key: str) -> tuple[str, ...]:
        """The amount of `key` as a tuple of words."""
        amount = self.values[key].amount
        if not isinstance(amount, tuple):
            raise TypeError(f"{key} is not a list")
        return amount

    def date(self, key: str) -> dt.date:
        """The amount of `key` as a date."""
        amount = self.values[key].amount
        if not isinstance(amount, dt.date):
            raise TypeError(f"{key} is not a date")
        return amount

    def area_by_prefix(self, prefix: str) -> Area | None:
        """The area (or independent operator) with this prefix of supply numbers."""
        return next((area for area in self.areas if area.prefix == prefix), None)
