"""The review of one site: what is read, decided, asked and answered."""

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from sites.house.uploads import examine
from sites.premises.models import Unit
from sites.review.models import Attachment, Question, Verdict
from tests.sites.making import home, island, make_premises, make_question, make_verdict
from tests.sites.review.making import capped, make_pdf, seen_of


@pytest.fixture
def case(office):
    return make_premises(by=office, **island())


def review(case):
    return reverse("case-review", args=[case.key])


def verdicts(case):
    return reverse("verdict", args=[case.key])


def about(case, finding_id="can-island"):
    """The hidden boxes beneath a finding."""
    seen = seen_of(case, finding_id)
    return {"finding": seen.id, "subject": seen.subject, "basis": seen.basis}


class TestReading:
    def test_a_finding_stands_with_arithmetic_source_certainty_and_facts(self, by_engineer):
        units = home()["units"]
        for unit in units:
            unit["phases"], unit["rated_w"] = ["L1"], 9000
            unit["standard"] = "G99"
        supply = {"phases": 3, "cutout_a": 100, "earthing": "TN-S", "looped": False}
        case = make_premises(units=units, supply=supply)
        text = by_engineer.get(review(case)).text
        # 18 kW on L1 and nothing on L2 and L3: 18000 W / 230 V = 78.261 A, limit 32 A
        assert "78.261 A" in text
        assert "over the limit" in text
        assert "EREC G99, Issue 2 (2025), 7.5.3" in text
        assert "(published)" in text
        assert "the registered capacity of pv-1" in text
        assert "<dd>9 kW</dd>" in text

    def test_the_sums_stand_with_their_workings(self, by_engineer, case):
        text = by_engineer.get(review(case)).text
        assert "pv-1: 1 × 3.6 kW" in text
        assert "31.304 A" in text  # 7200 W / 230 V

    def test_why_this_procedure_and_none_before(self, by_engineer, case):
        text = by_engineer.get(review(case)).text
        assert "Why this procedure" in text
        assert "Why no simpler procedure applies" in text
        assert "not at most 16 A" in text

    def test_remedies_are_told(self, by_engineer):
        text = by_engineer.get(review(capped())).text
        assert "A fully type-tested limitation scheme holding export to 5 kW" in text

    def test_what_cannot_be_decided_says_why(self, by_engineer, case):
        Unit.objects.filter(premises=case.premises).delete()
        page = by_engineer.get(review(case))
        assert page.status_code == 200
        assert "Nothing can be decided yet" in page.text

    def test_the_office_reads_all_and_has_no_form_but_answers(self, by_office, case, engineer):
        make_question(case, by=engineer)
        text = by_office.get(review(case)).text
        assert "can run as an island" in text
        assert verdicts(case) not in text
        assert reverse("question", args=[case.key]) not in text
        assert "Is the change-over switch fitted?" in text
        assert ">Answer<" in text

    @pytest.mark.parametrize("findings", [1, 20])
    def test_the_number_of_queries_does_not_grow(
        self, by_engineer, engineer, django_assert_max_num_queries, findings
    ):
        units = [
            {**home()["units"][1], "id": f"bat-{n}", "can_island": True} for n in range(findings)
        ]
        case = make_premises(units=units, storage=[], arrays=[])
        for n in range(findings):
            seen = f"bat-{n}"
            Question.objects.create(
                case=case,
                finding="can-island",
                subject=seen,
                text="Is it?",
                asked_by=engineer,
                asked_at=dt.datetime(2026, 11, 1, tzinfo=dt.UTC),
            )
        by_engineer.get(review(case))
        # One of them asks on every page whether the firm requires a code.
        with django_assert_max_num_queries(25):
            page = by_engineer.get(review(case))
        assert page.text.count("can run as an island:") >= findings


