"""The work list says where each premises stands and what comes next, in a fixed number of
queries."""

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.desk.reading.work import premises_matching, work_rows
from sites.packs.models import FrozenPack
from sites.premises.models import Cap, Draft, Premises, SupplyNumber
from sites.premises.reading.site_rows import rows_for
from sites.premises.writing.caps import add_cap, remove_cap
from sites.premises.writing.sheet import Seen, save_sheet
from tests.sites.making import (
    home,
    island,
    make_pack_row,
    make_person,
    make_premises,
    make_question,
    make_verdict,
)

# Each database looks for words and puts rows in order in its own way.
pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def office():
    return make_person("office")


@pytest.fixture
def engineer():
    return make_person("engineer")


def row_of(case, person):
    (row,) = work_rows([case.premises], person=person)
    return row


def save_name(case, name, by):
    """Save the sheet with another name of the premises."""
    case.premises.refresh_from_db()
    case.design.refresh_from_db()
    rows = rows_for(Premises.objects.get(pk=case.premises.pk), case.design)
    rows.premises.name = name
    seen = Seen(case.premises.version, case.design.version)
    save_sheet(design=case.design, rows=rows, seen=seen, by=by)


def test_nothing_flagged_is_ready_and_the_engineer_may_issue(office, engineer):
    case = make_premises()

    row = row_of(case, office)
    assert row.says == "Ready to issue"
    assert row.procedure == "Short application: small generation installation below 60 A"
    assert row.lacking == ()
    assert (row.next.says, row.next.page) == ("See the pack", "pack-preview")
    assert row_of(case, engineer).next.says == "See the pack and issue it"


def test_a_finding_waits_for_an_engineer_until_it_is_decided(office, engineer):
    case = make_premises(**island())
    row = row_of(case, engineer)
    assert (row.says, row.lacking) == ("Waiting for an engineer", ("1 finding to decide",))
    assert row.next.page == "case-review"
    assert row_of(case, office).next.page == "premises"

    make_verdict(case, "can-island", by=engineer)
    assert row_of(case, engineer).says == "Ready to issue"


def test_a_verdict_on_other_facts_does_not_count(engineer):
    case = make_premises(**island())
    verdict = make_verdict(case, "can-island", by=engineer)
    type(verdict).objects.update(basis="0" * 64)

    assert row_of(case, engineer).says == "Waiting for an engineer"


def test_a_stop_is_said(office):
    # 3.6 + 3.6 kW against an operator's cap of 5 kW on export: finding export-above-cap.
    case = make_premises(caps=[{"on": "export", "value": 5000, "basis": "w_total"}])

    row = row_of(case, office)
    assert (row.says, row.tone) == ("Stopped", "stops")
    assert row.lacking == ("1 finding stops it",)
    assert row.next.says == "See what stops it"


def test_missing_facts_are_counted(office):
    units = home()["units"]
    units[1]["rated_w"] = None
    case = make_premises(units=units)

    row = row_of(case, office)
    assert row.says == "Facts missing"
    assert "1 fact missing" in row.lacking
    assert row.next.page == "design-sheet"
    assert row.next.key == case.design.key


def test_rows_that_are_no_site_yet_do_not_break_the_list(office):
    case = make_premises()
    case.design.unit_set.all().delete()

    row = row_of(case, office)
    assert (row.says, row.procedure) == ("Facts missing", "Cannot tell yet")
    assert row.lacking == ("Not enough is known to decide",)


def test_connect_and_notify_waits_for_the_work(office):
    # One unit of 3.6 kW is 15.7 A: connect and notify; told of when it is done.
    data = home()
    case = make_premises(units=data["units"][:1], storage=[])

    row = row_of(case, office)
    assert row.procedure == "Connect and notify"
    assert row.says == "Waiting for the work to be done"
    assert row.lacking == ("Dates and serial numbers, once installed",)


def test_an_open_question_goes_to_the_office_until_answered(office, engineer):
    case = make_premises(**island())
    question = make_question(case, by=engineer)

    row = row_of(case, office)
    assert row.says == "Question for the office"
    assert "1 question open" in row.lacking
    assert row.next.says == "Answer the question"

    type(question).objects.update(answer="Yes.", answered_at=timezone.now(), answered_by=office)
    assert row_of(case, office).says == "Waiting for an engineer"


def test_unsaved_typing_is_said_with_the_name(office, engineer):
    case = make_premises()
    Draft.objects.create(person=office, page=f"sheet/{case.design.key}", changed_at=timezone.now())

    row = row_of(case, engineer)
    assert row.says == "Being typed"
    assert row.beside == (f"{office.name} has unsaved typing",)


def test_an_issued_pack_is_printing_then_issued_then_changed(office, engineer):
    case = make_premises(by=office)
    pack = make_pack_row(case, by=engineer, revision=2, printed=False)
    assert row_of(case, office).says == "Printing"

    FrozenPack.objects.filter(pk=pack.pk).update(print_fault="no room on the disk")
    assert row_of(case, office).says == "Could not be printed"

    FrozenPack.objects.filter(pk=pack.pk).update(print_fault="", pdf_sha256="0" * 64)
    row = row_of(case, office)
    assert (row.says, row.next.page) == ("Issued, revision 2", "pack")

    save_name(case, "Another name", office)
    case.premises.refresh_from_db()
    case.design.refresh_from_db()
    row = row_of(case, office)
    assert row.says == "Ready to issue"
    assert row.beside == ("Changed since revision 2 was issued",)


