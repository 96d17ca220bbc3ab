"""A rulebook compiled for deciding: limits on one scale, conditions numbered once.

Turns every numeric limit into the exact scale of `connections.electrical.phase_sums`, so that only
whole numbers are compared. A condition in several rows is tested once.
"""

import datetime as dt
from collections.abc import Callable

from msgspec import Struct, structs

from connections.electrical.phase_sums import scaled_current, scaled_power
from connections.facts.deciding import BY_NAME, OTHER_WORK
from connections.facts.decision import Period, Step
from connections.rulebook.book import UNSURE, Condition, ExtraCondition, Outcome, Rulebook, StepRule
from connections.rulebook.words import WORDS
from connections.rules.operator_notes import notes_on
from connections.rules.places import Caps, caps_in_order

AT_MOST, BELOW, AT_LEAST, ABOVE, IS, ONE_OF = range(6)
_OPS = {
    "at_most": AT_MOST,
    "below": BELOW,
    "at_least": AT_LEAST,
    "above": ABOVE,
    "is": IS,
    "one_of": ONE_OF,
}

MICRO_ACCEPTED = ("g98.accepted_standards", "micro.accepted_standards")
"""Keys of the accepted micro-generation standards: that of EREC G98, else the general one."""

RARE = (
    "generation_phase_sum",
    "storage_phase_sum",
    "largest_phase_va",
    "total_va",
    "plug_in_kit",
    "plug_in_kits",
    "plug_in_total",
    "plug_in_va",
)
"""Facts that few rulebooks ask about (`deciding_facts` works them out on demand)."""

PLUG_IN_LIMIT = "plug_in.unit_limit"
"""The value by which a rulebook knows plug-in kits."""
_WHEN = ("before-work", "before-energising", "after-commissioning")
LIMITS_MAYBE_IN_VA = ("balance.limit", "export.phase_limit")

UNBOUNDED = 10**40
"""Above any figure of a site; used if the rulebook names no bound."""

_APPARENT = ("largest_phase_va", "total_va")
_ACCEPTED = (
    "sgi.accepted_standards",
    *MICRO_ACCEPTED,
    "g98.accepted_earlier",
    "sgi.accepted_earlier",
)

Limit = int | bool | str | frozenset[str]
FactValue = tuple[int, int] | bool | str | None
"""A number between two bounds, yes or no, or a word; None if undecided."""


class Test(Struct, frozen=True):
    """A condition ready to be tested against the scaled value of its fact."""

    slot: int
    fact: str
    op: int
    limit: Limit
    condition: Condition
    ambiguous: bool
    """True if the published text has another reading, which lets more in; it is read strictly."""


class ReadyRow(Struct, frozen=True):
    """A row of the table with its tests, and those of them whose value is unsure."""

    id: str
    outcome: str
    tests: tuple[Test, ...]
    row_index: int
    unsure: tuple[Test, ...]
    keys: tuple[str, ...]
    """Keys of the values that it asks about."""
    work: tuple[int, ...]
    """Slots of its tests on what kind of work it is: if one fails, it is not about this work."""


class ReadyStep(Struct, frozen=True):
    """A step with its tests, as it is shown, and the keys of the form and period that it names."""

    rule: StepRule
    tests: tuple[Test, ...]
    step: Step
    keys: tuple[str, ...]


class Ready(Struct, frozen=True):
    """A compiled rulebook: everything that the rules ask for on every site."""

    book: Rulebook
    nominal_mv: int
    rows: tuple[ReadyRow, ...]
    slots: int
    order: dict[str, int]
    steps: dict[str, tuple[ReadyStep, ...]]
    """The steps of each outcome, in the rulebook's order."""
    ambiguous: tuple[Test, ...]
    """The tests of the table that the published text can be read in another way than strictly."""
    unsure: frozenset[str]
    """Keys of the values that are only secondary or from memory."""
    unread: frozenset[str]
    """Those of them that nobody of the firm has read in the document."""
    numeric_limits: tuple[tuple[str, int], ...]
    micro_accepted: frozenset[str]
    micro_earlier: frozenset[str]
    small_accepted: frozenset[str]
    small_earlier: frozenset[str]
    kits: bool
    """Whether the rulebook knows plug-in kits: existing ones count as tested micro-generation."""
    standards: tuple[str, ...]
    """The standards that the rulebook distinguishes, and "other" for the rest."""
    earlier: frozenset[str]
    """Standards of older plant, whose commissioning date matters."""
    earlier_before: dt.date | None
    storage_before: dt.date | None
    full_test_scaled: int
    asked: frozenset[str]
    """The deciding facts that some condition asks about."""
    asked_by_rows: frozenset[str]
    """Those that the rows ask about, and so the outcome."""
    asked_rarely: tuple[str, ...]
    """Those worked out only if a rulebook asks for them."""
    asks_va: bool
    """Whether a condition or a limit is in apparent power."""
    missing: dict[str, Outcome]
    """The outcomes that stand for a rule that the rulebook lacks."""
    extras: tuple[tuple[ExtraCondition, tuple[Test, ...]], ...] = ()
    """Extra conditions with their tests."""
    caps: Caps | None = None
    """Caps on export by place, if there are any."""


