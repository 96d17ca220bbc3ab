"""What each remedy costs in energy, on the three pages that show remedies: before, while and after
it is worked out, with scripts and without."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from sites.energy.models import EnergyInputs
from sites.energy.writing.years import Given, enter_inputs
from sites.house.models import Work
from sites.house.models.work import REMEDIES
from sites.house.writing.working_out import work_out
from sites.premises.models import Array
from tests.sites.making import make_person, make_premises, make_remedy_years, make_reply

pytestmark = pytest.mark.django_db


@pytest.fixture(params=["office", "engineer"])
def person(client, request):
    person = make_person(request.param)
    client.force_login(person)
    return person


@pytest.fixture
def case(person):
    """3.6 kW of PV and of storage each, under a cap on export of 3 kW."""
    case = make_premises(by=person)
    make_reply(case, by=person, kind="cap-export", written="3 kW", value=3000, basis="w_total")
    return case


def address_of(case, place):
    return {
        "premises": f"{reverse('premises', args=[case.premises.key])}?design={case.design.key}",
        "review": reverse("case-review", args=[case.key]),
        "answers": reverse("case-answers", args=[case.key]),
    }[place]


def page_of(client, case, place="premises"):
    return client.get(address_of(case, place)).content.decode()


def enter(case, by):
    given = Given(region=3, yearly_use_kwh=3500)
    enter_inputs(premises=case.premises, given=given, seen="", by=by)


def sent_by(words):
    """What the button of the part sends, as a browser reads it from the page."""
    form = words.split('id="remedy-years"')[1].split("</form>")[0]
    found = re.findall(r'name="(of|seen|mark)" value="([^"]*)"', form)
    return {name: [value for key, value in found if key == name] for name, _ in found}


def part_of(client, case, **sent):
    return client.get(reverse("remedy-years", args=[case.design.key]), sent)


def post(client, case, sent, *, in_part=True):
    headers = {"HX-Request": "true"} if in_part else {}
    return client.post(reverse("remedy-years", args=[case.design.key]), sent, headers=headers)


def do(case):
    row = Work.objects.get(kind=REMEDIES)
    assert work_out(str(row.key), row.digest)


PLACES = pytest.mark.parametrize("place", ["premises", "review", "answers"])


@PLACES
def test_without_region_and_use_the_page_says_where_to_enter_them(client, case, place):
    words = page_of(client, case, place)
    assert "Save as a design" in words
    designs = reverse("designs", args=[case.premises.key])
    assert f'<a href="{designs}#energy">Enter the region and the yearly use</a>' in words
    assert 'id="energy"' in client.get(designs).content.decode()
    assert "hx-post" not in words.split('id="remedy-years"')[1].split("</section>")[0]
    assert not Work.objects.filter(kind=REMEDIES).exists()


@PLACES
def test_each_page_asks_shows_progress_and_says_what_each_costs(client, case, person, place):
    enter(case, person)
    words = page_of(client, case, place)
    sent = sent_by(words)
    assert sent["of"] == [place]
    assert 'hx-trigger="load"' in words
    assert "Work out what each costs in energy" in words

    answer = post(client, case, sent).content.decode()
    assert "0 of" in answer
    assert "<progress" in answer
    assert 'hx-trigger="every 2s"' in answer
    assert 'hx-trigger="load"' not in answer
    words = page_of(client, case, place)
    assert 'hx-trigger="every 2s"' in words
    assert 'hx-trigger="load"' not in words

    do(case)
    answer = part_of(client, case, **sent).content.decode()
    assert "hx-trigger" not in answer
    put = re.findall(r'id="year-(\w+)" hx-swap-oob="true">([^<]+)</p>', answer)
    assert [mark for mark, _says in put] == sent["mark"]
    words = page_of(client, case, place)
    for mark, says in put:
        assert f'<p class="in-a-year" id="year-{mark}">{says}</p>' in words
    assert any("held back by the export limit" in says for _mark, says in put)
    assert "a typical year of the region Southern England" in words
    assert "hx-trigger" not in words.split('id="remedy-years"')[1].split("</section>")[0]


def test_the_page_of_answers_shows_those_remedies_that_meet_one(client, case, person):
    """They come from the same search, so one asking serves all three pages."""
    enter(case, person)
    every = sent_by(page_of(client, case))
    review = sent_by(page_of(client, case, "review"))
    meeting = sent_by(page_of(client, case, "answers"))
    assert every["seen"] == review["seen"] == meeting["seen"]
    assert every["mark"] == review["mark"]
    assert set(meeting["mark"]) < set(every["mark"])
    post(client, case, meeting)
    do(case)
    for place in ("premises", "review"):
        assert "In a year:" in page_of(client, case, place)


@PLACES
def test_without_scripts_the_button_comes_back_to_the_page(client, case, person, place):
    enter(case, person)
    answer = post(client, case, sent_by(page_of(client, case, place)), in_part=False)
    assert answer.status_code == 302
    assert answer["Location"] == f"{address_of(case, place)}#remedy-years"
    words = client.get(answer["Location"]).content.decode()
    assert "load the page again to see how far it is" in words
    do(case)
    assert "In a year:" in page_of(client, case, place)


def test_a_page_of_nothing_goes_back_to_the_premises(client, case, person):
    enter(case, person)
    sent = sent_by(page_of(client, case))
    answer = post(client, case, {**sent, "of": "//elsewhere.example"}, in_part=False)
    assert answer["Location"].startswith(reverse("premises", args=[case.premises.key]))


def test_what_changes_nothing_says_so_and_asking_the_operator_says_nothing(client, person):
    """2 x 3,680 W on one phase stand exactly at 32 A, where the operator may be asked."""
    units = [
        {
            "id": name, "source": source, "rated_w": 3680, "phases": ["L1"], "type_tested": "full",
            "standard": "G98", "type_test_reference": f"INV/{name}", "can_island": False,
        }
        for name, source in (("pv-1", "pv"), ("bat-1", "storage"))
    ]  # fmt: skip
    case = make_premises(
        units=units,
        limits={"export": {"value": 16000, "basis": "ma_per_phase", "type_tested": True}},
    )
    make_remedy_years(case, by=person)
    words = page_of(client, case)
    items = re.findall(r"<li>(?:(?!</li>).)*</li>", words, re.S)
    asking = [each for each in items if "operator’s word" in each or "operator&#x27;s word" in each]
    assert asking
    assert not any("in-a-year" in each for each in asking)
    assert any("Nothing changes in the energy of a year." in each for each in items)


def test_what_the_design_lacks_is_said_once(client, person):
    case = make_premises(arrays=[{"unit_id": "pv-1"}])
    enter(case, person)
    words = page_of(client, case)
    assert "can’t be told: Needs the peak power of the panels behind pv-1." in words
    assert words.count("behind pv-1.") == 1
    answer = post(client, case, {"of": "premises", "seen": ""}).content.decode()
    assert "Needs the peak power of the panels behind pv-1." in answer


def test_a_page_that_is_out_of_date_says_so(client, case, person):
    enter(case, person)
    sent = sent_by(page_of(client, case, "review"))
    post(client, case, sent)
    Array.objects.update(peak_w=6000)
    make_remedy_years(case, by=person)
    for answer in (part_of(client, case, **sent), post(client, case, sent)):
        words = answer.content.decode()
        assert "has changed since this page was opened" in words
        assert f'href="{address_of(case, "review")}"' in words
        assert "hx-trigger" not in words
        assert "In a year" not in words
    again = post(client, case, sent, in_part=False)
    assert "has changed since" in client.get(again["Location"]).content.decode()


def test_a_long_wait_has_a_button(client, case, person):
    enter(case, person)
    sent = sent_by(page_of(client, case))
    post(client, case, sent)
    assert "Ask for the rest again" not in part_of(client, case, **sent).content.decode()
    Work.objects.filter(kind=REMEDIES).update(asked_at=timezone.now() - dt.timedelta(minutes=2))
    words = part_of(client, case, **sent).content.decode()
    assert "Nothing was done for a while" in words
    assert sent_by(words) == sent
    assert "Ask for the rest again" not in post(client, case, sent).content.decode()


def test_a_failure_has_a_button_and_is_not_asked_again_by_itself(client, case, person):
    enter(case, person)
    sent = sent_by(page_of(client, case))
    post(client, case, sent)
    Work.objects.filter(kind=REMEDIES).update(done_at=timezone.now(), fault="The disk is <full>.")
    for words in (page_of(client, case), part_of(client, case, **sent).content.decode()):
        assert "was not worked out: The disk is &lt;full&gt;." in words
        assert "Try it again" in words
        assert "hx-trigger" not in words.split('id="remedy-years"')[1].split("</form>")[0]


def test_marks_that_nobody_asked_for_are_not_put_back(client, case, person):
    make_remedy_years(case, by=person)
    row = Work.objects.get(kind=REMEDIES)
    words = part_of(client, case, seen=row.digest, mark=["<b>", "0" * 16, ""]).content.decode()
    assert 'id="year-' not in words
    assert "<b>" not in words


def test_the_sheet_says_nothing_of_energy(client, case, person):
    make_remedy_years(case, by=person)
    words = client.get(reverse("design-sheet", args=[case.design.key])).content.decode()
    assert "What would change it" in words or 'class="remedies"' in words
    assert "remedy-years" not in words
    assert "in-a-year" not in words


@PLACES
def test_a_page_takes_two_queries_for_it_and_looking_how_far_it_is_few(
    client, case, person, place, django_assert_max_num_queries
):
    enter(case, person)
    sent = sent_by(page_of(client, case, place))
    post(client, case, sent)
    with CaptureQueriesContext(connection) as found:
        page_of(client, case, place)
    tables = [model._meta.db_table for model in (EnergyInputs, Work)]
    ours = [
        each["sql"] for each in found if any(f'FROM "{table}"' in each["sql"] for table in tables)
    ]
    assert len(ours) == 2
    # One of them asks for the person's roles: an installer opens only what is given to him.
    with django_assert_max_num_queries(7):
        part_of(client, case, **sent)
