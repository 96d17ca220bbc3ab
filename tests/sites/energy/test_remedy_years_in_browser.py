"""What each remedy costs in energy, in a real browser: asked for by the page itself, and put at its
place without disturbing who reads or types."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from sites.energy.writing.years import Given, enter_inputs
from sites.house.models import Work
from sites.house.models.work import REMEDIES
from sites.house.writing.working_out import work_out
from tests.sites.making import make_person, make_premises, make_remedy_years, make_reply

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WIDTHS = pytest.mark.parametrize("width", [1280, 360])


@pytest.fixture
def person(transactional_db):
    return make_person("engineer")


@pytest.fixture
def case(person):
    case = make_premises(by=person)
    make_reply(case, by=person, kind="cap-export", written="3 kW", value=3000, basis="w_total")
    given = Given(region=3, yearly_use_kwh=3500)
    enter_inputs(premises=case.premises, given=given, seen="", by=person)
    return case


def address_of(case, place):
    return {
        "premises": reverse("premises", args=[case.premises.key]),
        "case-review": reverse("case-review", args=[case.key]),
        "case-answers": reverse("case-answers", args=[case.key]),
    }[place]


def overflow(page):
    return page.evaluate("document.documentElement.scrollWidth - window.innerWidth")


def do(case):
    row = Work.objects.get(kind=REMEDIES)
    assert work_out(str(row.key), row.digest)


@pytest.mark.parametrize("place", ["premises", "case-review", "case-answers"])
def test_sentences_come_by_themselves(window, axe, person, case, place):
    page = window(person)
    page.goto(address_of(case, place))
    expect(page.locator("progress#remedy-years-far")).to_be_visible()
    assert page.locator(".in-a-year:visible", has_text="In a year:").count() == 0
    assert axe(page) == []

    more = page.locator("details.more:has(ul.remedies)")
    folded = more.count() == 1
    assert folded or place == "case-answers"  # few changes meet the operator's answer
    if folded:
        more.locator("summary").click()
    last = page.get_by_role("button", name="Save as a design").last
    last.focus()
    page.evaluate("window.still = true")
    do(case)
    expect(page.locator(".in-a-year", has_text="In a year:").first).to_be_visible()
    expect(page.locator("progress#remedy-years-far")).to_have_count(0)
    assert not folded or more.evaluate("found => found.open")
    assert last.evaluate("found => found === document.activeElement")
    assert page.evaluate("window.still")
    held = page.locator(".in-a-year", has_text="held back by the export limit")
    expect(held.first).to_be_visible()
    expect(page.locator("#remedy-years")).to_contain_text("a typical year of the region")
    assert axe(page) == []
    assert page.faults == []


def test_a_remedy_that_says_what_it_costs_is_made_a_design(window, person, case):
    make_remedy_years(case, by=person)
    page = window(person)
    page.goto(address_of(case, "premises"))
    page.get_by_role("button", name="Save as a design").first.click()
    expect(page.get_by_text("Made from ")).to_be_visible()
    assert page.faults == []


def test_without_scripts_a_button_does_it(chromium, live_server, person, case):
    from tests.sites.conftest import session_cookie

    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    context.add_cookies([session_cookie(person, live_server.url)])
    page = context.new_page()
    page.goto(address_of(case, "case-review"))
    page.get_by_role("button", name="Work out what each costs in energy").click()
    page.wait_for_url("**/review/#remedy-years")
    assert "load the page again to see how far it is" in page.inner_text("#remedy-years")
    do(case)
    page.reload()
    assert "In a year:" in page.inner_text("ul.remedies >> nth=0")
    context.close()


@pytest.mark.looks
@WIDTHS
@pytest.mark.parametrize("place", ["premises", "case-review", "case-answers"])
def test_no_page_has_a_fault(window, axe, person, case, place, width):
    page = window(person, width=width)
    for done in (False, True):
        if done:
            do(case)
        else:
            make_remedy_years(case, by=person, done=False)
        page.goto(address_of(case, place))
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        assert axe(page) == []
        assert page.faults == []
        assert overflow(page) <= 0