_ready: dict[str, Ready] = {}


def ready(book: Rulebook) -> Ready:
    """Compile a rulebook, once for each digest.

    Raises KeyError naming the first value that the rules need and the rulebook lacks.
    """
    found = _ready.get(book.digest)
    if found is None:
        if len(_ready) > 64:
            _ready.clear()
        found = _ready[book.digest] = _compile(book)
    elif found.book is not book and (
        found.book.beneath != book.beneath or found.book.readings != book.readings
    ):
        # Equal digests decide alike, but do not cover the overridden values that derivations tell,
        # nor who has read a value.
        unread = found.unsure.difference(book.readings)
        found = structs.replace(found, book=book, unread=unread)
    return found


def _compile(book: Rulebook) -> Ready:
    nominal_mv = book.whole("voltage.nominal")
    slots: dict[tuple[object, ...], int] = {}
    limits: set[tuple[str, int]] = set()
    asked: set[str] = set()

    def test(condition: Condition) -> Test:
        op = _OPS[condition.op]
        asked.add(condition.fact)
        limit = _limit(book, condition, nominal_mv)
        reading = book.text(condition.reading) if condition.reading else ""
        ambiguous = reading == "strict"
        if reading == "inclusive" and op == BELOW:
            op = AT_MOST
        elif reading == "inclusive":
            op, limit = ONE_OF, frozenset(WORDS[condition.fact])
        if isinstance(limit, int) and not isinstance(limit, bool):
            limits.add((condition.fact, limit))
        slot = slots.setdefault((condition.fact, op, limit, ambiguous), len(slots))
        return Test(slot, condition.fact, op, limit, condition, ambiguous)

    unsure = frozenset(key for key, value in book.values.items() if value.certainty in UNSURE)
    rows = _rows(book, test, unsure)
    count = len(slots)
    steps = tuple(
        ReadyStep(
            rule,
            tuple(test(c) for c in rule.only_if),
            _step(rule, book),
            tuple(key for key in (rule.limit, rule.form) if key),
        )
        # A layer's steps stand behind those of the edition, and still take their turn.
        for rule in sorted(book.steps, key=lambda rule: _WHEN.index(rule.when))
    )
    extras = tuple((extra, tuple(test(c) for c in extra.when)) for extra in book.conditions)
    return Ready(
        book=book,
        nominal_mv=nominal_mv,
        rows=rows,
        slots=count,
        order={outcome.key: i for i, outcome in enumerate(book.outcomes)},
        steps={
            outcome.key: tuple(step for step in steps if outcome.key in step.rule.outcomes)
            for outcome in book.outcomes
        },
        ambiguous=tuple(test for row in rows for test in row.tests if test.ambiguous),
        unsure=unsure,
        unread=unsure.difference(book.readings),
        numeric_limits=tuple(sorted(limits)),
        micro_accepted=frozenset(_words(book, *MICRO_ACCEPTED)),
        micro_earlier=frozenset(_words(book, "g98.accepted_earlier")),
        small_accepted=frozenset(_words(book, "sgi.accepted_standards")),
        small_earlier=frozenset(_words(book, "sgi.accepted_earlier")),
        kits=PLUG_IN_LIMIT in book.values,
        standards=_standards(book),
        earlier=frozenset(
            _words(book, "g98.accepted_earlier") + _words(book, "sgi.accepted_earlier")
        ),
        earlier_before=_date(book, "earlier.before"),
        storage_before=_date(book, "storage.separate_before"),
        full_test_scaled=(
            scaled_power(book.whole("full_test.design_limit"))
            if "full_test.design_limit" in book.values
            else UNBOUNDED
        ),
        asked=frozenset(asked),
        asked_by_rows=frozenset(test.fact for row in rows for test in row.tests),
        asked_rarely=tuple(name for name in RARE if name in asked),
        asks_va=not asked.isdisjoint(_APPARENT)
        or any(key in book.values and book.values[key].unit == "VA" for key in LIMITS_MAYBE_IN_VA),
        missing={outcome.key: outcome for outcome in book.outcomes if outcome.missing},
        extras=extras,
        caps=caps_in_order(book, nominal_mv),
    )


