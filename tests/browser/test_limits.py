"""Export limits tried in the browser: begun, left, stopped, gone on with, without loading again."""

import pytest
from playwright.sync_api import expect

from sites.house.models import Work
from sites.house.models.work import LIMITS
from tests.sites.making import make_energy_years, make_person, make_premises

pytestmark = pytest.mark.browser


def test_limits_are_begun_stopped_and_gone_on_with(window, work_waiting_tasks):
    person = make_person()
    case = make_premises(by=person)
    make_energy_years(case, by=person)
    page = window(person)
    page.goto(f"/premises/{case.premises.key}/designs/")
    page.get_by_role("link", name="What each export limit would cost in a year").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(
        "What each export limit would cost in a year"
    )
    page.get_by_label("Step from one limit to the next").fill("")
    page.get_by_label("Or how many limits").fill("5")
    page.get_by_role("button", name="Work them out").click()
    expect(page.get_by_text("0 of 6 limits worked out.")).to_be_visible()
    page.get_by_role("button", name="Stop here").click()
    expect(page.get_by_text("Stopped: 0 of 6 limits are worked out.")).to_be_visible()
    # The worker comes to the task only now, and leaves what was stopped alone.
    work_waiting_tasks()
    assert Work.objects.get(kind=LIMITS).results == []
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_text("0 of 6 limits worked out.")).to_be_visible()
    work_waiting_tasks()
    # The page asks by itself how far it is, and comes anew with the figures.
    expect(page.get_by_role("heading", name="What was found")).to_be_visible()
    expect(page.get_by_role("rowheader", name="no limit")).to_be_visible()
