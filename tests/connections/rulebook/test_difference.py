"""What is different between two rulebooks, in structs and in sentences."""

import datetime as dt
import shutil
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from connections.rulebook.book import Condition, Rulebook
from connections.rulebook.checking.gaps import change_days
from connections.rulebook.difference.finding import Change, difference, differences
from connections.rulebook.load import DATA, Books, load_books, read_local, resolve

FIXTURES = Path(__file__).with_name("fixtures")
DAY = dt.date(2026, 1, 1)
VALUE = """
[[value]]
key = "{key}"
says = "{says}"
unit = "{unit}"
applies_to = "tests"
{amount}
source = {{ document = "practice" }}
certainty = "common practice"
checked = 2026-11-25
"""
TIME = VALUE.format(
    key="time.example",
    says="The operator acknowledges within this time.",
    unit="working-days",
    amount="""values = [
  { from = 2025-01-01, value = "5 working days" },
  { from = 2027-01-01, value = "3 working days", certainty = "secondary" },
]""",
)
ONCE = VALUE.format(
    key="a.once",
    says="A length.",
    unit="m",
    amount='values = [{ from = 2026-03-01, until = 2026-06-30, value = "4 m" }]',
)


def books(data: Path, *more: str) -> Books:
    edition = data / "editions/small/edition.toml"
    edition.write_text(edition.read_text() + "".join(more))
    return load_books(data)


def only(changes: tuple[Change, ...]) -> Change:
    assert len(changes) == 1
    return changes[0]


@pytest.mark.parametrize("reference", [True, False])
def test_what_is_for_reference_is_told_as_such(small_data: Path, reference: bool) -> None:
    more = ONCE.replace('unit = "m"', 'unit = "m"\nreference = true') if reference else ONCE
    loaded = books(small_data, more)
    days = (dt.date(2026, 2, 1), dt.date(2026, 4, 1), dt.date(2026, 8, 1))
    before, there, after = (resolve(loaded, on=day) for day in days)
    for one, other in ((before, there), (there, after)):
        told = only(difference(one, other).changes).sentence
        assert told.endswith(" Nothing acts on it.") is reference


def test_nothing_is_different(small_data: Path) -> None:
    loaded = books(small_data)
    told = difference(resolve(loaded, on=DAY), resolve(loaded, on=DAY + dt.timedelta(days=9)))
    assert told.changes == ()
    assert told.sentences == (
        "Nothing is different between small as on 2026-01-01 and small as on 2026-01-10.",
    )


def test_a_time_that_is_shortened_on_a_day(small_data: Path) -> None:
    loaded = books(small_data, TIME)
    told = difference(
        resolve(loaded, on=dt.date(2026, 12, 31)), resolve(loaded, on=dt.date(2027, 2, 1))
    )
    change = only(told.changes)
    assert (change.kind, change.key, change.how) == ("value", "time.example", "changed")
    assert (change.was, change.now, change.since) == (
        "5 working days",
        "3 working days",
        dt.date(2027, 1, 1),
    )
    assert change.parts == ("amount", "certainty")
    assert (change.source, change.certainty) == ("Common practice, no source", "secondary")
    assert told.sentences == (
        "From 1 January 2027 the operator acknowledges within 3 working days instead of 5 "
        "(Common practice, no source; secondary; before: Common practice, no source; "
        "common practice).",
    )


def test_backwards_no_day_is_claimed(small_data: Path) -> None:
    loaded = books(small_data, TIME)
    told = difference(
        resolve(loaded, on=dt.date(2027, 2, 1)), resolve(loaded, on=dt.date(2026, 12, 31))
    )
    change = only(told.changes)
    assert change.since is None
    assert change.sentence.startswith(
        "The operator acknowledges within 5 working days instead of 3 ("
    )


def test_layers_above_are_named(small_data: Path) -> None:
    shutil.copy(FIXTURES / "operator.toml", small_data / "operators/operator.toml")
    loaded = load_books(small_data)
    local = read_local((FIXTURES / "local.toml").read_bytes(), "local.toml", loaded)
    plain = resolve(loaded, on=DAY)
    told = difference(plain, resolve(loaded, on=DAY, area="gb-12", local=[local]))
    assert told.after.layers == ("small", "local-operator", "the-firm")
    assert [(c.kind, c.key, c.how) for c in told.changes] == [
        ("value", "a.limit", "changed"),
        ("value", "firm.export", "added"),
        ("step", "ask-the-operator", "added"),
    ]
    assert told.sentences == (
        "The largest current of one unit: 25 A instead of 16 A (Letter of the operator, "
        "3 November 2026; local; before: Common practice, no source; common practice).",
        "New is firm.export, the largest export that the operator answered: 5 kW (Letter of the "
        "operator, 3 November 2026; local).",
        "Step ask-the-operator is new (tell the operator) (Common practice, no source; "
        "common practice).",
    )
    back = difference(resolve(loaded, on=DAY, area="gb-12", local=[local]), plain)
    assert [c.how for c in back.changes] == ["changed", "ended", "ended"]
    assert back.changes[1].sentence == (
        "There is no longer a value firm.export (the largest export that the operator answered; "
        "it was 5 kW; Letter of the operator, 3 November 2026; local)."
    )


