"""The files of a rulebook: their format, and the plain types that they are read into.

Every file is TOML. Every amount with a unit is text with its unit ("16 A"); a bare fraction, an
unknown key, or anything that doesn't fit what stands here keeps the whole rulebook from loading.

`sources.toml`: the register of source documents.

    [[source]]
    id, title, kind, edition, note (optional)
    has_clauses = true      (default) a reference must name the clause; false: it may be empty

`areas.toml`: licence areas and independent operators' prefixes.

    [[area]]
    id, name, independent, source, certainty
    prefix                  two digits; may be left out where no supply number tells the area
    nation (optional)       left out for the areas of Great Britain

`editions/NAME/*.toml`: one edition of the published recommendations, in as many files as suit.
One of them, and only one, has the head:

    [book]
    format = "rulebook/1"
    kind = "edition"
    key, title, edition     key and words that a decision quotes
    from                    first day on which it holds
    until (optional)        last day on which it holds
    nations                 list of nations

and all of them may hold:

    [[value]]
    key                     lower case, with a dot: "g98.unit_limit"
    says                    one sentence ending in a full stop
    unit                    one of UNITS
    applies_to, source, certainty, checked, note (optional)
    reference = true        nothing acts on it: it is kept to be looked up (left out where it acts)
    value                   holds from the first day of the edition, or instead of it
    values = [{from, until (optional, last day), value, source, certainty, note (optional)}, ...]
                            in order of `from`; source, certainty and note stand in for the value's

    [[outcome]]             in the order in which they are tried
    key, title, says, serves
    missing, ask            both or neither: which rule is not held here, as words that follow "the
                            rule on", and who knows it; a site that comes to the outcome is
                            undetermined and is told so

    [[row]]                 first match; rows follow the order of outcomes
    id, outcome, source, certainty, when = [condition, ...]
    switch (optional)       key of a yes-no value; where that is no, the row takes no part, nor do
                            outcomes and steps that only such rows lead to

    condition = {fact = "...", OP = ..., reading = "key" (optional, only with below)}
    OP is at_most, below, at_least or above with the key of a value; `is` with true, false, a
    whole number, a word, or a key; one_of with a list of words, or the key of a list. What has a
    dot is a key.

    [[step]]
    id, outcomes, when, what, form, wait, limit, limit_from, attachments, only_if, source,
    certainty, says         form, limit, limit_from, attachments and only_if may be left out

    [[setting_table]]
    id, says, standard, voltage_level, operating_mode, source, certainty, checked, note (optional)
    settings = [{function, stage, unit, value, of_nominal (optional), delay (optional)}, ...]

`operators/NAME.toml`: what the operator of some licence areas adds: a head with kind = "operator"
and `areas`, a list of ids, in place of edition and nations, then values, steps, setting tables,
caps and conditions. A value with the key of a lower layer replaces it, must have the same unit, and
is for reference where that one is; likewise the others by id. The table can't be changed.

A local file: a head with kind = "local", key, title and from (the first day on which its entries
hold), and `areas` if it isn't for all; then values, caps and conditions, with one of
LOCAL_CERTAINTIES, "local" if left out. Files for areas lie above those for all. Each line of a
value's `values` may have `says`, `applies_to` and `checked` of its own. The layers below say what
is for reference; a condition of a local file may name it all the same, and then it acts.
Operator and local files may hold [[source]] entries of their own. They alone may hold:

    [[export_cap]]          a cap on what sites send out, by their place on the network
    id, says, source, certainty, checked, note (optional)
    feeders, postcode_sectors   lists, one or both; or everywhere = true
    limit, unit             text with its unit, and one of mA, W, VA
    per                     "phase" or "total"; a current is one of a phase
    from, until             optional: first and last day, those of the file if left out

    [[condition]]           what else is asked of the sites for which its conditions hold
    id, says, source, certainty, checked, note (optional), from and until (optional)
    when = [condition, ...] those of a row; left out: every site
    severity                stops, decide or inform
    asks                    a sentence: what is to be done
    attachments             list of what goes with the application (optional)

Caps and conditions of one id may follow each other in time, and two caps of one place and `per`
may not hold on the same day. A condition that names values is asked under the editions that hold
all of them.

`source` is {document = "an id of the register", clause = "..."}.
"""

import datetime as dt
from collections.abc import Mapping
from typing import Literal, TypeAlias, get_args

