"""Looking again at all sites: beginning it, how far it is, what it found, and the work list."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from sites.house.models import Event
from sites.house.writing.working_out import work_out
from sites.looks.models import ScreeningRow, ScreeningRun
from sites.looks.writing.looking import look_for_changes
from tests.sites.looks.cases import NOTIFY, SHORT, enter_wider
from tests.sites.making import (
    make_pack_row,
    make_person,
    make_premises,
    make_screening,
    make_touched,
)

# Each database puts rows in order in its own way.
pytestmark = [pytest.mark.django_db, pytest.mark.database]
TODAY = timezone.localdate()
DAY = dt.timedelta(days=1)


@pytest.fixture
def engineer():
    return make_person("engineer")


@pytest.fixture
def as_engineer(client, engineer):
    client.force_login(engineer)
    return client


def text_of(answer):
    return " ".join(answer.content.decode().split())


def do(run):
    for key, digest in run.parts.values_list("key", "digest"):
        work_out(str(key), digest)


def page_of(client, run):
    return text_of(client.get(reverse("screening", args=[run.key])))


class TestBeginning:
    def test_an_engineer_begins_it_and_lands_on_its_page(self, as_engineer):
        make_premises()
        answer = as_engineer.post(reverse("screenings"), {"on": "2027-03-01"})
        run = ScreeningRun.objects.get()
        assert answer["Location"] == reverse("screening", args=[run.key])
        assert run.on == dt.date(2027, 3, 1)
        page = page_of(as_engineer, run)
        assert "Rules of 1 March 2027" in page
        assert "0 of 1 sites looked at" in page
        # Pressed once more, it is the same run.
        again = as_engineer.post(reverse("screenings"), {"on": "2027-03-01"})
        assert again["Location"] == answer["Location"]

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ("", "Give the day whose rules are meant."),
            ("soon", "Give the date as day, month and year, such as 24/11/2026."),
        ],
    )
    def test_a_date_that_is_none(self, as_engineer, typed, says):
        answer = as_engineer.post(reverse("screenings"), {"on": typed})
        assert answer.status_code == 422
        page = text_of(answer)
        assert page.count(says) == 2  # at the box and in the summary
        assert '<a href="#screening-on">' in page
        assert f'value="{typed}"' in page or not typed
        assert not ScreeningRun.objects.exists()

    def test_the_office_reads_and_does_not_begin(self, client):
        client.force_login(make_person("office"))
        page = text_of(client.get(reverse("screenings")))
        assert "An engineer begins it" in page
        assert "Look again</button>" not in page
        assert client.post(reverse("screenings"), {"on": "2027-03-01"}).status_code == 403


class TestProgress:
    def test_while_it_goes_on_the_page_asks_again(self, as_engineer, engineer):
        make_premises()
        run = make_screening(by=engineer)
        part = text_of(as_engineer.get(reverse("screening-progress", args=[run.key])))
        assert part.startswith('<div id="progress" hx-get=')
        assert '<progress class="how-far" id="how-far" max="1" value="0">0 of 1</progress>' in part
        assert "You can leave this page" in part
        assert "Nothing was done for a while" not in part

    def test_at_its_end_the_page_is_loaded_anew(self, as_engineer, engineer):
        make_premises()
        run = make_screening(by=engineer)
        do(run)
        answer = as_engineer.get(reverse("screening-progress", args=[run.key]))
        assert answer["HX-Refresh"] == "true"
        assert "hx-get" not in answer.content.decode()
        page = page_of(as_engineer, run)
        assert "1 site looked at; for 0 something else follows." in page
        assert "Nowhere: the same follows for every site." in page

    def test_where_no_worker_is_the_rest_can_be_asked_for(self, as_engineer, engineer):
        make_premises()
        run = make_screening(by=engineer)
        ScreeningRun.objects.update(asked_at=timezone.now() - dt.timedelta(minutes=2))
        assert "Ask for the rest again" in page_of(as_engineer, run)
        answer = as_engineer.post(reverse("screening-rest", args=[run.key]), follow=True)
        assert answer.redirect_chain == [(reverse("screening", args=[run.key]), 302)]
        assert Event.objects.filter(act="screening.asked-again").count() == 1

    def test_what_could_not_be_looked_at_is_said(self, as_engineer, engineer):
        make_premises()
        run = make_screening(by=engineer)
        run.parts.update(done_at=timezone.now(), fault="It was begun 3 times.")
        ScreeningRun.objects.update(ended_at=timezone.now(), done=1)
        assert "1 site: It was begun 3 times." in page_of(as_engineer, run)


class TestWhatWasFound:
    def test_each_site_with_before_and_after(self, as_engineer, engineer):
        case = make_premises(on_date=TODAY.isoformat())
        make_pack_row(case, by=engineer)
        enter_wider(engineer, TODAY + 10 * DAY)
        run = make_screening(by=engineer, on=TODAY + 10 * DAY)
        do(run)
        page = page_of(as_engineer, run)
        assert "1 site looked at; for 1 something else follows." in page
        assert f'data-label="Before">{SHORT}<' in page
        assert f'data-label="After">{NOTIFY}<' in page
        assert f"Procedure: {NOTIFY} instead of {SHORT}." in page
        assert reverse("premises", args=[case.premises.key]) in page
        assert "Revision 1 is issued and keeps its rules" in page

    def test_the_list_names_each_look(self, as_engineer, engineer):
        make_premises()
        make_screening(by=engineer, on=dt.date(2027, 3, 1))
        do(look_for_changes())
        page = text_of(as_engineer.get(reverse("screenings")))
        assert "2 times, newest first" in page
        assert "Rules of 1 March 2027" in page
        assert "What has changed in the rules, and what will" in page
        assert "0 of 1" in page

    def test_names_are_shown_and_not_run(self, as_engineer, engineer):
        case = make_premises(on_date=TODAY.isoformat(), reference="<script>alert(1)</script>")
        make_touched(case)
        page = page_of(as_engineer, ScreeningRun.objects.get())
        assert "<script>alert(1)" not in page
        assert "&lt;script&gt;alert(1)" in page

    def test_all_are_taken_off_the_work_list_at_once(self, as_engineer, engineer):
        row = make_touched(make_premises())
        page = page_of(as_engineer, row.run)
        assert "One change stands on the work list until somebody has looked at it" in page
        address = reverse("screening-all-looked", args=[row.run.key])
        page = text_of(as_engineer.post(address, follow=True))
        assert "Noted: the changes of rules were looked at." in page
        assert f"{engineer} looked at it on" in page
        assert "I have looked at" not in page
        page = text_of(as_engineer.post(address, follow=True))
        assert "These changes of rules were looked at already." in page

    @pytest.mark.parametrize("name", ["screenings", "screening", "work-list"])
    def test_the_queries_do_not_grow_with_rows(self, as_engineer, name):
        def queries():
            enter = [run.key] if name == "screening" else []
            with CaptureQueriesContext(connection) as captured:
                assert as_engineer.get(reverse(name, args=enter)).status_code == 200
            return len(captured)

        run = make_touched(make_premises()).run
        queries()
        few = queries()
        for _ in range(9):
            make_touched(make_premises())
        run = ScreeningRun.objects.order_by("-asked_at")[0]
        ScreeningRow.objects.update(run=run)
        queries()
        assert queries() == few


class TestWorkList:
    def listed(self, client, **asked):
        return text_of(client.get(reverse("work-list"), asked))

    def test_what_the_rules_touch_stands_beside_the_state(self, as_engineer):
        make_touched(make_premises())
        make_premises(reference="NOT-TOUCHED")
        page = self.listed(as_engineer)
        assert "The rules have changed, or will soon, for 1 case." in page
        assert "Rules changed: now Short application" in page
        assert "NOT-TOUCHED" in page

    def test_what_is_to_come_has_its_day(self, as_engineer):
        make_touched(make_premises(), coming=dt.date(2027, 1, 1))
        assert "From 1 January 2027: Short application" in self.listed(as_engineer)

    def test_the_filter_keeps_only_those(self, as_engineer):
        make_touched(make_premises(reference="TOUCHED"))
        make_premises(reference="LEFT-ALONE")
        page = self.listed(as_engineer, open="touched")
        assert "TOUCHED</a>" in page
        assert "LEFT-ALONE" not in page
        assert 'Touched by a change of rules <span aria-hidden="true">×</span>' in page

    def test_where_nothing_is_touched_nothing_is_said(self, as_engineer):
        make_premises()
        assert "The rules have changed" not in self.listed(as_engineer)
        assert "No case fits" in self.listed(as_engineer, open="touched")


class TestPageOfThePremises:
    def test_it_says_what_changes_and_an_engineer_takes_it_off(self, as_engineer, engineer):
        case = make_premises(on_date=TODAY.isoformat())
        do(look_for_changes())
        enter_wider(engineer, TODAY)
        do(look_for_changes())
        address = reverse("premises", args=[case.premises.key])
        page = text_of(as_engineer.get(address))
        assert f"Rules changed: now {NOTIFY}.</strong> Before: {SHORT}." in page
        assert f"<li>Procedure: {NOTIFY} instead of {SHORT}.</li>" in page
        row = ScreeningRow.objects.get()
        answer = as_engineer.post(reverse("screening-looked", args=[row.key]), follow=True)
        assert answer.redirect_chain == [(address, 302)]
        page = text_of(answer)
        assert "Noted: the change of rules was looked at." in page
        assert "Rules changed" not in page
        events = text_of(as_engineer.get(reverse("events", args=[case.premises.key])))
        assert f"{engineer} looked at what a change of rules does" in events
        # Pressed once more, it says so.
        page = text_of(as_engineer.post(reverse("screening-looked", args=[row.key]), follow=True))
        assert "This change of rules was looked at already." in page

    def test_the_office_reads_it(self, client):
        case = make_premises()
        make_touched(case)
        client.force_login(make_person("office"))
        page = text_of(client.get(reverse("premises", args=[case.premises.key])))
        assert "Rules changed: now Short application" in page
        assert "Export figure: 3 kW instead of 3.6 kW." in page
        assert "I have looked at it" not in page


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [1280, 360])
def test_in_a_browser(window, axe, width):
    """No fault under axe-core, nothing stopped by the policy, and the page follows to the end."""
    engineer = make_person("engineer")
    case = make_premises(on_date=TODAY.isoformat())
    make_touched(case)
    enter_wider(engineer, TODAY + 10 * DAY)
    page = window(engineer, width=width)
    page.goto(reverse("work-list"))
    assert axe(page) == []
    page.goto(reverse("premises", args=[case.premises.key]))
    assert axe(page) == []
    page.goto(reverse("screenings"))
    assert axe(page) == []
    page.fill("#screening-on", (TODAY + 10 * DAY).isoformat())
    page.click("text=Look again >> nth=-1")
    page.wait_for_selector("progress")
    assert axe(page) == []
    do(ScreeningRun.objects.filter(kind="date").get())
    page.wait_for_selector(".note-done")
    assert "1 site looked at; for 1 something else follows." in page.inner_text("main")
    assert NOTIFY in page.inner_text("table")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert page.faults == []