def test_the_same_amount_from_another_layer_is_told(small_data: Path) -> None:
    text = (FIXTURES / "operator.toml").read_text().replace('"20 A"', '"16 A"')
    (small_data / "operators/operator.toml").write_text(text.split("[[step]]")[0])
    loaded = load_books(small_data)
    told = difference(resolve(loaded, on=DAY), resolve(loaded, on=DAY, area="gb-12"))
    assert told.sentences == (
        "a.limit stays 16 A; it is now given by local-operator instead of small "
        "(Common practice, no source; common practice).",
    )


def test_day_by_day(small_data: Path) -> None:
    loaded = books(small_data, TIME, ONCE)
    days = change_days(loaded.editions)
    assert days == (
        dt.date(2025, 1, 1),
        dt.date(2026, 3, 1),
        dt.date(2026, 7, 1),
        dt.date(2027, 1, 1),
    )
    told = list(
        differences(
            lambda day: resolve(loaded, on=day), days, dt.date(2025, 1, 1), dt.date(2027, 1, 1)
        )
    )
    assert [(d.after.on_date, only(d.changes).key, only(d.changes).how) for d in told] == [
        (dt.date(2026, 3, 1), "a.once", "added"),
        (dt.date(2026, 7, 1), "a.once", "ended"),
        (dt.date(2027, 1, 1), "time.example", "changed"),
    ]
    assert told[1].sentences == (
        "From 1 July 2026 there is no longer a value a.once (a length; it was 4 m; "
        "Common practice, no source; common practice).",
    )


def changed(book: Rulebook, **fields: object) -> Rulebook:
    return msgspec.structs.replace(book, digest="other", **fields)


def switched(book: Rulebook) -> Rulebook:
    first, *rest = book.table
    return changed(book, table=(msgspec.structs.replace(first, switch="a.open"), *rest))


def without_first_condition(book: Rulebook) -> Rulebook:
    first, *rest = book.table
    return changed(book, table=(msgspec.structs.replace(first, when=first.when[1:]), *rest))


def with_condition(book: Rulebook) -> Rulebook:
    first, *rest = book.table
    more = (*first.when, Condition("supply_kind", "one_of", literal=("split", "three-phase")))
    return changed(book, table=(msgspec.structs.replace(first, when=more), *rest))


def other_delay(book: Rulebook) -> Rulebook:
    (table,) = book.settings
    (line,) = table.settings
    line = msgspec.structs.replace(line, delay_ms=500)
    return changed(book, settings=(msgspec.structs.replace(table, settings=(line,)),))


def other_step(book: Rulebook) -> Rulebook:
    (step,) = book.steps
    return changed(book, steps=(msgspec.structs.replace(step, says="Ask.", wait=True),))


@pytest.mark.parametrize(
    ("change", "kind", "sentence"),
    [
        (
            without_first_condition,
            "row",
            'Row small no longer asks for "the largest registered capacity of one unit, per '
            'phase" at most a.limit (16 A) (Common practice, no source; common practice).',
        ),
        (
            with_condition,
            "row",
            'Row small also asks for "the kind of supply" one of split or three-phase (Common '
            "practice, no source; common practice).",
        ),
        (
            switched,
            "row",
            "Row small is switched by a.open (Common practice, no source; common practice).",
        ),
        (
            lambda book: changed(book, table=book.table[:1]),
            "row",
            'Row large ("Large") is gone (Common practice, no source; common practice).',
        ),
        (
            lambda book: changed(book, table=book.table[::-1]),
            "order",
            "Rows are tried in the order large, small instead of small, large.",
        ),
        (
            lambda book: changed(book, outcomes=book.outcomes[:1]),
            "outcome",
            'Outcome large ("Large") is gone.',
        ),
        (
            other_step,
            "step",
            "Step tell has a change of whether to wait for the answer and its words; it says "
            '"Ask." instead of "Tell the operator." (Common practice, no source; common '
            "practice).",
        ),
        (
            other_delay,
            "setting table",
            "Setting table one has undervoltage stage 1 184.0 V after 0.5 s instead of 184.0 V "
            "after 2.5 s (Common practice, no source; common practice).",
        ),
        (
            lambda book: changed(book, areas=book.areas[1:]),
            "area",
            "Area gb-10 (Eastern England) is gone (",
        ),
    ],
)
def test_what_is_no_value(
    small_data: Path, change: Callable[[Rulebook], Rulebook], kind: str, sentence: str
) -> None:
    book = resolve(books(small_data), on=DAY)
    told = only(difference(book, change(book)).changes)
    assert told.kind == kind
    assert told.sentence.startswith(sentence)
    back = only(difference(change(book), book).changes)
    assert back.kind == kind
    assert back.sentence != told.sentence