class TestDeciding:
    def test_a_decision_is_entered_and_shown(self, by_engineer, engineer, case):
        answer = by_engineer.post(
            verdicts(case), {**about(case), "act": "decide", "reason": "Changeover fitted."}
        )
        assert answer.status_code == 302
        assert answer["Location"].startswith(review(case) + "#finding-can-island")
        text = by_engineer.get(review(case)).text
        assert "Changeover fitted." in text
        assert f"by {engineer}" in text
        assert "Nothing is open." in text

    def test_without_a_reason_the_box_says_so_and_the_top_links_to_it(self, by_engineer, case):
        page = by_engineer.post(verdicts(case), {**about(case), "act": "decide", "reason": " "})
        assert page.status_code == 422
        (fault,) = page.context["faults"]
        assert fault.message == "Give the reason for your decision."
        assert f'href="#{fault.target}"' in page.text
        assert f'id="{fault.target}"' in page.text
        assert f'aria-describedby="{fault.target}_helptext {fault.target}_error"' in page.text
        assert not Verdict.objects.exists()

    def test_facts_that_changed_meanwhile_keep_what_was_typed(self, by_engineer, case):
        sent = {**about(case), "act": "decide", "reason": "Typed at length."}
        Unit.objects.filter(premises=case.premises, label="bat-1").update(can_island=None)
        page = by_engineer.post(verdicts(case), sent)
        assert page.status_code == 422
        assert "have changed since you opened the page" in page.text
        assert "Typed at length.</textarea>" in page.text
        # The page now holds the finding as it is, so that it can be sent again.
        again = {**sent, "basis": seen_of(case, "can-island").basis}
        assert again["basis"] in page.text
        assert by_engineer.post(verdicts(case), again).status_code == 302

    def test_a_finding_that_is_gone_meanwhile_loses_nothing_typed(self, by_engineer, case):
        sent = {**about(case), "act": "decide", "reason": "Typed at length."}
        Unit.objects.filter(premises=case.premises, label="bat-1").update(can_island=False)
        page = by_engineer.post(verdicts(case), sent)
        assert page.status_code == 422
        assert "no longer there" in page.text
        assert "Typed at length." in page.text

    def test_a_decision_on_other_facts_is_shown_as_that(self, by_engineer, engineer, case):
        make_verdict(case, "can-island", by=engineer)
        Unit.objects.filter(premises=case.premises, label="bat-1").update(can_island=None)
        text = by_engineer.get(review(case)).text
        assert "Decided earlier, facts have changed since" in text
        assert "Looked at on site." in text
        assert "1 finding needs an engineer&#x27;s decision." in text

    def test_the_office_decides_nothing(self, by_office, case):
        for act in ("decide", "agreement"):
            answer = by_office.post(verdicts(case), {**about(case), "act": act, "reason": "x"})
            assert answer.status_code == 403
        assert not Verdict.objects.exists()

    @pytest.mark.parametrize(
        "sent",
        [
            {},
            {"act": "decide"},
            {"act": "agreement"},
            {"act": "neither", "finding": "x" * 5000, "subject": "\0", "basis": "y"},
            {"act": "decide", "finding": "can-island", "subject": "bat-1", "reason": "a\0b"},
        ],
    )
    def test_senseless_posts_are_answered_in_words(self, by_engineer, case, sent):
        page = by_engineer.post(verdicts(case), sent)
        assert page.status_code == 422
        assert page.context["faults"]
        assert not Verdict.objects.exists()

    def test_what_is_typed_never_runs(self, by_engineer, case):
        reason = "</textarea><script>alert(1)</script>"
        by_engineer.post(verdicts(case), {**about(case), "act": "decide", "reason": reason})
        assert "<script>alert(1)" not in by_engineer.get(review(case)).text


