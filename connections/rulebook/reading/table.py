"""Read the decision table and its steps from TOML."""

from typing import Literal, TypeAlias, cast, get_args

from connections.facts.decision import What
from connections.rulebook.book import Amount, Condition, Op, Outcome, StepRule, TableRow
from connections.rulebook.reading.entry import Entry
from connections.rulebook.reading.references import Register, certainty_of, id_of, source_of
from connections.rulebook.schema import LIMIT_FROM

When: TypeAlias = Literal["before-work", "before-energising", "after-commissioning"]

_OPS: tuple[Op, ...] = get_args(Op)


def read_outcome(entry: Entry) -> Outcome:
    """Read one outcome."""
    outcome = Outcome(
        key=id_of(entry, "key"),
        title=entry.text("title"),
        says=entry.sentence("says"),
        serves=entry.text("serves"),
        missing=entry.text("missing", ""),
        ask=entry.text("ask", ""),
    )
    if bool(outcome.missing) != bool(outcome.ask):
        entry.refuse("`missing` and `ask` go together: which rule is not held, and who knows it")
    entry.done()
    return outcome


def read_row(entry: Entry, register: Register) -> TableRow:
    """Read one row with its conditions."""
    row = TableRow(
        id=id_of(entry, "id"),
        outcome=entry.text("outcome"),
        when=tuple(read_condition(line) for line in entry.entries("when")),
        source=source_of(entry, register),
        certainty=certainty_of(entry),
        switch=entry.text("switch", ""),
    )
    entry.done()
    return row


def read_condition(entry: Entry) -> Condition:
    """Read one condition: a deciding fact, an operator, and a key or literal."""
    fact = entry.text("fact")
    ops = [op for op in _OPS if entry.has(op)]
    if len(ops) != 1:
        entry.refuse(f"give one comparison, one of {', '.join(_OPS)}")
    op = ops[0]
    reading = entry.text("reading", "")
    if reading and op not in ("below", "is"):
        entry.refuse("`reading` goes with `below` and `is` only")
    against, literal = _compared_with(entry, op)
    entry.done()
    return Condition(fact=fact, op=op, against=against, literal=literal, reading=reading)


def _compared_with(entry: Entry, op: Op) -> tuple[str, Amount | None]:
    """A rulebook key, or a literal; text with a dot is a key."""
    raw = entry.raw(op)
    if isinstance(raw, str) and "." in raw:
        return entry.text(op), None
    if op == "is" and isinstance(raw, (bool, int, str)):
        return "", entry.text(op) if isinstance(raw, str) else raw
    if op == "one_of" and isinstance(raw, list):
        return "", entry.words(op)
    if op in ("is", "one_of"):
        entry.refuse(f"`{op}` needs words, true or false, a whole number, or the key of a value")
    entry.refuse(f'`{op}` needs the key of a value in quotes, such as "g98.unit_limit"')


def read_step(entry: Entry, register: Register) -> StepRule:
    """Read one step with its conditions."""
    limit = entry.text("limit", "")
    if bool(limit) != entry.has("limit_from"):
        entry.refuse("`limit` and `limit_from` go together; give both or neither")
    step = StepRule(
        id=id_of(entry, "id"),
        outcomes=entry.words("outcomes"),
        when=cast(When, entry.choice("when", get_args(When))),
        what=cast(What, entry.choice("what", get_args(What))),
        form=entry.text("form", ""),
        wait=entry.flag("wait"),
        limit=limit,
        limit_from=entry.choice("limit_from", LIMIT_FROM, "") if limit else "",
        attachments=entry.words("attachments", may_be_empty=True),
        only_if=tuple(read_condition(line) for line in entry.entries("only_if", may_be_empty=True)),
        source=source_of(entry, register),
        certainty=certainty_of(entry),
        says=entry.sentence("says"),
    )
    entry.done()
    return step
