"""Moves as rows: who may, what is missing, what follows from other acts, and what is taken back."""

import datetime as dt

import pytest
from django.utils import timezone

from sites.cases.models import Case
from sites.cases.moves import ACTS, replay
from sites.cases.writing import archive, begin_second, fetch_back, hand_over, move
from sites.house.models import Event
from sites.house.refusals import NotAllowedError, RefusedError
from sites.packs.reading.packs import draft_of
from sites.packs.writing.issuing import ObstructedError, issue_pack
from sites.premises.models import Unit
from sites.premises.writing.commissioning import Declared, Installed, commission
from sites.review.writing.replies import take_back_reply
from tests.sites.making import make_person, make_premises, make_reply
from tests.sites.review.making import preview_of, small

pytestmark = pytest.mark.django_db


def fresh(case: Case) -> Case:
    return Case.objects.select_related("application", "premises", "design", "kept").get(pk=case.pk)


def go(case: Case, by, *acts: str) -> Case:
    for act in acts:
        on = timezone.localdate() if ACTS[act].day else None
        move(case=fresh(case), act=act, by=by, reason="Invented reason.", on=on)
    return fresh(case)


def issue(case: Case, by) -> None:
    case = fresh(case)
    issue_pack(application=case.application, seen=preview_of(case), declaration=None, by=by)


def install(case: Case, by, day: dt.date) -> Case:
    case = fresh(case)
    units = Unit.objects.filter(design=case.design)
    installed = {unit.key: Installed(day, f"INV-{unit.label}") for unit in units}
    declared = Declared("Invented Fitter", day)
    commission(case=case, installed=installed, declared=declared, seen=case.move_number, by=by)
    return fresh(case)


def test_an_application_goes_its_whole_way(engineer):
    case = make_premises(by=engineer)
    go(case, engineer, "to-engineer")
    issue(case, engineer)
    assert fresh(case).state == "ready-to-send"
    go(case, engineer, "send", "start-clock")
    with pytest.raises(ObstructedError, match="is with the operator"):
        issue(case, engineer)
    make_reply(case, by=engineer, kind="agreed", conditions=[])
    assert (fresh(case).state, fresh(case).kept.next_step) == ("accepted", "book")
    go(case, engineer, "book")
    done = install(case, engineer, timezone.localdate())
    assert (done.state, done.kept.next_step) == ("commissioned", "issue-confirmation")
    # Agreed and commissioned: the pack confirms, and does not ask to connect once more.
    draft = draft_of(done.application)
    assert draft.pack is not None
    assert draft.pack.procedure.kind == "confirmation"
    issue(case, engineer)
    done = go(case, engineer, "confirm", "complete")
    assert (done.state, done.kept.next_step) == ("completed", "nothing")
    moves = list(case.moves.order_by("number").values_list("act", "from_state", "to_state"))
    assert replay(moves).state == "completed"
    events = Event.objects.filter(subject_key=case.key, act="case.moved")
    assert events.count() == len(moves) - 1


def test_a_notification_goes_its_own_way(engineer):
    case = small()
    with pytest.raises(ObstructedError, match="Enter the commissioning first"):
        issue(case, engineer)
    ready = go(case, engineer, "clear")
    assert (ready.state, ready.way) == ("ready-to-install", "notification")
    day = timezone.localdate() - dt.timedelta(days=2)
    done = install(case, engineer, day)
    assert done.kept.next_step == "issue-notification"
    # EREC G98 Issue 2: told within 28 days of commissioning.
    assert done.kept.due_on == day + dt.timedelta(days=28)
    with pytest.raises(RefusedError, match="The pack that tells of the work"):
        go(case, engineer, "notify")
    issue(case, engineer)
    assert go(case, engineer, "notify", "complete").state == "completed"


def test_who_comes_second_moves_nothing(engineer):
    case = make_premises(by=engineer)
    first, second = fresh(case), fresh(case)
    move(case=first, act="to-engineer", by=engineer)
    with pytest.raises(RefusedError, match="Engineer review"):
        move(case=second, act="withdraw", by=engineer, reason="Not wanted.")
    assert case.moves.count() == 2


def test_role_reason_and_place_are_asked_for(office, engineer):
    case = small()
    with pytest.raises(NotAllowedError):
        move(case=fresh(case), act="clear", by=office)
    with pytest.raises(NotAllowedError):
        move(case=fresh(case), act="withdraw", by=make_person("installer"), reason="x")
    with pytest.raises(RefusedError, match="Why") as refused:
        move(case=fresh(case), act="withdraw", by=office, reason="  ")
    assert refused.value.field == "reason"
    with pytest.raises(RefusedError, match="does not follow"):
        move(case=fresh(case), act="complete", by=office, reason="x")
    assert case.moves.count() == 1


def test_an_answer_taken_back_takes_its_move_back(engineer):
    case = make_premises(by=engineer)
    issue(case, engineer)
    # Who has an answer has sent the application, though nobody noted it.
    reply = make_reply(
        case, by=engineer, kind="cap-export", written="5 kW", value=5000, basis="w_total"
    )
    capped = fresh(case)
    assert (capped.state, capped.kept.stops) == ("offer-received", 1)
    assert capped.kept.next_step == "answer-offer"
    take_back_reply(reply=reply, by=engineer)
    assert (fresh(case).state, fresh(case).kept.stops) == ("sent", 0)


def test_plant_that_runs_without_agreement_is_kept_as_it_is(engineer):
    case = make_premises(by=engineer)
    early = go(case, engineer, "energised-early")
    assert (early.state, early.kept.stops, early.kept.next_step) == ("preparing", 1, "clear-stops")
    told = go(case, engineer, "early-told")
    assert (told.early, told.kept.stops) == ("told", 0)


def test_withdrawn_archived_and_handed_over_and_back(office, engineer):
    case = make_premises(by=office)
    go(case, office, "withdraw")
    assert go(case, office, "undo").state == "preparing"
    archive(case=fresh(case), by=office)
    assert fresh(case).archived_at is not None
    fetch_back(case=fresh(case), by=office)
    assert fresh(case).archived_at is None
    hand_over(case=fresh(case), to=engineer, by=office)
    assert fresh(case).owner == engineer
    engineer.is_active = False
    engineer.save()
    with pytest.raises(RefusedError, match="works here no more"):
        hand_over(case=fresh(case), to=engineer, by=office)


def test_a_second_case_begins_when_the_first_is_over(office):
    case = make_premises(by=office)
    with pytest.raises(RefusedError, match="Preparing"):
        begin_second(case=fresh(case), by=office)
    go(case, office, "withdraw")
    second = begin_second(case=fresh(case), by=office)
    assert second.application.reference == f"{case.application.reference}/2"
    assert fresh(second).kept.next_step == "send-to-engineer"
