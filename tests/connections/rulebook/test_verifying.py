"""A reading counts for the value that was read, under the document that settles it."""

import datetime as dt

import msgspec
import pytest

from connections.rulebook.book import Reading, Rulebook, Source, Value
from connections.rulebook.keeping import content_of
from connections.rulebook.load import load_books, resolve
from connections.rulebook.telling import certainty_in_words
from connections.rulebook.verifying import name_of, names_in, with_readings

DAY = dt.date(2026, 11, 30)
BY = Reading("Wren Example", DAY)
NOTIFY = "time.notify"
"""28 days, from an operator's guidance; EREC G98 itself would settle it."""


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return resolve(load_books(), on=DAY)


def with_value(book: Rulebook, **changed: object) -> Rulebook:
    value = msgspec.structs.replace(book.values[NOTIFY], **changed)
    return msgspec.structs.replace(book, values={**book.values, NOTIFY: value})


def test_it_is_of_the_document_that_settles_the_value(book: Rulebook) -> None:
    value = book.values[NOTIFY]
    assert value.source.document == "guidance-midlands-notify"
    assert name_of(book, value)[:3] == ("g98-2-1", "Issue 2 Amendment 1 (2026)", NOTIFY)


def test_what_is_said_of_it(book: Rulebook) -> None:
    value = book.values[NOTIFY]
    verified = with_readings(book, {name_of(book, value): BY})
    assert certainty_in_words(book, value) == "secondary"
    assert certainty_in_words(verified, value) == "read by the firm, Wren Example, 30 November 2026"
    # What is sent to others names nobody.
    assert certainty_in_words(verified, value, name=False) == "read by the firm, 30 November 2026"
    # Another value is what it was.
    other = book.values["form.g98_several"]
    assert certainty_in_words(verified, other) == "from memory"


def test_no_digest_covers_it(book: Rulebook) -> None:
    verified = with_readings(book, {name_of(book, book.values[NOTIFY]): BY})
    assert content_of(verified) == content_of(book)
    assert verified.digest == book.digest


@pytest.mark.parametrize(
    "changed",
    [
        {"amount": 27, "written": "27 days"},
        {"unit": "working-days"},
        {"says": "Another sentence."},
        {"applies_to": "another scope"},
        # A layer above gives it, from a document of its own.
        {"layer": "local", "source": Source("letter", "Letter of 3 July 2026", "", "")},
    ],
)
def test_it_counts_while_the_value_is_equal(book: Rulebook, changed: dict[str, object]) -> None:
    readings = {name_of(book, book.values[NOTIFY]): BY}
    assert NOTIFY in with_readings(book, readings).readings
    assert with_readings(with_value(book, **changed), readings).readings == {}


def test_a_clause_or_a_note_may_be_put_right(book: Rulebook) -> None:
    readings = {name_of(book, book.values[NOTIFY]): BY}
    value: Value = book.values[NOTIFY]
    better = with_value(
        book, note="A note.", source=msgspec.structs.replace(value.source, clause="7.1")
    )
    assert NOTIFY in with_readings(better, readings).readings


def test_another_edition_of_the_document_is_read_anew(book: Rulebook) -> None:
    readings = {name_of(book, book.values[NOTIFY]): BY}
    later = Source("g98-3", "EREC G98", "Issue 3", "")
    newer = msgspec.structs.replace(book, awaited={**book.awaited, NOTIFY: later})
    assert with_readings(newer, readings).readings == {}


def test_a_file_names_what_can_be_read_in_it(book: Rulebook) -> None:
    [edition] = [part for part in load_books().editions if part.key == book.key]
    names = set(names_in(edition))
    values = [value for value in book.values.values() if value.layer == book.key]
    assert {name_of(book, value) for value in values} <= names
