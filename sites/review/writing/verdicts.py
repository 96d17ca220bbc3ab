"""Enters decisions, operator's agreements, questions to the office, and their answers."""

import datetime as dt

from django.db import transaction
from django.utils import timezone
from msgspec import Struct

from connections.facts.decision import Finding
from sites.deciding.reading.deciding import decide_line
from sites.house.refusals import FactsChangedError, NotAllowedError, RefusedError
from sites.house.uploads import Upload
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import ApplicationLine
from sites.premises.writing.versions import raise_version
from sites.review.models import Attachment, Question, Verdict
from sites.review.models.verdict import DECIDED, OPERATOR_AGREED
from sites.review.writing.attachments import add_attachment

LONGEST_TEXT = 4000


class FindingSeen(Struct, frozen=True):
    """A finding as the page showed it: id, subject, and the digest of its facts."""

    id: str
    subject: str
    basis: str


@transaction.atomic
def decide_finding(*, line: ApplicationLine, seen: FindingSeen, reason: str, by: Person) -> Verdict:
    """Decide a finding that needs an engineer, with a reason.

    Raises NotAllowedError for anybody but an engineer. Raises FactsChangedError if the finding is
    gone or rests on other facts now. Raises RefusedError without a reason, or for a finding that a
    decision can't clear.
    """
    _engineer(by)
    reason = _text(reason, "reason", "Give the reason for your decision.")
    raise_version(line)
    finding = _finding_now(line, seen)
    if finding.severity == "stops":
        raise RefusedError(
            "This finding stops the application. Only other facts clear it, or the network "
            "operator's written agreement."
        )
    if finding.severity == "inform":
        raise RefusedError("This finding is for information; there is nothing to decide.")
    verdict = Verdict.objects.create(
        line=line,
        finding=seen.id,
        subject=seen.subject,
        basis=seen.basis,
        kind=DECIDED,
        reason=reason,
        by=by,
        at=timezone.now(),
    )
    record("finding.decided", by=by, subject=line.application, data=_data(verdict))
    return verdict


@transaction.atomic
def enter_agreement(
    *,
    line: ApplicationLine,
    seen: FindingSeen,
    reference: str,
    date: dt.date | None,
    file: Attachment | Upload | None,
    reason: str,
    by: Person,
) -> Verdict:
    """Enter the network operator's written agreement to a finding that stops.

    `file` is the agreement: an upload, which this act attaches, or an attachment of the line that
    is not taken out. Raises as `decide_finding` does.
    """
    _engineer(by)
    reference = _text(reference, "reference", "Give the operator's reference on the agreement.")
    if date is None:
        raise RefusedError("Give the date of the agreement.", "date")
    if date > timezone.localdate():
        raise RefusedError(
            "The date of the agreement lies ahead; give the day it is dated.", "date"
        )
    if file is None:
        raise RefusedError("Attach the agreement as the operator sent it.", "file")
    reason = _text(reason, "reason", "Say what the operator agreed to.")
    raise_version(line)
    finding = _finding_now(line, seen)
    if finding.severity != "stops":
        raise RefusedError(
            "This finding does not stop the application; decide it with a reason instead."
        )
    kept = add_attachment(line=line, upload=file, by=by) if isinstance(file, Upload) else file
    # Locked, so that nobody takes it out at the same moment.
    there = Attachment.objects.select_for_update().filter(
        pk=kept.pk, line=line, taken_out_at__isnull=True
    )
    if not there:
        raise RefusedError("That file is not among the attachments any more.", "file")
    verdict = Verdict.objects.create(
        line=line,
        finding=seen.id,
        subject=seen.subject,
        basis=seen.basis,
        kind=OPERATOR_AGREED,
        reason=reason,
        operator_reference=reference[:200],
        operator_date=date,
        operator_file=kept,
        by=by,
        at=timezone.now(),
    )
    record("finding.decided", by=by, subject=line.application, data=_data(verdict))
    return verdict


@transaction.atomic
def ask_office(*, line: ApplicationLine, seen: FindingSeen, text: str, by: Person) -> Question:
    """Send a finding to the office with a question, which stays on the work list until answered.

    Raises NotAllowedError for anybody but an engineer. Raises FactsChangedError if the finding is
    gone or rests on other facts, and RefusedError without a question.
    """
    _engineer(by)
    text = _text(text, "text", "Write the question.")
    raise_version(line)
    _finding_now(line, seen)
    question = Question.objects.create(
        line=line,
        finding=seen.id,
        subject=seen.subject,
        text=text,
        asked_by=by,
        asked_at=timezone.now(),
    )
    record(
        "finding.asked",
        by=by,
        subject=line.application,
        data={"question": str(question.key), "finding": seen.id, "about": seen.subject},
    )
    return question


@transaction.atomic
def answer_question(*, question: Question, answer: str, by: Person) -> Question:
    """Answer a question; anybody of the firm may.

    Raises RefusedError without an answer, or if somebody answered meanwhile.
    """
    answer = _text(answer, "answer", "Write the answer.")
    answered = Question.objects.filter(pk=question.pk, answered_at__isnull=True).update(
        answer=answer, answered_by=by, answered_at=timezone.now()
    )
    if not answered:
        raise RefusedError("Somebody has answered this question meanwhile; read the answer first.")
    raise_version(question.line)
    record(
        "question.answered",
        by=by,
        subject=question.line.application,
        data={"question": str(question.key), "finding": question.finding},
    )
    question.refresh_from_db()
    return question


def _engineer(person: Person) -> None:
    if not person.is_engineer:
        raise NotAllowedError("Only an engineer may do this.")


def _text(text: str, field: str, lacking: str) -> str:
    text = text.strip()
    if not text:
        raise RefusedError(lacking, field)
    if len(text) > LONGEST_TEXT:
        raise RefusedError(f"Keep it to {LONGEST_TEXT} characters; this has {len(text)}.", field)
    return text


def _finding_now(line: ApplicationLine, seen: FindingSeen) -> Finding:
    """Return the finding for the present facts. Raises FactsChangedError."""
    decision = decide_line(line).decision
    for finding in decision.findings if decision else ():
        if (finding.id, finding.subject) == (seen.id, seen.subject):
            if finding.basis != seen.basis:
                raise FactsChangedError(
                    "The facts behind this finding have changed since you opened the page. Read "
                    "it again; what you typed is still here."
                )
            return finding
    raise FactsChangedError(
        "This finding is no longer there: the facts have changed since you opened the page."
    )


def _data(verdict: Verdict) -> dict[str, str]:
    return {
        "finding": verdict.finding,
        "about": verdict.subject,
        "kind": verdict.kind,
        "basis": verdict.basis,
    }
