"""What is kept of the decision on a case follows every act on its facts."""

import datetime as dt

import pytest
from django.utils import timezone

from sites.cases.models import Case, KeptDecision
from sites.deciding.reading.deciding import decide_case
from sites.review.reading.kept import keeping, stale_decisions
from sites.review.writing.nightly import compare_sample, renew_stale
from sites.review.writing.verdicts import decide_finding
from tests.sites.making import island, make_local_entry, make_premises, make_reply
from tests.sites.review.making import seen_of

pytestmark = pytest.mark.django_db
RESTS_ON = {"id", "case_id"}


def columns(kept: KeptDecision) -> dict[str, object]:
    return {
        field.attname: getattr(kept, field.attname)
        for field in KeptDecision._meta.concrete_fields
        if field.attname not in RESTS_ON
    }


def as_decided_anew(case: Case) -> bool:
    case = Case.objects.get(pk=case.pk)
    return columns(case.kept) == columns(keeping(case))


def test_a_new_case_has_its_decision_and_its_first_move(office):
    case = make_premises(by=office)
    decision = decide_case(case).decision
    assert decision is not None
    kept = Case.objects.get(pk=case.pk).kept
    assert (kept.procedure, kept.procedure_title) == (
        decision.procedure.key,
        decision.procedure.title,
    )
    assert (kept.stops, kept.to_decide, kept.missing, kept.next_step) == (
        0, 0, 0, "send-to-engineer",
    )  # fmt: skip
    (first,) = case.moves.all()
    assert (first.number, first.from_state, first.to_state, first.by) == (
        1,
        "",
        "preparing",
        office,
    )
    assert (case.state, case.owner) == ("preparing", office)


def test_a_verdict_and_a_cap_renew_it(engineer):
    case = make_premises(**island())
    assert Case.objects.get(pk=case.pk).kept.to_decide == 1
    seen = seen_of(case, "can-island")
    decide_finding(case=case, seen=seen, reason="Change-over switch seen.", by=engineer)
    assert Case.objects.get(pk=case.pk).kept.to_decide == 0
    # 7.2 kW may leave the site; 5 kW is the most that the operator allows.
    make_reply(case, by=engineer, kind="cap-export", written="5 kW", value=5000, basis="w_total")
    kept = Case.objects.get(pk=case.pk).kept
    assert (kept.stops, kept.next_step) == (1, "clear-stops")
    assert as_decided_anew(case)
    assert not stale_decisions().exists()


def test_what_it_does_not_follow_makes_it_stale(office, engineer):
    case = make_premises(by=office)
    others = KeptDecision.objects.filter(case=case)
    others.update(premises_version=99)
    assert list(stale_decisions()) == list(others)
    others.update(premises_version=case.premises.version, good_until=yesterday())
    assert list(stale_decisions()) == list(others)
    others.update(good_until=timezone.localdate())
    assert not stale_decisions().exists()
    make_local_entry(by=engineer)
    assert list(stale_decisions()) == list(others)


def yesterday() -> dt.date:
    return timezone.localdate() - dt.timedelta(days=1)


def test_it_ends_before_the_next_day_that_the_site_names(office):
    """A certificate or a planned day may turn a finding; nothing is kept beyond the day before."""
    today = timezone.localdate()
    near = make_premises(by=office, planned_on=str(today + dt.timedelta(days=3)))
    far = make_premises(by=office, planned_on=str(today + dt.timedelta(days=90)))
    assert Case.objects.get(pk=near.pk).kept.good_until <= today + dt.timedelta(days=2)
    assert Case.objects.get(pk=far.pk).kept.good_until <= today + dt.timedelta(days=7)


def test_the_night_renews_what_is_stale_and_names_what_differs(office):
    stale, wrong = make_premises(by=office), make_premises(by=office)
    KeptDecision.objects.filter(case=stale).update(good_until=yesterday())
    KeptDecision.objects.filter(case=wrong).update(stops=7)
    assert renew_stale() == "1 decision renewed."
    assert not stale_decisions().exists()
    said = compare_sample()
    assert said.startswith("2 decisions decided anew, 1 differ")
    assert f"{wrong} (stops)" in said