def _rows(
    book: Rulebook, test: Callable[[Condition], Test], unsure: frozenset[str]
) -> tuple[ReadyRow, ...]:
    rows: list[ReadyRow] = []
    for i, row in enumerate(book.table):
        tests = tuple(test(condition) for condition in row.when)
        keys = tuple(one.condition.against for one in tests if one.condition.against)
        work = tuple(one.slot for one in tests if one.fact in OTHER_WORK)
        of_unsure = tuple(one for one in tests if one.condition.against in unsure)
        rows.append(ReadyRow(row.id, row.outcome, tests, i, of_unsure, keys, work))
    return tuple(rows)


def _words(book: Rulebook, *keys: str) -> tuple[str, ...]:
    """The list under the first of the keys that the rulebook holds; empty if none."""
    return next((book.words(key) for key in keys if key in book.values), ())


def _date(book: Rulebook, key: str) -> dt.date | None:
    return book.date(key) if key in book.values else None


def _standards(book: Rulebook) -> tuple[str, ...]:
    named = [word for key in _ACCEPTED for word in _words(book, key)]
    return (*dict.fromkeys(named), "other")


def _limit(book: Rulebook, condition: Condition, nominal_mv: int) -> Limit:
    if not condition.against:
        literal = condition.literal
        if isinstance(literal, tuple):
            return frozenset(literal)
        if isinstance(literal, (bool, int, str)):
            return literal
        raise TypeError(f"condition on {condition.fact} has no limit")
    value = book.values[condition.against]
    amount = value.amount
    if isinstance(amount, tuple):
        return frozenset(amount)
    if isinstance(amount, int) and not isinstance(amount, bool):
        kind = BY_NAME[condition.fact].kind
        if kind == "count":
            return amount
        if value.unit == "mA":
            return scaled_current(amount, nominal_mv)
        return scaled_power(amount)
    if isinstance(amount, (bool, str)):
        return amount
    raise TypeError(f"{condition.against} can't be compared with {condition.fact}")


def _step(rule: StepRule, book: Rulebook) -> Step:
    """A step as the decision file shows it, equal for every site of the rulebook."""
    limit = None
    sources = [str(rule.source)]
    if rule.limit:
        value = book.values[rule.limit]
        limit = Period(book.whole(rule.limit), value.unit, rule.limit_from)
        sources.append(str(value.source))
    notes = notes_on(rule, book)
    sources += [str(value.source) for _, value in notes]
    return Step(
        when=rule.when,
        what=rule.what,
        form=book.text(rule.form) if rule.form else "",
        wait=rule.wait,
        limit=limit,
        attachments=rule.attachments,
        sources=tuple(dict.fromkeys(sources)),
        certainty=rule.certainty,
        says=rule.says,
        notes=tuple(note for note, _ in notes),
    )


def let_in(test: Test, value: FactValue) -> bool:
    """Whether only the other reading of an ambiguous test lets this value in."""
    if not test.ambiguous or value is None:
        return False
    return value == (test.limit, test.limit) if test.op == BELOW else not holds(test, value)


def holds(test: Test, value: FactValue) -> bool | None:
    """Whether the condition holds: yes, no, or None if the fact leaves it open."""
    if value is None:
        return None
    op, limit = test.op, test.limit
    if isinstance(value, tuple):
        low, high = value
        assert isinstance(limit, int)
        if op == AT_MOST:
            return True if high <= limit else False if low > limit else None
        if op == BELOW:
            return True if high < limit else False if low >= limit else None
        if op == AT_LEAST:
            return True if low >= limit else False if high < limit else None
        if op == ABOVE:
            return True if low > limit else False if high <= limit else None
        return (low == limit) if low == high else (None if low <= limit <= high else False)
    if op == ONE_OF:
        assert isinstance(limit, frozenset)
        return value in limit
    return value == limit
