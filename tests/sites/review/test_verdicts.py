"""Deciding findings, entering agreements, asking and answering."""

import datetime as dt

import pytest
from django.utils import timezone

from sites.deciding.reading.deciding import decide_case
from sites.house.models import Event
from sites.house.refusals import FactsChangedError, NotAllowedError, RefusedError
from sites.house.uploads import examine
from sites.premises.models import Unit
from sites.review.models import Attachment, Question, Verdict
from sites.review.reading.verdicts import findings_of
from sites.review.writing.attachments import add_attachment, take_out_attachment
from sites.review.writing.verdicts import (
    FindingSeen,
    answer_question,
    ask_office,
    decide_finding,
    enter_agreement,
)
from tests.sites.making import home, make_premises
from tests.sites.review.making import acts, capped, make_pdf, make_picture, seen_of


def answer_to(case, finding_id):
    """The finding with the verdict that counts and the one that no longer does."""
    decision = decide_case(case).decision
    assert decision is not None
    (found,) = (f for f in findings_of(case, decision) if f.finding.id == finding_id)
    return found


@pytest.fixture
def island_seen(flagged):
    return seen_of(flagged, "can-island")


def test_a_decision_counts_while_its_facts_are_the_same(flagged, engineer, island_seen):
    verdict = decide_finding(
        case=flagged, seen=island_seen, reason="  Changeover fitted. ", by=engineer
    )
    found = answer_to(flagged, "can-island")
    assert (found.verdict, found.outdated, found.is_open) == (verdict, None, False)
    assert (verdict.kind, verdict.reason, verdict.by) == (
        "decided",
        "Changeover fitted.",
        engineer,
    )
    assert acts(flagged) == ["finding.decided"]


def test_other_facts_outdate_it_and_the_old_ones_bring_it_back(flagged, engineer, island_seen):
    verdict = decide_finding(case=flagged, seen=island_seen, reason="Fitted.", by=engineer)
    battery = Unit.objects.filter(premises=flagged.premises, label="bat-1")
    battery.update(can_island=None)  # now nobody knows: the same finding, on another fact
    found = answer_to(flagged, "can-island")
    assert (found.verdict, found.outdated, found.is_open) == (None, verdict, True)
    battery.update(can_island=True)
    assert answer_to(flagged, "can-island").verdict == verdict


def test_facts_that_the_finding_did_not_read_do_not_outdate_it(flagged, engineer, island_seen):
    decide_finding(case=flagged, seen=island_seen, reason="Fitted.", by=engineer)
    Unit.objects.filter(premises=flagged.premises, label="pv-1").update(rated_w=3000)
    assert not answer_to(flagged, "can-island").is_open


def test_a_later_decision_takes_the_place_of_an_earlier_one(flagged, engineer, island_seen):
    decide_finding(case=flagged, seen=island_seen, reason="First.", by=engineer)
    later = decide_finding(case=flagged, seen=island_seen, reason="Second.", by=engineer)
    assert answer_to(flagged, "can-island").verdict == later
    assert Verdict.objects.count() == 2


def test_a_decision_on_one_unit_is_none_on_another(engineer, office):
    units = [{**unit, "can_island": True} for unit in home()["units"]]
    case = make_premises(by=office, units=units)
    decision = decide_case(case).decision
    assert decision is not None
    islands = [f for f in decision.findings if f.id == "can-island"]
    of_pv, of_battery = sorted(islands, key=lambda finding: finding.subject, reverse=True)
    assert (of_pv.subject, of_battery.subject) == ("pv-1", "bat-1")
    seen = FindingSeen(of_battery.id, of_battery.subject, of_battery.basis)
    verdict = decide_finding(case=case, seen=seen, reason="Fitted.", by=engineer)
    answers = {
        found.finding.subject: (found.verdict, found.outdated)
        for found in findings_of(case, decision)
        if found.finding.id == "can-island"
    }
    assert answers == {"bat-1": (verdict, None), "pv-1": (None, None)}


def test_nothing_is_decided_on_facts_that_changed_since(flagged, engineer, island_seen):
    Unit.objects.filter(premises=flagged.premises, label="bat-1").update(can_island=None)
    with pytest.raises(FactsChangedError, match="what you typed is still here"):
        decide_finding(case=flagged, seen=island_seen, reason="Fitted.", by=engineer)
    Unit.objects.filter(premises=flagged.premises, label="bat-1").update(can_island=False)
    with pytest.raises(FactsChangedError, match="no longer there"):
        decide_finding(case=flagged, seen=island_seen, reason="Fitted.", by=engineer)
    assert acts(flagged) == []