from msgspec import Struct

from connections.rulebook.book import (
    Amount,
    Area,
    Certainty,
    ExportCap,
    ExtraCondition,
    Outcome,
    Row,
    SettingTable,
    Source,
    StepRule,
)
from connections.rulebook.quantities import WHOLE_UNITS

FORMAT = "rulebook/1"

PLAIN_UNITS = ("count", "text", "list", "date", "yes-no")
"""Kinds of amount that TOML states by itself."""

UNITS = (*WHOLE_UNITS, *PLAIN_UNITS)

PERIOD_UNITS = ("days", "working-days", "months")

CERTAINTIES: tuple[str, ...] = get_args(Certainty)

LOCAL_CERTAINTIES = ("local", "secondary", "common practice", "from memory")
"""How sure a local entry can be: "local" is what the firm has in writing from the operator."""

NATIONS = ("england", "wales", "scotland", "northern_ireland", "ireland")

SOURCE_KINDS = (
    "recommendation",
    "regulation",
    "standard",
    "form",
    "guidance",
    "notice",
    "letter",
    "practice",
    "memory",
)

LIMIT_FROM = ("submission", "commissioning", "before-commissioning")
"""What a step's period runs from; "before-commissioning" runs backwards from that day."""


Kind: TypeAlias = Literal["edition", "operator", "local"]


class SourceDocument(Struct, frozen=True):
    """An entry of the register of source documents."""

    id: str
    title: str
    kind: str
    edition: str
    has_clauses: bool
    note: str


class Spell(Struct, frozen=True):
    """One amount of a value and the days on which it holds (`until` is the last one)."""

    since: dt.date
    until: dt.date | None
    amount: Amount
    written: str
    source: Source
    certainty: Certainty
    note: str
    says: str = ""
    """In place of the value's own, where a line gives it; likewise the next two."""
    applies_to: str = ""
    checked: dt.date | None = None


class DatedCap(Struct, frozen=True):
    """A cap and its last day, if it has one."""

    cap: ExportCap
    until: dt.date | None

    def holds_on(self, day: dt.date) -> bool:
        """Whether `day` lies within its dates."""
        return self.cap.since <= day and (self.until is None or day <= self.until)


class DatedCondition(Struct, frozen=True):
    """An extra condition and its last day, if it has one."""

    condition: ExtraCondition
    until: dt.date | None

    def holds_on(self, day: dt.date) -> bool:
        """Whether `day` lies within its dates."""
        return self.condition.since <= day and (self.until is None or day <= self.until)


class DatedValue(Struct, frozen=True):
    """A value as a file states it, with every amount it has had and will have."""

    key: str
    says: str
    unit: str
    applies_to: str
    checked: dt.date
    spells: tuple[Spell, ...]
    file: str
    reference: bool = False
    """Whether the file keeps it to be looked up: nothing in the program acts on it."""

    def on(self, day: dt.date) -> Spell | None:
        """The amount that holds on `day`, or None outside its dates."""
        for spell in reversed(self.spells):
            if spell.since <= day:
                return spell if spell.until is None or day <= spell.until else None
        return None


class Part(Struct, frozen=True):
    """What one file, or all files of an edition together, hold."""

    kind: Kind
    key: str
    title: str
    edition: str
    areas: tuple[str, ...]
    """Ids of the areas that an operator's or local file is for; empty is all of them."""
    since: dt.date
    until: dt.date | None
    nations: tuple[str, ...]
    values: Mapping[str, DatedValue]
    outcomes: tuple[Outcome, ...]
    rows: tuple[Row, ...]
    steps: tuple[StepRule, ...]
    settings: tuple[SettingTable, ...]
    digest: str
    file: str
    """The file that has the head, for messages."""
    places: Mapping[str, str]
    """Where each row, step and setting table stands: "row ID" and the like to its file."""
    caps: tuple[DatedCap, ...] = ()
    conditions: tuple[DatedCondition, ...] = ()

    def holds_on(self, day: dt.date) -> bool:
        """Whether `day` lies within the file's dates."""
        return self.since <= day and (self.until is None or day <= self.until)


class Books(Struct, frozen=True):
    """Everything that is shipped: the register, the areas, the editions, the operators' files."""

    sources: Mapping[str, SourceDocument]
    areas: tuple[Area, ...]
    editions: tuple[Part, ...]
    """In order of their first day."""
    operators: tuple[Part, ...]
