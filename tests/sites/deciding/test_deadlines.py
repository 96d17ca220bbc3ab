"""By when each step is due, on the page of a premises and on its review."""

import datetime as dt

import pytest
from django.urls import reverse
from msgspec import structs

from connections.facts.decision import Period, Step
from connections.rulebook.rulebook_errors import RulebookError
from sites.deciding.reading.deadlines import due_steps
from sites.deciding.reading.deciding import DecidedSite, decide_case
from sites.premises.models import Premises, Unit
from tests.sites.looks.cases import days_off, enter
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db


def notify_home(**changes):
    """PV of 3.6 kW alone: connect and notify, within 28 days after commissioning."""
    return make_premises(units=[home()["units"][0]], storage=[], **changes)


def due(case):
    """The time limits in words, empty ones left out."""
    case.premises.refresh_from_db()
    return [each.due for each in due_steps(decide_case(case)) if each.due]


def test_after_a_planned_commissioning():
    # 12 February 2027 + 28 days: February has 28, so Friday 12 March.
    assert due(notify_home(planned_on="2027-02-12")) == [
        "To be sent by Friday 12 March 2027 (28 days after commissioning, planned for 12 February "
        "2027)."
    ]


def test_after_the_first_commissioning_of_new_plant():
    case = make_premises()
    Unit.objects.filter(premises=case.premises, label="pv-1").update(commissioned_on="2026-11-28")
    Unit.objects.filter(premises=case.premises, label="bat-1").update(commissioned_on="2026-12-01")
    # 28 November + 28 days: Saturday 26 December.
    assert due(case)[-1] == (
        "To be sent by Saturday 26 December 2026 (28 days after commissioning on 28 November 2026, "
        "no working day)."
    )


def test_after_a_month_the_days_run_from_its_first():
    case = make_premises()
    Unit.objects.filter(premises=case.premises, label="pv-1").update(
        commissioned_on="2026-11-01", commissioned_to="2026-11-30"
    )
    # 1 November + 28 days: Sunday 29 November.
    assert due(case)[-1] == (
        "To be sent by Sunday 29 November 2026 (28 days after commissioning in November "
        "2026, counted from its first day, no working day)."
    )


def test_where_no_day_is_planned():
    case = notify_home()
    Premises.objects.update(planned_on=None)
    assert due(case) == ["To be sent within 28 days after commissioning; no date is planned yet."]


@pytest.mark.parametrize(
    ("nation", "answer", "whose"),
    [
        # Sent on Tuesday 24 November 2026: Wednesday is day 1, Tuesday 8 December day 10; Scotland
        # has St Andrew's Day, Monday 30 November, between.
        ("england", "Tuesday 8 December 2026", "England"),
        ("scotland", "Wednesday 9 December 2026", "Scotland"),
        ("", "Tuesday 8 December 2026", "England, since no nation is given"),
    ],
)
def test_an_answer_in_working_days_of_the_nation(nation, answer, whose):
    case = make_premises(on_date="2026-11-24")
    Premises.objects.update(nation=nation)
    assert due(case)[0] == (
        f"The answer is due by {answer} (10 working days after it is sent, if that is on "
        f"24 November 2026, with the bank holidays of {whose})."
    )


def test_work_that_is_planned_before_the_answer_is_told_on_every_page(client):
    client.force_login(make_person("engineer"))
    case = make_premises(on_date="2026-11-24", planned_on="2026-12-07")
    told = "The work is planned for 7 December 2026, before the answer is due. Book nobody yet."
    pages = (
        ("premises", case.premises.key),
        ("design-sheet", case.design.key),
        ("case-review", case.key),
    )
    for name, key in pages:
        assert told in client.get(reverse(name, args=[key])).content.decode(), name


def test_a_day_that_cannot_be_told_is_said():
    case = make_premises(on_date="2026-11-24")
    decided = decide_case(case)
    assert decided.decision is not None
    step = decided.decision.steps[0]
    odd = Step(
        step.when, step.what, "", True, Period(3, "weeks", "submission"), (), (), "", step.says
    )
    changed = DecidedSite(
        decided.site, decided.book, structs.replace(decided.decision, steps=(odd,)), proposed=()
    )
    (said,) = due_steps(changed)
    assert said.due == (
        "The answer is due 3 weeks after it is sent, if that is on 24 November 2026; the day can't "
        'be told: "weeks" is no unit of a period.'
    )


def test_a_day_off_that_is_configured():
    """An invented entry: Wednesday 2 December 2026 is no working day, so day 10 is one later."""
    enter(make_person("engineer"), days_off(dt.date(2026, 1, 1), "2026-12-02"))
    case = make_premises(on_date="2026-11-24")
    assert due(case)[0].startswith("The answer is due by Wednesday 9 December 2026 (10 working")


def test_a_day_off_that_is_no_date_is_refused():
    with pytest.raises(RulebookError, match='"2 December" is not a date; write days off like'):
        enter(make_person("engineer"), days_off(dt.date(2026, 1, 1), "2 December"))


def test_the_pages_show_it(client):
    client.force_login(make_person("engineer"))
    case = notify_home(planned_on="2027-02-12")
    for name, key in (("premises", case.premises.key), ("case-review", case.key)):
        page = client.get(reverse(name, args=[key])).content.decode()
        assert '<span class="due">To be sent by Friday 12 March 2027 (28 days after' in page, name
