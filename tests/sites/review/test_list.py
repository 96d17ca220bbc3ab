"""Lists of cases: what they hold and in which order, and that they decide and read little."""

import csv
import datetime as dt
import io

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.cases.models import Case, KeptDecision
from sites.house.models import Event
from sites.people.models import Person
from sites.premises.models import Premises
from sites.premises.reading.site_rows import today
from sites.review.models import SavedView
from sites.review.pages import listing
from sites.review.pages.listing import harmless
from sites.review.reading import case_list
from tests.sites.making import home, island, make_person, make_premises
from tests.sites.review.making import capped

# Each database puts rows in order in its own way.
pytestmark = [pytest.mark.django_db, pytest.mark.database]

WORK, REVIEW = "/", "/review/"


def shown(client, address=WORK, **asked):
    """The references on a page, in their order."""
    answer = client.get(address, asked or {"owner": ""})
    assert answer.status_code == 200
    return [record.reference for record, _row in answer.context["rows"]]


def due(case, days, *, stops=0):
    """Put a case at its place in lists, due in so many days; None for no day."""
    day = None if days is None else today() + dt.timedelta(days=days)
    KeptDecision.objects.filter(case=case).update(due_on=day, due_says="Send it", stops=stops)
    kept = KeptDecision.objects.get(case=case)
    Case.objects.filter(pk=case.pk).update(urgency=case_list_place(kept, case.state))


def case_list_place(kept, state):
    from sites.cases.reading import urgency_of

    return urgency_of(kept, state)


def test_what_stops_comes_first_then_what_is_due_first_and_ended_cases_last(by_engineer):
    names = ("no-day", "later", "overdue", "stops-later", "ended")
    cases = {name: make_premises(reference=name) for name in names}
    for name, days in (("no-day", None), ("later", 9), ("overdue", -1), ("ended", -5)):
        due(cases[name], days)
    due(cases["stops-later"], 30, stops=1)
    Case.objects.filter(pk=cases["ended"].pk).update(state="withdrawn", urgency="2")

    assert shown(by_engineer) == ["stops-later", "overdue", "later", "no-day", "ended"]
    assert shown(by_engineer, sort="-due") == ["ended", "no-day", "later", "overdue", "stops-later"]
    assert shown(by_engineer, sort="reference") == sorted(names)
    assert shown(by_engineer, due="overdue") == ["overdue"]
    # 9 days ahead lies within 28, 30 do not.
    assert shown(by_engineer, due="28") == ["overdue", "later"]
    assert shown(by_engineer, open="stops") == ["stops-later"]
    assert shown(by_engineer, state="withdrawn") == ["ended"]
    assert "Overdue by a day" in by_engineer.get(WORK, {"owner": ""}).text


def test_the_list_of_the_engineers_has_what_stops_and_what_is_to_decide(by_engineer, office):
    waits = make_premises(by=office, **island())
    stopped = capped()
    make_premises(by=office)  # nothing to settle
    assert shown(by_engineer, REVIEW) == [case.application.reference for case in (stopped, waits)]
    page = by_engineer.get(REVIEW).text
    assert "1 finding stops it" in page
    assert "1 finding to decide" in page
    assert reverse("case-review", args=[waits.key]) in page


def test_a_stale_decision_says_so_and_a_list_decides_nothing(by_engineer, monkeypatch):
    make_premises(reference="fresh")
    stale = make_premises(reference="stale")
    Premises.objects.filter(pk=stale.premises_id).update(version=9)

    def decide(*_args, **_kwargs):
        raise AssertionError("a list decided")

    monkeypatch.setattr("sites.deciding.reading.deciding.decide_rows", decide)
    monkeypatch.setattr("sites.review.reading.kept.decide_rows", decide)
    said = {
        record.reference: record.stale for record, _row in by_engineer.get(WORK).context["rows"]
    }
    assert said["fresh"] == ""
    assert said["stale"].startswith("Out of date: decided on ")


def test_filters_stand_in_the_address_and_chips_take_them_out(by_engineer):
    make_premises(reference="FH-9", **island())
    page = by_engineer.get(WORK, {"q": "fh9", "open": "engineer", "state": "no-such"})
    assert [(chip.label, chip.value, chip.without) for chip in page.context["chips"]] == [
        ("Look for", "fh9", "open=engineer"),
        ("Open", "For an engineer", "q=fh9"),
    ]
    assert "1 to 1 of 1" in page.text
    assert "No case fits" in by_engineer.get(WORK, {"q": "nowhere"}).text


def test_archived_cases_are_left_out_unless_asked_for(by_engineer):
    make_premises(reference="kept")
    gone = make_premises(reference="gone")
    Case.objects.filter(pk=gone.pk).update(archived_at=timezone.now())
    assert shown(by_engineer) == ["kept"]
    assert shown(by_engineer, archived="yes") == ["gone"]