CAP_AND_CONDITION = """
[book]
format = "rulebook/1"
kind = "local"
key = "the-firm"
title = "A file for tests"
from = 2026-03-01

[[export_cap]]
id = "north"
says = "The feeder takes no more."
feeders = ["North 7"]
per = "total"
unit = "W"
limit = "5 kW"
source = { document = "practice" }
checked = 2026-11-25

[[condition]]
id = "photo"
says = "This operator wants a picture of the cut-out."
when = [{ fact = "largest_rated", above = "a.limit" }]
severity = "decide"
asks = "Send a picture of the cut-out."
source = { document = "practice" }
checked = 2026-11-25
"""


def test_caps_and_conditions(small_data: Path) -> None:
    loaded = books(small_data)
    local = read_local(CAP_AND_CONDITION.encode(), "firm.toml", loaded)
    plain = resolve(loaded, on=dt.date(2026, 2, 1))
    after = resolve(loaded, on=dt.date(2026, 4, 1), local=[local])
    told = difference(plain, after)
    assert [(c.kind, c.key, c.how, c.now, c.since, c.layer) for c in told.changes] == [
        ("export cap", "north", "added", "5 kW", dt.date(2026, 3, 1), "the-firm"),
        ("condition", "photo", "added", "", dt.date(2026, 3, 1), "the-firm"),
    ]
    assert told.sentences[0].startswith("From 1 March 2026 the cap on export north is new: 5 kW ")
    assert told.sentences[1] == (
        "From 1 March 2026 the condition photo is new: this operator wants a picture of the "
        'cut-out; for sites with "the largest registered capacity of one unit, per phase" above '
        "a.limit (16 A); it asks: send a picture of the cut-out (Common practice, no source; "
        "local)."
    )
    other = read_local(CAP_AND_CONDITION.replace("5 kW", "4 kW").encode(), "firm.toml", loaded)
    change = only(difference(after, resolve(loaded, on=dt.date(2026, 4, 1), local=[other])).changes)
    assert (change.was, change.now, change.how) == ("5 kW", "4 kW", "changed")
    assert change.sentence.startswith("The cap on export north is 4 kW ")
    assert " instead of 5 kW " in change.sentence
    assert [c.how for c in difference(after, plain).changes] == ["ended", "ended"]


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        (
            "checked",
            dt.date(2027, 2, 3),
            "a.limit stays 16 A; it was checked again on 3 February 2027 (Common practice, no "
            "source; common practice).",
        ),
        (
            "certainty",
            "secondary",
            "a.limit stays 16 A, with a change of its certainty (Common practice, no source; "
            "secondary; before: Common practice, no source; common practice).",
        ),
        (
            "note",
            "A note.",
            "a.limit stays 16 A, with a change of its note (Common practice, no source; common "
            "practice).",
        ),
    ],
)
def test_what_changes_beside_the_amount(
    small_data: Path, field: str, value: object, sentence: str
) -> None:
    book = resolve(books(small_data), on=DAY)
    limit = msgspec.structs.replace(book.values["a.limit"], **{field: value})
    told = difference(book, changed(book, values={**book.values, "a.limit": limit}))
    assert told.sentences == (sentence,)


def test_no_shipped_sentence_keeps_a_word_that_stands_for_the_amount() -> None:
    """Every amount of the shipped rulebook changes once; its sentence then has both amounts."""
    book = resolve(load_books(DATA), on=dt.date(2026, 11, 24))
    for key, value in book.values.items():
        if isinstance(value.amount, bool) or not isinstance(value.amount, int):
            continue
        other = msgspec.structs.replace(value, amount=value.amount + 1, written="OTHER")
        told = only(difference(book, changed(book, values={**book.values, key: other})).changes)
        assert f"OTHER instead of {value.written.partition(' ')[0]}" in told.sentence, key
        kept = " Nothing acts on it." if key in book.reference else ""
        assert told.sentence.endswith(f").{kept}")
        assert str(value.source) in told.sentence
