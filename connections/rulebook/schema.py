"""The format of rulebook files, and the plain types that they are read into.

Every file is TOML. Every amount with a unit is text with its unit ("16 A"). A bare fraction, an
unknown key, or any other breach of this format stops the whole rulebook from loading.

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
Exactly one of them has the head:

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
    reference = true        nothing acts on it: kept for look-up only (left out where it acts)
    value                   holds from the first day of the edition; or in its place
    values = [{from, until (optional, last day), value, source, certainty, note (optional)}, ...]
                            in order of `from`; source, certainty and note stand in for the value's

    [[outcome]]             in the order of trying
    key, title, says, serves
    missing, ask            both or neither: a rule that is not held here, in words after "the
                            rule on", and who knows it; a site with this outcome is
                            undetermined and is told so

    [[row]]                 first match; rows follow the order of outcomes
    id, outcome, source, certainty, when = [condition, ...]
    switch (optional)       key of a yes-no value; if that is no, the row takes no part, nor do
                            outcomes and steps that only such rows lead to

    condition = {fact = "...", OP = ..., reading = "key" (optional, with below or is)}
    OP is at_most, below, at_least or above with the key of a value; `is` with true, false, a
    whole number, a word, or a key; one_of with a list of words, or the key of a list. Text with
    a dot is a key.

    [[step]]
    id, outcomes, when, what, form, wait, limit, limit_from, attachments, only_if, source,
    certainty, says         form, limit, limit_from, attachments and only_if may be left out

    [[expected]]            something that is expected to move; nothing decides by it
    id, says, keys, source, certainty, checked      keys of the values that it could change

    [[awaited]]             a document that would settle values which are secondary or from memory
    document, says, keys    id of the register; what is to be read there; keys of the values

    [[setting_table]]
    id, says, standard, voltage_level, operating_mode, source, certainty, checked, note (optional)
    settings = [{function, stage, unit, value, of_nominal (optional), delay (optional)}, ...]

`operators/NAME.toml`: additions by the operator of some areas: a head with kind = "operator"
and `areas`, a list of ids, in place of edition and nations, then values, steps, setting tables,
caps and conditions. A value replaces the one with its key in a lower layer, must have the same
unit, and is for reference if that one is; likewise the others by id. The table can't be changed.

A local file: a head with kind = "local", key, title and from (the first day on which its entries
hold), and `areas` if it isn't for all; then values, caps and conditions, with one of
LOCAL_CERTAINTIES, "local" if left out. Files for areas lie above those for all. Each line of a
value's `values` may have its own `says`, `applies_to` and `checked`. The layers below say which
values are for reference; a condition of a local file may still name one, and then it acts.
Operator and local files may hold their own [[source]] entries. Only they may hold:

    [[export_cap]]          a cap on the export of sites, by their place on the network
    id, says, source, certainty, checked, note (optional)
    feeders, postcode_sectors   lists, one or both; or everywhere = true
    limit, unit             text with its unit, and one of mA, W, VA
    per                     "phase" or "total"; a current is per phase
    from, until             optional: first and last day, those of the file if left out

    [[condition]]           a further demand on the sites that meet its conditions
    id, says, source, certainty, checked, note (optional), from and until (optional)
    when = [condition, ...] those of a row; left out: every site
    severity                stops, decide or inform
    asks                    a sentence: what to do
    attachments             list of things to send with the application (optional)

Caps and conditions with one id may follow each other in time. Two caps with the same place and
`per` may not hold on the same day. A condition that names values is asked under the editions that
hold all of them.

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
    SettingTable,
    Source,
    StepRule,
    TableRow,
)
from connections.rulebook.quantities import WHOLE_UNITS

FORMAT = "rulebook/1"

PLAIN_UNITS = ("count", "text", "list", "date", "yes-no")
"""Kinds of amount that TOML can state without a unit."""

UNITS = (*WHOLE_UNITS, *PLAIN_UNITS)

PERIOD_UNITS = ("days", "working-days", "months")

CERTAINTIES: tuple[str, ...] = get_args(Certainty)

LOCAL_CERTAINTIES = ("local", "secondary", "common practice", "from memory")
"""Certainties of a local entry; "local" means in writing, from the operator or in a
document."""

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

LIMIT_FROM = ("submission", "commissioning", "before-commissioning", "taking-out")
"""Start of a step's period; "before-commissioning" counts backwards from commissioning, and
"taking-out" is the day on which plant is taken out."""


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
    """One amount of a value with its first and last day (`until`)."""

    since: dt.date
    until: dt.date | None
    amount: Amount
    written: str
    source: Source
    certainty: Certainty
    note: str
    says: str = ""
    """Replaces the value's own sentence, if not empty; likewise the next two."""
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
    """A value as a file states it, with all its amounts over time."""

    key: str
    says: str
    unit: str
    applies_to: str
    checked: dt.date
    spells: tuple[Spell, ...]
    file: str
    reference: bool = False
    """Whether the value is for look-up only: nothing in the program acts on it."""

    def on(self, day: dt.date) -> Spell | None:
        """The amount that holds on `day`, or None outside its dates."""
        for spell in reversed(self.spells):
            if spell.since <= day:
                return spell if spell.until is None or day <= spell.until else None
        return None


class Expected(Struct, frozen=True):
    """Something that is expected to move, and the keys of the values that it could change."""

    id: str
    says: str
    keys: tuple[str, ...]
    source: Source
    certainty: Certainty
    checked: dt.date


class Awaited(Struct, frozen=True):
    """A document that would settle unsure values, and what is to be read there."""

    document: Source
    says: str
    keys: tuple[str, ...]


class Part(Struct, frozen=True):
    """The content of one file, or of all files of an edition."""

    kind: Kind
    key: str
    title: str
    edition: str
    areas: tuple[str, ...]
    """Ids of the areas of an operator's or local file; empty means all."""
    since: dt.date
    until: dt.date | None
    nations: tuple[str, ...]
    values: Mapping[str, DatedValue]
    outcomes: tuple[Outcome, ...]
    rows: tuple[TableRow, ...]
    steps: tuple[StepRule, ...]
    settings: tuple[SettingTable, ...]
    digest: str
    file: str
    """The file with the head, for messages."""
    places: Mapping[str, str]
    """The file of each row, step, setting table and the like, by "row ID" and so on."""
    caps: tuple[DatedCap, ...] = ()
    conditions: tuple[DatedCondition, ...] = ()
    expected: tuple[Expected, ...] = ()
    awaited: tuple[Awaited, ...] = ()

    def holds_on(self, day: dt.date) -> bool:
        """Whether `day` lies within the file's dates."""
        return self.since <= day and (self.until is None or day <= self.until)


class Books(Struct, frozen=True):
    """All shipped files: the register, the areas, the editions, the operators' files."""

    sources: Mapping[str, SourceDocument]
    areas: tuple[Area, ...]
    editions: tuple[Part, ...]
    """Ordered by their first day."""
    operators: tuple[Part, ...]
