"""Premises are found by what people know of them, and the work does not grow with their number."""

import datetime as dt

import pytest
from django.db import connection

from sites.premises.models import Premises, SearchWord
from sites.premises.reading import search
from sites.premises.reading.search import find_premises, words_in
from sites.premises.reading.site_rows import rows_for
from sites.premises.writing.sheet import Seen, save_sheet
from sites.review.models.reply import AGREED
from sites.review.writing.replies import Answered, enter_reply
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db


def kestrel(**changes):
    """A premises of which each kind of word is known."""
    data = home()
    data["units"][0] |= {
        "maker": "Osier Works (invented)",
        "model": "H3.6 two",
        "serials": ["INV-77-0012", "INV-77-0013"],
    }
    data |= {
        "reference": "FH-9/2 after the answer",
        "premises": {
            **data["premises"],
            "name": "Kestrel House",
            "address_lines": ["27 Osprey Row", "Fennhaven"],
            "postcode": "ZZ14 2MM",
            "supply_numbers": [{"use": "import", "scheme": "gb13", "value": "9912345678906"}],
        },
        "parties": {
            **data["parties"],
            "customer": {
                "name": "Lysander Cr\u00e2ke",
                "phone": "+44 1632 960 417",
                "email": "crake@invented.example",
            },
        },
    }
    return make_premises(**{**data, **changes})


@pytest.fixture(scope="module")
def case(rows_for_all):
    """The premises beside another, with an answer of the operator."""
    make_premises(reference="Another")
    case = kestrel()
    answered = Answered(
        AGREED, received_on=dt.date(2026, 11, 2), words="Tell us.", reference="DNO/4711"
    )
    enter_reply(case=case, answered=answered, by=make_person())
    return case


@pytest.mark.parametrize(
    "typed",
    [
        "FH-9", "fh9/2", "FH-9/2 after", "Kestrel", "osprey", "27 Ospr", "osprey row fenn",
        "ZZ14", "zz14", "zz14 2mm", "ZZ142MM", "2mm",
        "01632 960 417", "01632960417", "960417", "960 417",
        "9912345678906", "99 1234 5678 906", "5678 906", "1234 5678",
        "crake", "CRAKE lys", "crake@inv", "osier works", "h3.6", "H3 6", "0013", "inv-77",
        "DNO/4711", "4711", "crake zz14 h3.6",
    ],
)  # fmt: skip
def test_found_by(typed, case):
    assert find_premises(typed).premises == {case.premises_id}


@pytest.mark.parametrize("typed", ["crake nowhere", "100%", "estrel", "zz15", "%", "", "\0", "€"])
def test_not_found_by(typed, case):
    assert not find_premises(typed).premises


def test_a_saved_sheet_is_found_by_its_new_words_only(case):
    premises = Premises.objects.get(pk=case.premises_id)
    rows = rows_for(premises, case.design)
    rows.premises.name = "Heron House"
    seen = Seen(premises.version, case.design.version)
    save_sheet(design=case.design, rows=rows, seen=seen, by=make_person())

    assert find_premises("heron").premises == {premises.pk}
    assert not find_premises("kestrel").premises


def test_a_common_word_is_said_to_find_more_and_a_second_word_finds_the_one(case, monkeypatch):
    monkeypatch.setattr(search, "MOST_FOUND", 3)
    for _ in range(5):
        make_premises()

    common = find_premises("invented")
    assert common.more
    assert 1 <= len(common.premises) <= 3
    both = find_premises("invented kestrel")
    assert both.premises == {case.premises_id}
    assert not both.more


def test_words_are_read_by_an_index_and_queries_do_not_grow(django_assert_max_num_queries):
    for place in range(200):
        premises = Premises.objects.create(reference=f"P{place}")
        SearchWord.objects.bulk_create(
            SearchWord(word=word, premises=premises) for word in words_in(f"common {place}")
        )
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:  # a table of this size fits into one page
            cursor.execute("SET LOCAL enable_seqscan = off")
    plan = search._beginning("co").explain()
    assert "INDEX" in plan.upper()
    assert "SCAN SITES_SEARCHWORD\n" not in f"{plan.upper()}\n"
    with django_assert_max_num_queries(13):
        find_premises("common 1 2 3 4 5 6 7 8 9")