@pytest.mark.parametrize("reason", ["", "  \n ", "x" * 4001])
def test_a_decision_wants_a_reason(flagged, engineer, island_seen, reason):
    with pytest.raises(RefusedError) as refused:
        decide_finding(case=flagged, seen=island_seen, reason=reason, by=engineer)
    assert refused.value.field == "reason"
    assert not Verdict.objects.exists()


def test_what_stops_is_not_decided_away(engineer):
    case = capped()
    with pytest.raises(RefusedError, match="operator’s agreement"):
        decide_finding(
            case=case, seen=seen_of(case, "export-above-cap"), reason="Fine.", by=engineer
        )
    assert answer_to(case, "export-above-cap").is_open


def test_what_informs_is_not_decided(plain, engineer):
    seen = seen_of(plain, "uncertain-values")
    with pytest.raises(RefusedError, match="for information"):
        decide_finding(case=plain, seen=seen, reason="Read.", by=engineer)


class TestAgreement:
    @pytest.fixture
    def case(self, db):
        return capped()

    @pytest.fixture
    def enter(self, case, engineer):
        def act(**changes):
            upload = examine(name="answer.pdf", content=make_pdf(), title="Agreement")
            return enter_agreement(
                **{
                    "case": case,
                    "seen": seen_of(case, "export-above-cap"),
                    "reference": "OP-12",
                    "date": dt.date(2026, 11, 1),
                    "file": upload,
                    "reason": "It agreed to 7.2 kW.",
                    "by": engineer,
                    **changes,
                }
            )

        return act

    def test_it_clears_what_stops(self, case, enter):
        verdict = enter()
        assert answer_to(case, "export-above-cap").verdict == verdict
        assert (verdict.kind, verdict.operator_reference) == ("operator-agreed", "OP-12")
        assert verdict.operator_file.title == "Agreement"
        assert acts(case) == ["attachment.added", "finding.decided"]

    def test_it_may_be_dated_today(self, enter):
        assert enter(date=timezone.localdate()).operator_date == timezone.localdate()

    def test_a_file_that_is_attached_already_does(self, case, enter, engineer):
        upload = examine(name="answer.pdf", content=make_pdf())
        attached = add_attachment(case=case, upload=upload, by=engineer)
        assert enter(file=attached).operator_file == attached
        assert Attachment.objects.count() == 1

    @pytest.mark.parametrize(
        ("changes", "field"),
        [
            ({"reference": " "}, "reference"),
            ({"date": None}, "date"),
            ({"date": timezone.localdate() + dt.timedelta(days=1)}, "date"),
            ({"file": None}, "file"),
            ({"reason": ""}, "reason"),
        ],
    )
    def test_every_part_of_it_is_wanted(self, case, enter, changes, field):
        with pytest.raises(RefusedError) as refused:
            enter(**changes)
        assert refused.value.field == field
        assert answer_to(case, "export-above-cap").is_open
        assert acts(case) == []

    def test_a_file_of_another_application_is_none(self, enter, plain, engineer):
        upload = examine(name="other.png", content=make_picture())
        other = add_attachment(case=plain, upload=upload, by=engineer)
        with pytest.raises(RefusedError, match="not among the attachments"):
            enter(file=other)

    def test_a_file_that_was_taken_out_is_none(self, case, enter, engineer):
        upload = examine(name="answer.pdf", content=make_pdf())
        attached = add_attachment(case=case, upload=upload, by=engineer)
        take_out_attachment(attachment=attached, by=engineer)
        with pytest.raises(RefusedError, match="not among the attachments"):
            enter(file=attached)

    def test_a_refused_agreement_attaches_nothing(self, case, enter):
        seen = FindingSeen("export-above-cap", "caps[0]", "0" * 64)
        with pytest.raises(FactsChangedError):
            enter(seen=seen)
        assert not Attachment.objects.exists()

    def test_it_is_not_for_findings_that_an_engineer_decides(self, flagged, enter):
        with pytest.raises(RefusedError, match="decide it with a reason"):
            enter(case=flagged, seen=seen_of(flagged, "can-island"))

    def test_it_is_not_for_what_the_operator_has_no_say_in(self, enter):
        # Two strings of 13.9 A on a tracker that bears 20 A.
        panel = {"isc_ma": 13_900}
        strings = [{"tracker": 1, "in_series": 8, "in_parallel": 2}]
        site = home()
        unit = {**site["units"][0], "dc_inputs": [{"tracker": 1, "max_short_circuit_ma": 20_000}]}
        array = {"unit_id": unit["id"], "peak_w": 6400, "panel": panel, "strings": strings}
        case = make_premises(units=[unit], arrays=[array], storage=[])
        id = "check-string-short-circuit"
        with pytest.raises(RefusedError, match="no say"):
            enter(case=case, seen=seen_of(case, id))
        assert answer_to(case, id).is_open

    def test_an_engineers_word_alone_never_clears_what_stops(self, case, engineer):
        """Not even a row that came in by another way than the service."""
        seen = seen_of(case, "export-above-cap")
        Verdict.objects.create(
            case=case,
            finding=seen.id,
            subject=seen.subject,
            basis=seen.basis,
            kind="decided",
            reason="Fine.",
            by=engineer,
            at=timezone.now(),
        )
        assert answer_to(case, "export-above-cap").is_open


