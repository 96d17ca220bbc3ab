"""The page on differences: two editions, two days of a place, and what can't be compared."""

import datetime as dt

import pytest
from django.urls import reverse

from connections.rulebook.difference.finding import difference
from connections.rulebook.load import load_books, resolve
from sites.looks.writing.local_entries import add_entry
from tests.sites.rulebook.making import balance


def page_of(client, **asked):
    return client.get(reverse("rulebook-difference"), asked)


def test_two_editions_are_compared_where_they_meet(client, office, words):
    """The last day of the one and the first day of the other."""
    answer = page_of(client, first="gb-2019", second="gb-2025")
    said = words(answer)
    assert "EREC G98 Issue 1 and EREC G99 Issue 1, as on 9 March 2025" in said
    assert "EREC G98 Issue 2 and EREC G99 Issue 2, as on 10 March 2025" in said
    books = load_books()
    told = difference(
        resolve(books, on=dt.date(2025, 3, 9)), resolve(books, on=dt.date(2025, 3, 10))
    )
    assert answer.context["page"].count == len(told.changes) > 0
    for sentence in told.sentences:
        assert sentence in said


def test_what_has_another_amount_stands_before_what_only_reads_otherwise(client, office, words):
    said = words(page_of(client, first="gb-2019", second="gb-2025"))
    assert (
        said.index("Other values (") < said.index("New values (") < said.index("Same value, with")
    )


def test_two_days_are_gone_through_day_by_day(client, office, words):
    """London: the operator's file begins on 3 July 2025."""
    asked = {"where": "gb-12", "first_on": "2025-07-01", "second_on": "2025-07-31"}
    answer = page_of(client, **asked)
    said = words(answer)
    assert [day.title for day in answer.context["page"].days] == ["From 3 July 2025"]
    assert "0 days instead of 28" in said
    value = f"{reverse('rulebook-value', args=['time.load_notice'])}?where=gb-12&amp;on=2025-07-31"
    assert value in answer.content.decode()


def test_a_local_entry_is_part_of_it(client, engineer, words):
    add_entry(area="", entry=balance(since=dt.date(2026, 6, 1)), reason="Told.", by=engineer)
    asked = {"first_on": "2026-05-01", "second_on": "2026-07-01"}
    assert "From 1 June 2026" in words(page_of(client, **asked))


def test_the_same_day_twice(client, office, words):
    asked = {"first_on": "2026-05-01", "second_on": "2026-05-01"}
    assert "Nothing is different between the two." in words(page_of(client, **asked))


def test_days_the_other_way_round(client, office, words):
    asked = {"where": "gb-12", "first_on": "2025-07-31", "second_on": "2025-07-01"}
    assert "28 days instead of 0" in words(page_of(client, **asked))


@pytest.mark.parametrize("second", ["ni-2019", "ie-2023"])
def test_an_edition_of_another_country(client, office, words, second):
    answer = page_of(client, where="gb-12", first="gb-2025", second=second)
    assert answer.status_code == 200
    assert "London (gb-12) does not lie in" in words(answer)


def test_an_empty_address_is_the_last_year(client, office):
    assert page_of(client).status_code == 200


@pytest.mark.parametrize(
    ("asked", "box", "says"),
    [
        ({"first": "gb-1999"}, "difference-first", "There is no such edition"),
        ({"where": "nowhere"}, "difference-where", "There is no such place"),
        ({"first_on": "soon"}, "difference-first_on", "Give the date as day"),
        ({"first_on": "1999-01-01"}, "difference-first_on", "No edition is known for 1999-01-01"),
        (
            {"first_on": "2026-01-01", "second_on": "1999-01-01"},
            "difference-second_on",
            "No edition is known for 1999-01-01",
        ),
    ],
)
def test_faults_stand_at_their_box(client, office, words, asked, box, says):
    answer = page_of(client, **asked)
    assert answer.status_code == 422
    assert words(answer).count(says) == 2
    assert f'<a href="#{box}">' in answer.content.decode()
