"""Review page of one case, with the forms beneath each finding."""

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import TypeVar
from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from msgspec import Struct

from connections.facts.decision import Decision, Finding, PhaseSum
from connections.pack.figures import counted, quantity
from connections.rulebook.book import Rulebook
from sites.deciding.reading.deadlines import due_steps
from sites.deciding.reading.remedies import shown_remedies
from sites.energy.reading.remedy_years import with_years
from sites.house.boxes.fault_summary import Fault, faults_of
from sites.people.fetching import person_of
from sites.review.forms.findings import (
    AgreementForm,
    AnswerForm,
    QuestionForm,
    SeveralForm,
    VerdictForm,
)
from sites.review.models import Attachment, Question
from sites.review.reading.attachments import files_of
from sites.review.reading.review import ReviewedFinding, ReviewedLine

_Form = TypeVar("_Form", bound=forms.Form)
Bound = Mapping[str, forms.Form]
"""Forms with faults, by their `form_name`."""

SEVERAL = "several"
"""Name of the form of one decision on several findings."""

_WHEN = {
    "before-work": "Before the work",
    "before-energising": "Before energising",
    "after-commissioning": "After commissioning",
}


class Answering(Struct, frozen=True):
    """A question with the form to answer it; no form if it is answered."""

    question: Question
    form: AnswerForm | None


class ShownFinding(Struct, frozen=True):
    """A finding with the forms that this person may use beneath it."""

    reviewed: ReviewedFinding
    verdict_form: VerdictForm | None
    agreement_form: AgreementForm | None
    question_form: QuestionForm | None
    answering: tuple[Answering, ...]
    asks_again: bool


def form_name(kind: str, anchor: str) -> str:
    """Return the name of a form on the page, which also begins the ids of its boxes."""
    return f"{kind}-{anchor}"


def show_review(
    request: HttpRequest, reviewed: ReviewedLine, bound: Bound | None = None
) -> HttpResponse:
    """Show the page; status 422 if a form has faults."""
    bound = bound or {}
    person = person_of(request)
    faults = [fault for form in bound.values() for fault in _faults(form)]
    files = tuple(files_of(reviewed.case))
    shown = [_shown(each, person.is_engineer, bound, files) for each in reviewed.findings]
    context: dict[str, object] = {
        "reviewed": reviewed,
        "case": reviewed.case,
        "faults": faults,
        "typed": _typed_on_what_is_gone(bound),
        "shown": shown,
        "must_act": [each for each in shown if each.reviewed.finding.severity != "inform"],
        "inform": [each for each in shown if each.reviewed.finding.severity == "inform"],
        "counts": counts_in_words(reviewed),
    }
    together = decided_together(reviewed)
    if person.is_engineer and len(together) > 1:
        several = bound.get(SEVERAL) or SeveralForm(open_findings=together, auto_id=f"{SEVERAL}-%s")
        context["several_form"] = several
    if reviewed.decision is not None and reviewed.decided.book is not None:
        context |= _procedure(reviewed, reviewed.decision, reviewed.decided.book)
    return render(request, "review/case.html", context, status=422 if faults else 200)


def decided_together(reviewed: ReviewedLine) -> list[Finding]:
    """Return the open findings that one decision may cover: those without ways of their own."""
    return [
        each.finding
        for each in reviewed.open_findings
        if each.finding.severity == "decide" and not each.finding.ways
    ]


def _faults(form: forms.Form) -> list[Fault]:
    """Return the faults of a form as it tells them itself, if it does."""
    if isinstance(form, VerdictForm | SeveralForm):
        return form.faults()
    return faults_of(form)


def _typed_on_what_is_gone(bound: Bound) -> str:
    """Return the text typed beneath a finding that no longer exists."""
    for name, form in bound.items():
        if name.endswith("-gone"):
            return str(form.data.get("reason") or form.data.get("text") or "")
    return ""


