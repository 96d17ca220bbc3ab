"""Enters decisions, operator's agreements, questions to the office, and their answers."""

import datetime as dt
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone
from msgspec import Struct

from connections.facts.decision import Decision, Finding
from connections.facts.site import Site
from connections.pack.sections.findings import names_a_way
from sites.cases.models import Case
from sites.cases.writing import moves_on, raise_version
from sites.deciding.reading.deciding import decide_case
from sites.house.refusals import FactsChangedError, NotAllowedError, RefusedError
from sites.house.uploads import Upload
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.words.facts import NOT_KNOWN, NOT_SAID, Facts
from sites.premises.writing.search import renew_words
from sites.review.models import Attachment, Question, Verdict
from sites.review.models.verdict import DECIDED, OPERATOR_AGREED
from sites.review.writing.attachments import add_attachment
from sites.review.writing.kept import renew

LONGEST_TEXT = 4000
_ASKED = "The engineer asked the office."


class FindingSeen(Struct, frozen=True):
    """A finding as the page showed it: id, subject, and the digest of its facts."""

    id: str
    subject: str
    basis: str


def decide_finding(
    *, case: Case, seen: FindingSeen, reason: str, by: Person, way: str = ""
) -> Verdict:
    """Decide a finding that needs an engineer, with a reason, or by one of its ways.

    Raises as `decide_findings` does, and RefusedError without one of the finding's ways.
    """
    return decide_findings(case=case, seen=(seen,), reason=reason, by=by, way=way)[0]


@transaction.atomic
def decide_findings(
    *,
    case: Case,
    seen: Sequence[FindingSeen],
    reason: str,
    by: Person,
    way: str = "",
) -> list[Verdict]:
    """Decide several findings for one reason; each gets a verdict on its own basis.

    Raises NotAllowedError for anybody but an engineer. Raises FactsChangedError if a finding is
    gone or rests on other facts now. Raises RefusedError without a finding or a reason, for a
    finding that a decision can't clear, and for one of several that has ways of its own.
    """
    _engineer(by)
    if not seen:
        raise RefusedError("Choose at least one finding.", "findings")
    if not way:
        reason = _text(reason, "reason", "Give the reason for your decision.")
    raise_version(case)
    decided = decide_case(case)
    for each in seen:
        finding = _finding_in(decided.decision, each)
        if finding.severity == "stops":
            other = ", or record the network operator’s agreement" if finding.agreement else ""
            raise RefusedError(f"This finding stops the application. Change the design{other}.")
        if finding.severity == "inform":
            raise RefusedError("This finding is for information; there is nothing to decide.")
        _check_way(finding, way, decided.site)
    now = timezone.now()
    verdicts = [
        Verdict.objects.create(
            case=case,
            finding=each.id,
            subject=each.subject,
            basis=each.basis,
            kind=DECIDED,
            reason=reason.strip(),
            way=way,
            by=by,
            at=now,
        )
        for each in dict.fromkeys(seen)
    ]
    if len(verdicts) == 1:
        record("finding.decided", by=by, subject=case.application, data=_data(verdicts[0]))
    else:
        data = {"findings": [_data(verdict) for verdict in verdicts]}
        record("findings.decided", by=by, subject=case.application, data=data)
    renew(case)
    return verdicts


def _check_way(finding: Finding, way: str, site: Site | None) -> None:
    """Refuse a way that the finding does not have, or that the design does not hold yet."""
    if not names_a_way(finding, way):
        raise RefusedError("Choose the way in which this is answered.", "way")
    chosen = next((each for each in finding.ways if each.key == way), None)
    if chosen is None:
        if way:
            raise RefusedError("Decide this finding by itself; it has no such way.", "way")
    elif (
        chosen.place
        and site is not None
        and Facts(site).value(chosen.place)
        in (
            NOT_KNOWN,
            NOT_SAID,
        )
    ):
        raise RefusedError(
            "The design does not hold this yet. Make the design that the remedy on this page "
            "describes, or enter it on the sheet; words can't replace it.",
            "way",
        )


@transaction.atomic
def enter_agreement(
    *,
    case: Case,
    seen: FindingSeen,
    reference: str,
    date: dt.date | None,
    file: Attachment | Upload | None,
    reason: str,
    by: Person,
) -> Verdict:
    """Enter the network operator's written agreement to a finding that stops.

    `file` is the agreement: an upload, which this act attaches, or an attachment of the case that
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
    raise_version(case)
    finding = _finding_now(case, seen)
    if finding.severity != "stops":
        raise RefusedError(
            "This finding does not stop the application; decide it with a reason instead."
        )
    if not finding.agreement:
        raise RefusedError("The operator has no say in this finding; only other facts clear it.")
    kept = add_attachment(case=case, upload=file, by=by) if isinstance(file, Upload) else file
    # Locked, so that nobody takes it out at the same moment.
    there = Attachment.objects.select_for_update().filter(
        pk=kept.pk, case=case, taken_out_at__isnull=True
    )
    if not there:
        raise RefusedError("That file is not among the attachments any more.", "file")
    verdict = Verdict.objects.create(
        case=case,
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
    renew_words(case.premises_id)
    record("finding.decided", by=by, subject=case.application, data=_data(verdict))
    renew(case)
    return verdict


@transaction.atomic
def ask_office(*, case: Case, seen: FindingSeen, text: str, by: Person) -> Question:
    """Send a finding to the office with a question, which stays on the work list until answered.

    Raises NotAllowedError for anybody but an engineer. Raises FactsChangedError if the finding is
    gone or rests on other facts, and RefusedError without a question.
    """
    _engineer(by)
    text = _text(text, "text", "Write the question.")
    raise_version(case)
    _finding_now(case, seen)
    question = Question.objects.create(
        case=case,
        finding=seen.id,
        subject=seen.subject,
        text=text,
        asked_by=by,
        asked_at=timezone.now(),
    )
    record(
        "finding.asked",
        by=by,
        subject=case.application,
        data={"question": str(question.key), "finding": seen.id, "about": seen.subject},
    )
    renew(case)
    moves_on(case=case, act="to-office", by=by, reason=_ASKED)
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
    raise_version(question.case)
    record(
        "question.answered",
        by=by,
        subject=question.case.application,
        data={"question": str(question.key), "finding": question.finding},
    )
    renew(question.case)
    last = question.case.moves.last()
    waits = Question.objects.filter(case=question.case, answered_at__isnull=True).exists()
    if not waits and last is not None and last.reason == _ASKED:
        moves_on(case=question.case, act="to-engineer", by=by, reason="The question is answered.")
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


def _finding_now(case: Case, seen: FindingSeen) -> Finding:
    """Return the finding for the present facts. Raises FactsChangedError."""
    return _finding_in(decide_case(case).decision, seen)


def _finding_in(decision: Decision | None, seen: FindingSeen) -> Finding:
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
        **({"way": verdict.way} if verdict.way else {}),
    }