def test_a_cap_set_or_lifted_after_issuing_makes_the_pack_out_of_date(office, engineer):
    case = make_premises(by=office)
    make_pack_row(case, by=engineer)
    cap = Cap(on="export", value=1, basis="w_total")
    cap = add_cap(premises=case.premises, cap=cap, by=engineer)
    row = row_of_again(case, office)
    assert row.says == "Stopped"
    assert row.beside == ("Changed since revision 1 was issued",)

    make_pack_row(case, by=engineer, revision=2)
    assert row_of_again(case, office).beside == ()
    remove_cap(cap=cap, by=engineer)
    assert row_of_again(case, office).beside == ("Changed since revision 2 was issued",)


def test_a_saved_change_is_decided_anew(office):
    case = make_premises()
    assert row_of(case, office).says == "Ready to issue"
    rows = rows_for(case.premises, case.design)
    rows.proposed.units[1].can_island = True
    seen = Seen(case.premises.version, case.design.version)
    save_sheet(design=case.design, rows=rows, seen=seen, by=office)

    assert row_of_again(case, office).says == "Waiting for an engineer"


def row_of_again(case, person):
    (row,) = work_rows([Premises.objects.get(pk=case.premises.pk)], person=person)
    return row


def test_queries_do_not_grow_with_rows(client, office, engineer, django_assert_max_num_queries):
    client.force_login(office)
    counts = []
    for wanted in (1, 20):
        while Premises.objects.count() < wanted:
            case = make_premises(**island())
            make_question(case, by=engineer)
            make_verdict(case, "can-island", by=engineer)
            make_pack_row(case, by=engineer)
            Draft.objects.create(
                person=engineer, page=f"sheet/{case.design.key}", changed_at=timezone.now()
            )
        # 15 load the sites, 3 sign in, the rest is what stands around them.
        with django_assert_max_num_queries(32) as asked:
            answer = client.get(reverse("work-list"))
        assert answer.status_code == 200
        counts.append(len(asked))
        assert answer.content.count(b"Question for the office</span>") == wanted
    assert counts[0] == counts[1]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("FH-9", True),
        ("kestrel", True),
        ("ZZ2 2MM", True),
        ("zz22mm", True),
        ("crake downs", True),
        ("1012345678901", True),
        ("10 1234 5678 901", True),
        ("crake nowhere", False),
        ("100%", False),
        ("", True),
        ("\x00", True),
    ],
)
def test_words_are_looked_for_in_what_people_know(words, found):
    data = home()
    premises = {
        **data["premises"],
        "name": "Kestrel House",
        "address_lines": ["Kestrel House", "Downs Lane"],
        "postcode": "ZZ2 2MM",
    }
    parties = {**data["parties"], "customer": {"name": "Lysander Crake"}}
    case = make_premises(reference="FH-9 after the answer", premises=premises, parties=parties)
    SupplyNumber.objects.create(premises=case.premises, use="import", value="10 1234 5678 901")

    assert premises_matching(words).exists() is found


def test_a_state_is_kept_over_all_pages(client, office, engineer):
    for _ in range(3):
        make_premises()
    flagged = make_premises(**island())
    client.force_login(office)

    page = client.get(reverse("work-list"), {"state": "engineer"}).content.decode()

    assert flagged.premises.reference in page
    assert page.count("<tr role") == 2  # the head and the one row
    assert "Found: 1 premises" in page


def test_pages_turn_and_keep_what_was_looked_for(client, office):
    for _ in range(26):
        make_premises()
    client.force_login(office)

    first = client.get(reverse("work-list"), {"q": "Reedcutter"}).content.decode()
    assert first.count("<tr role") == 26  # the head and 25 rows
    assert "?q=Reedcutter&amp;state=&amp;page=2" in first
    second = client.get(reverse("work-list"), {"q": "Reedcutter", "page": "2"}).content.decode()
    assert second.count("<tr role") == 2
    assert client.get(reverse("work-list"), {"page": "none"}).status_code == 200


def test_an_empty_list_says_what_to_do_first(client, office):
    client.force_login(office)

    assert "There are no premises yet" in client.get(reverse("work-list")).content.decode()


def test_nothing_found_is_not_an_empty_list(client, office):
    make_premises()
    client.force_login(office)

    page = client.get(reverse("work-list"), {"q": "no such thing"}).content.decode()
    assert "No premises fits" in page
    assert "There are no premises yet" not in page


def test_a_name_is_text_not_markup(client, office):
    data = home()
    make_premises(
        reference="<script>alert(1)</script>", premises={**data["premises"], "name": "<img src=x>"}
    )
    client.force_login(office)

    page = client.get(reverse("work-list")).content.decode()
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert "<img" not in page


def test_a_new_sheet_begun_is_offered_to_whoever_began_it(client, office, engineer):
    Draft.objects.create(person=office, page="premises/new", changed_at=timezone.now())

    client.force_login(office)
    assert "You began a new premises" in client.get(reverse("work-list")).content.decode()
    client.force_login(engineer)
    assert "You began a new premises" not in client.get(reverse("work-list")).content.decode()