def counts_in_words(reviewed: ReviewedLine) -> str:
    """Return the number of open findings in a sentence."""
    stops = reviewed.stops
    decide = len(reviewed.open_findings) - stops
    said = []
    if stops:
        said.append(
            f"{counted(stops, 'finding')} {'stops' if stops == 1 else 'stop'} the application"
        )
    if decide:
        verb = "needs" if decide == 1 else "need"
        said.append(f"{counted(decide, 'finding')} {verb} an engineer's decision")
    if not said:
        return "Nothing is open."
    return f"{' and '.join(said)}."


def _shown(
    reviewed: ReviewedFinding, engineer: bool, bound: Bound, files: Iterable[Attachment]
) -> ShownFinding:
    finding, anchor = reviewed.finding, reviewed.anchor
    hidden = {"finding": finding.id, "subject": finding.subject, "basis": finding.basis}

    def of(kind: str, form: type[_Form], make: Callable[..., _Form] | None = None) -> _Form:
        name = form_name(kind, anchor)
        returned = bound.get(name)
        if isinstance(returned, form):
            return returned
        return (make or form)(initial=hidden, auto_id=f"{name}-%s")

    with_files = partial(AgreementForm, files=files)
    with_ways = partial(VerdictForm, ways=finding.ways)
    decides = engineer and finding.severity == "decide"
    agrees = engineer and finding.severity == "stops" and finding.agreement
    asks = engineer and finding.severity != "inform"
    return ShownFinding(
        reviewed=reviewed,
        verdict_form=of("verdict", VerdictForm, with_ways) if decides else None,
        agreement_form=of("agreement", AgreementForm, with_files) if agrees else None,
        question_form=of("question", QuestionForm) if asks else None,
        answering=tuple(
            Answering(
                question,
                _answering(question, bound),
            )
            for question in reviewed.questions
        ),
        asks_again=form_name("question", anchor) in bound,
    )


def answer_name(key: UUID) -> str:
    """Return the name of the form that answers a question."""
    return f"answer-{key}"


def _answering(question: Question, bound: Bound) -> AnswerForm | None:
    """The form of a question that is open: the one that came back, or an empty one."""
    if question.answered_at is not None:
        return None
    returned = bound.get(answer_name(question.key))
    return returned if isinstance(returned, AnswerForm) else _answer_form(question)


def _answer_form(question: Question) -> AnswerForm:
    return AnswerForm(auto_id=f"{answer_name(question.key)}-%s")


def _procedure(reviewed: ReviewedLine, decision: Decision, book: Rulebook) -> dict[str, object]:
    decided = reviewed.decided
    titles = {outcome.key: outcome.title for outcome in book.outcomes}
    procedure = decision.procedure
    return {
        "procedure": procedure,
        "other_reading": titles.get(procedure.other_reading or "", ""),
        "possible": [titles.get(key, key) for key in decision.possible],
        "not_because": [
            (titles.get(other.key, other.key), other.failed) for other in procedure.not_because
        ],
        "steps": [(_WHEN[each.step.when], each.step, each.due) for each in due_steps(decided)],
        "remedies": with_years(shown_remedies(decision), reviewed.case.design, decided, "review"),
        "sums": [_sum(each) for each in decision.phase_sums],
        "total": "not known" if decision.total_w is None else quantity(decision.total_w, "W"),
        "nominal": quantity(book.whole("voltage.nominal"), "mV"),
    }


def _sum(phase: PhaseSum) -> dict[str, object]:
    """Return a phase's sum with its workings, as a table row."""
    return {
        "phase": phase.phase,
        "terms": [
            f"{term.unit}: {'?' if term.quantity is None else term.quantity} × "
            f"{'not known' if term.rated_w is None else quantity(term.rated_w, 'W')}"
            f"{f' ÷ {term.phases} phases' if term.phases > 1 else ''}"
            for term in phase.terms
        ],
        "amps": "not known" if phase.ma is None else quantity(phase.ma, "mA"),
    }