class TestQuestions:
    def test_asked_and_answered(self, flagged, engineer, office, island_seen):
        question = ask_office(
            case=flagged, seen=island_seen, text="Is the switch fitted?", by=engineer
        )
        assert Question.objects.filter(answered_at__isnull=True).count() == 1
        answered = answer_question(question=question, answer=" It is. ", by=office)
        assert (answered.answer, answered.answered_by) == ("It is.", office)
        assert answered.answered_at is not None
        assert acts(flagged) == ["finding.asked", "question.answered"]

    def test_an_answer_decides_nothing(self, flagged, engineer, office, island_seen):
        question = ask_office(case=flagged, seen=island_seen, text="Is it?", by=engineer)
        answer_question(question=question, answer="It is.", by=office)
        assert answer_to(flagged, "can-island").is_open

    def test_a_question_is_answered_once(self, flagged, engineer, office, island_seen):
        question = ask_office(case=flagged, seen=island_seen, text="Is it?", by=engineer)
        stale = Question.objects.get(pk=question.pk)
        answer_question(question=question, answer="It is.", by=office)
        with pytest.raises(RefusedError, match="meanwhile"):
            answer_question(question=stale, answer="It is not.", by=office)
        stale.refresh_from_db()
        assert stale.answer == "It is."

    @pytest.mark.parametrize("text", ["", "   "])
    def test_neither_is_empty(self, flagged, engineer, office, island_seen, text):
        with pytest.raises(RefusedError):
            ask_office(case=flagged, seen=island_seen, text=text, by=engineer)
        question = ask_office(case=flagged, seen=island_seen, text="Is it?", by=engineer)
        with pytest.raises(RefusedError):
            answer_question(question=question, answer=text, by=office)


def test_the_office_decides_agrees_and_asks_nothing(flagged, office, island_seen):
    for act in (
        lambda: decide_finding(case=flagged, seen=island_seen, reason="Fine.", by=office),
        lambda: ask_office(case=flagged, seen=island_seen, text="Is it?", by=office),
        lambda: enter_agreement(
            case=flagged,
            seen=island_seen,
            reference="OP-1",
            date=dt.date(2026, 11, 1),
            file=None,
            reason="Fine.",
            by=office,
        ),
    ):
        with pytest.raises(NotAllowedError):
            act()
    assert acts(flagged) == []


def test_events_hold_no_text_that_somebody_typed(flagged, engineer, office, island_seen):
    decide_finding(case=flagged, seen=island_seen, reason="As Mrs Quill said", by=engineer)
    question = ask_office(case=flagged, seen=island_seen, text="Ask Mrs Quill", by=engineer)
    answer_question(question=question, answer="Mrs Quill says yes", by=office)
    assert "Quill" not in str(list(Event.objects.values("data", "subject")))


def test_every_act_raises_the_version_of_the_application(flagged, engineer, office, island_seen):
    def version():
        flagged.application.refresh_from_db()
        return flagged.application.version

    before = version()
    decide_finding(case=flagged, seen=island_seen, reason="Fitted.", by=engineer)
    question = ask_office(case=flagged, seen=island_seen, text="Is it?", by=engineer)
    answer_question(question=question, answer="It is.", by=office)
    assert version() == before + 3