def test_the_office_sees_its_own_first_and_all_when_it_asks(by_office, office, engineer):
    make_premises(reference="other", by=engineer)
    assert shown_plain(by_office) == ["other"]  # nothing is its own yet
    make_premises(reference="own", by=office)
    assert shown_plain(by_office) == ["own"]
    assert set(shown(by_office, owner="")) == {"own", "other"}
    assert shown(by_office, owner=str(engineer.key)) == ["other"]


def shown_plain(client):
    return [record.reference for record, _row in client.get(WORK).context["rows"]]


def test_an_installer_sees_cases_of_his_own_and_given_to_him(client):
    installer = make_person("installer")
    own, given, _other = (make_premises(reference=name) for name in ("own", "given", "other"))
    Case.objects.filter(pk=own.pk).update(owner=installer)
    Case.objects.filter(pk=given.pk).update(installer=installer)
    client.force_login(installer)
    assert set(shown(client, owner="")) == {"own", "given"}
    assert set(shown(client, owner="me")) == {"own", "given"}
    assert shown(client, q="other") == []
    lines = client.get(WORK, {"owner": "", "as": "csv"}).getvalue().decode()
    assert "other" not in lines


def test_chosen_cases_go_to_an_owner_each_with_its_event(by_office, office):
    new = make_person("engineer")
    first, second = make_premises(by=office), make_premises(by=office)
    post = {"of": "work", "asked": "q=x&sort=reference", "to": str(new.key)}
    address = reverse("cases-assign")
    answer = by_office.post(address, {**post, "case": [first.key, second.key, "nonsense"]})
    assert answer["Location"] == "/?q=x&sort=reference"
    assert set(Case.objects.values_list("owner", flat=True)) == {new.pk}
    events = Event.objects.filter(act="case.handed-over")
    assert {event.subject_key for event in events} == {first.key, second.key}
    assert {event.data["to"] for event in events} == {str(new.key)}
    by_office.post(address, {**post, "case": [first.key]})  # the owner already
    assert events.count() == 2
    Person.objects.filter(pk=new.pk).update(is_active=False)
    Case.objects.update(owner=office)
    page = by_office.post(address, {**post, "case": [first.key]}, follow=True)
    assert "works here no more" in page.text
    assert Case.objects.get(pk=first.pk).owner == office


def test_an_installer_assigns_nothing(client):
    installer = make_person("installer")
    case = make_premises()
    client.force_login(installer)
    client.post(reverse("cases-assign"), {"to": "me", "case": [case.key]})
    assert Case.objects.get().owner is None


def test_a_view_is_saved_shown_to_its_owner_and_deleted(by_office, office, client):
    make_premises()
    post = {"of": "work", "asked": "due=overdue&sort=reference", "name": "  My   late ones "}
    by_office.post(reverse("view-save"), post)
    view = SavedView.objects.get()
    assert (view.name, view.asked) == ("My late ones", "due=overdue&sort=reference")
    page = by_office.get(f"{WORK}?{view.asked}").text
    assert 'aria-current="page">My late ones</a>' in page
    client.force_login(make_person("engineer"))
    assert "My late ones" not in client.get(WORK).text
    delete = reverse("view-delete", args=[view.key])
    assert client.post(delete).status_code == 404
    client.force_login(office)
    client.post(delete)
    assert not SavedView.objects.exists()


def test_the_file_has_every_row_and_no_formula(by_engineer):
    parties = home()["parties"] | {"customer": {"name": '=HYPERLINK("x")'}}
    make_premises(reference="FH-1", parties=parties)
    make_premises(reference="-2+3")
    answer = by_engineer.get(WORK, {"owner": "", "as": "csv", "sort": "reference"})
    assert answer["Content-Disposition"].startswith('attachment; filename="cases-work-')
    rows = list(csv.reader(io.StringIO(answer.getvalue().decode("utf-8-sig"))))
    assert rows[0][:3] == ["Reference", "Customer", "Address"]
    assert {row[0] for row in rows[1:]} == {"'-2+3", "FH-1"}
    assert '\'=HYPERLINK("x")' in {row[1] for row in rows[1:]}


@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t", "\r", "\n", "＝"])
def test_a_cell_that_a_spreadsheet_would_work_out_gets_an_apostrophe(begins):
    assert harmless(f"{begins}1") == f"'{begins}1"
    assert harmless(f"1{begins}1") == f"1{begins}1"
    assert harmless("") == ""


def test_more_than_a_thousand_are_not_counted(by_engineer, monkeypatch):
    for module in (case_list, listing):
        monkeypatch.setattr(module, "MOST_COUNTED", 2)
    for _ in range(3):
        make_premises()
    page = by_engineer.get(WORK, {"sort": "customer"})
    assert "1 to 2 of more than 2" in page.text
    assert page.context["not_sorted"]