class TestAgreement:
    @pytest.fixture
    def stopped(self, db):
        return capped()

    def sent(self, case, **changes):
        return {
            **about(case, "export-above-cap"),
            "act": "agreement",
            "reference": "OP-77",
            "date": "2026-11-02",
            "reason": "It agreed to 7.2 kW.",
            "file": SimpleUploadedFile("answer.pdf", make_pdf(), "application/pdf"),
            **changes,
        }

    def test_it_clears_what_stops(self, by_engineer, stopped):
        assert by_engineer.post(verdicts(stopped), self.sent(stopped)).status_code == 302
        text = by_engineer.get(review(stopped)).text
        assert "The network operator agreed in writing" in text
        assert "OP-77" in text
        assert "Nothing is open." in text

    def test_a_file_once_sent_need_not_be_chosen_again(self, by_engineer, stopped):
        page = by_engineer.post(verdicts(stopped), self.sent(stopped, reference=""))
        assert page.status_code == 422
        assert [fault.message for fault in page.context["faults"]] == [
            "Give the operator's reference on the agreement."
        ]
        kept = Attachment.objects.get()
        assert f'value="{kept.key}" selected' in page.text
        sent = self.sent(stopped, attached=str(kept.key))
        del sent["file"]
        assert by_engineer.post(verdicts(stopped), sent).status_code == 302
        assert Verdict.objects.get().operator_file == kept

    def test_without_a_file_the_box_says_so(self, by_engineer, stopped):
        sent = self.sent(stopped)
        del sent["file"]
        page = by_engineer.post(verdicts(stopped), sent)
        assert page.status_code == 422
        assert "Attach the agreement as the operator sent it." in page.text
        assert "It agreed to 7.2 kW.</textarea>" in page.text

    def test_an_empty_form_says_all_that_is_wanted_at_once(self, by_engineer, stopped):
        sent = {**about(stopped, "export-above-cap"), "act": "agreement"}
        page = by_engineer.post(verdicts(stopped), sent)
        assert [fault.label for fault in page.context["faults"]] == [
            "Operator's reference",
            "Date of the agreement",
            "What the operator agreed to",
            "The agreement",
        ]

    def test_a_refused_file_says_why_at_its_box(self, by_engineer, stopped):
        file = SimpleUploadedFile("answer.pdf", b"<html>", "application/pdf")
        page = by_engineer.post(verdicts(stopped), self.sent(stopped, file=file))
        assert page.status_code == 422
        assert "not a PDF, PNG or JPEG" in page.text
        assert not Attachment.objects.exists()

    @pytest.mark.parametrize("date", ["", "soon", "2026-02-30", "2999-01-01"])
    def test_a_senseless_date_says_so_at_its_box(self, by_engineer, stopped, date):
        page = by_engineer.post(verdicts(stopped), self.sent(stopped, date=date))
        assert page.status_code == 422
        assert [fault.label for fault in page.context["faults"]] == ["Date of the agreement"]

    def test_british_dates_are_taken(self, by_engineer, stopped):
        by_engineer.post(verdicts(stopped), self.sent(stopped, date="02/11/2026"))
        assert Verdict.objects.get().operator_date == dt.date(2026, 11, 2)


class TestQuestions:
    def test_asked_it_stands_on_the_page_and_on_the_work_list(self, by_engineer, case):
        answer = by_engineer.post(
            reverse("question", args=[case.key]), {**about(case), "text": "Is it fitted?"}
        )
        assert answer.status_code == 302
        assert "Is it fitted?" in by_engineer.get(review(case)).text
        assert "Answer the engineer’s question" in by_engineer.get("/").text

    def test_the_office_answers_it(self, by_office, engineer, case):
        question = make_question(case, by=engineer)
        address = reverse("question-answer", args=[question.key])
        assert by_office.post(address, {"answer": "It is."}).status_code == 302
        text = by_office.get(review(case)).text
        assert "It is." in text
        assert "Not decided yet." in text

    def test_without_an_answer_the_box_says_so(self, by_office, engineer, case):
        question = make_question(case, by=engineer)
        page = by_office.post(reverse("question-answer", args=[question.key]), {"answer": ""})
        assert page.status_code == 422
        assert "Write the answer." in page.text

    def test_of_two_answers_the_second_is_told(self, by_office, engineer, case):
        question = make_question(case, by=engineer)
        address = reverse("question-answer", args=[question.key])
        by_office.post(address, {"answer": "It is."})
        page = by_office.post(address, {"answer": "It is not."})
        assert page.status_code == 422
        assert "meanwhile" in page.text
        question.refresh_from_db()
        assert question.answer == "It is."

    def test_the_office_asks_nothing(self, by_office, case):
        address = reverse("question", args=[case.key])
        assert by_office.post(address, {**about(case), "text": "x"}).status_code == 403

    def test_without_a_question_the_box_is_open_and_says_so(self, by_engineer, case):
        page = by_engineer.post(reverse("question", args=[case.key]), {**about(case), "text": ""})
        assert page.status_code == 422
        assert "Write the question." in page.text


def test_an_attached_agreement_can_be_chosen(by_engineer, engineer):
    from sites.review.writing.attachments import add_attachment

    case = capped()
    upload = examine(name="answer.pdf", content=make_pdf(), title="Answer of the operator")
    add_attachment(case=case, upload=upload, by=engineer)
    assert "Answer of the operator</option>" in by_engineer.get(review(case)).text
