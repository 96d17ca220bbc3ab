"""The audit log of a premises as a page."""

import csv
import html

import pytest
from django.db import transaction
from django.urls import reverse

from sites.house.acts import ACTS
from sites.house.writing.events import record
from tests.sites.deciding.filling import filled
from tests.sites.making import make_person, make_premises

pytestmark = pytest.mark.django_db


def page_of(client, case):
    return client.get(reverse("events", args=[case.premises.key])).content.decode()


def test_acts_on_premises_and_application_are_sentences(client):
    ann = make_person(name="Ann Vole")
    case = make_premises(by=ann)
    other = make_premises(by=make_person(name="Bob Wren"))
    with transaction.atomic():
        record(
            "premises.saved",
            by=ann,
            subject=case.premises,
            data={"fields": ["premises: planned_on"]},
        )
        record("finding.decided", by=ann, subject=case.application, data={"finding": "can-island"})
        record("pack.issued", by=ann, subject=case.application, data={"revision": 2})
        record("pack.printed", by=None, subject=case.application)
    client.force_login(ann)

    page = page_of(client, case)

    for sentence in (
        "Ann Vole created the premises.",
        "Ann Vole saved the premises sheet.",
        "Changed: premises: planned on.",
        "Ann Vole decided a finding: can island.",
        "Ann Vole issued a pack, revision 2.",
        "Meterside printed a pack.",
    ):
        assert sentence in page
    assert page.index("issued a pack") < page.index("created the premises")  # latest first
    assert "Bob Wren" not in page
    assert "Bob Wren created the premises." in page_of(client, other)


@pytest.mark.parametrize(
    ("box", "typed", "words"),
    [
        ("premises-address_lines", "2 Row", "premises: address."),
        (
            "case-on_date",
            "25/11/2026",
            "premises: date of the rules, 24 November 2026 → 25 November 2026.",
        ),
        (
            "premises-loads_measured",
            "yes",
            "premises: how the demand was found, not known → yes.",
        ),
        (
            "proposed-units-1-rated_w",
            "5 kW",
            "proposed units: bat-1: rated w, 3600 → 5000.",
        ),
        ("premises-easting", "620001", "premises: easting."),
        ("proposed-arrays-0-unit_id", "bat-1", "proposed arrays: bat-1: unit."),
        ("proposed-cables-0-unit_id", "bat-1", "proposed cables: bat-1: unit."),
    ],
)
def test_a_changed_box_is_named_in_words(client, box, typed, words):
    ann = make_person(name="Ann Vole")
    case = make_premises(cables=[{"from": "B1", "to": "inverter", "unit_id": "pv-1"}])
    client.force_login(ann)
    sheet = reverse("design-sheet", args=[case.design.key])
    answer = client.post(sheet, filled(client.get(sheet), {box: typed}))
    assert answer.status_code == 302
    assert f"Changed: {words}" in html.unescape(page_of(client, case))


def test_the_file_of_events_holds_them_all_and_no_formula(client):
    """Read back by Python's csv: the same sentences, and a reference that begins as a formula."""
    ann = make_person(name="=Ann Vole")
    case = make_premises(by=ann)
    client.force_login(ann)
    answer = client.get(reverse("events-file", args=[case.premises.key]))
    lines = list(csv.DictReader(answer.getvalue().decode("utf-8-sig").splitlines()))
    assert [line["Who"] for line in lines] == ["'=Ann Vole"] * len(lines)
    assert [line["Did"] for line in lines] == ["premises.created"]
    assert lines[0]["In a sentence"] == "'=Ann Vole created the premises."


def test_a_long_list_of_changes_is_counted(client):
    ann = make_person(name="Ann Vole")
    case = make_premises()
    with transaction.atomic():
        fields = [f"field {i}" for i in range(15)]
        record("premises.saved", by=ann, subject=case.premises, data={"fields": fields})
    client.force_login(ann)
    # 12 are spelled out: 15 - 12 = 3.
    assert "field 11; and 3 more." in page_of(client, case)


def test_queries_do_not_grow_with_events(client, django_assert_num_queries):
    ann = make_person()
    case = make_premises(by=ann)
    client.force_login(ann)
    counts = []
    for more in (0, 19):
        with transaction.atomic():
            for _ in range(more):
                record("premises.saved", by=ann, subject=case.premises)
        # One of them asks on every page whether the firm requires a code.
        with django_assert_num_queries(15) as asked:
            page_of(client, case)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_every_act_reads_as_a_sentence_after_a_name():
    for act, words in ACTS.items():
        assert words[0].islower(), act
        assert not words.endswith("."), act
