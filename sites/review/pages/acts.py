"""Acts of the review: decisions, agreements, questions and answers."""

from collections.abc import Callable
from copy import copy
from functools import partial
from typing import TypeVar
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.house.pages.uploading import sent_file, takes_a_file
from sites.house.refusals import RefusedError
from sites.house.uploads import Upload, examine
from sites.people.fetching import engineer_of, person_of
from sites.people.models import Person
from sites.review.forms.findings import (
    AgreementForm,
    AnswerForm,
    QuestionForm,
    SeveralForm,
    VerdictForm,
)
from sites.review.models import Question
from sites.review.pages.lists import lines_with_all
from sites.review.pages.showing import (
    SEVERAL,
    answer_name,
    decided_together,
    form_name,
    show_review,
)
from sites.review.reading.attachments import files_of
from sites.review.reading.review import ReviewedLine, review_line
from sites.review.writing import verdicts as review
from sites.review.writing.attachments import add_attachment

_Form = TypeVar("_Form", bound=forms.Form)


@takes_a_file
@require_POST
def give_verdict(request: HttpRequest, key: UUID, *, too_large: str = "") -> HttpResponse:
    """Enter a decision on a finding, or the operator's agreement to one that stops."""
    person = engineer_of(request)
    case = row_or_404(lines_with_all(), key)
    reviewed = review_line(case)
    if too_large:
        # The text beside the file was not read; the browser still has it on the way back.
        messages.error(request, f"{too_large} Nothing was entered.")
        return _back(case)
    if request.POST.get("act") == "agreement":
        return _agreement(request, reviewed, person)
    if request.POST.get("act") == "several":
        return _several(request, reviewed, person)
    found = reviewed.finding(request.POST.get("finding", ""), request.POST.get("subject", ""))
    ways = found.finding.ways if found is not None else ()
    form = _form(request, reviewed, "verdict", partial(VerdictForm, ways=ways))
    if form.is_valid():
        try:
            review.decide_finding(
                case=case,
                seen=form.seen(),
                reason=form.cleaned_data["reason"],
                way=form.cleaned_data.get("way", ""),
                by=person,
            )
        except RefusedError as refused:
            _add(form, refused)
        else:
            messages.success(request, "Your decision is entered.")
            return _back(case, _anchor(request, reviewed))
    return _again(request, reviewed, "verdict", form)


def _several(request: HttpRequest, reviewed: ReviewedLine, person: Person) -> HttpResponse:
    """Enter one decision on the findings that were chosen."""
    form = SeveralForm(
        request.POST, open_findings=decided_together(reviewed), auto_id=f"{SEVERAL}-%s"
    )
    if form.is_valid():
        try:
            decided = review.decide_findings(
                case=reviewed.case,
                seen=form.chosen,
                reason=form.cleaned_data["reason"],
                by=person,
            )
        except RefusedError as refused:
            _add(form, refused)
        else:
            messages.success(request, f"Your decision is entered on {len(decided)} findings.")
            return _back(reviewed.case)
    return show_review(request, reviewed, {SEVERAL: form})


def _agreement(request: HttpRequest, reviewed: ReviewedLine, person: Person) -> HttpResponse:
    case = reviewed.case
    form = _form(
        request,
        reviewed,
        "agreement",
        partial(AgreementForm, sent=request.FILES, files=files_of(case)),
    )
    form.is_valid()
    upload: Upload | None = None
    try:
        if "file" not in form.errors and (file := sent_file(request)):
            upload = examine(
                name=file.name or "", content=file.read(), title="Operator's agreement"
            )
        if form.is_valid():
            review.enter_agreement(
                case=case,
                seen=form.seen(),
                reference=form.cleaned_data["reference"],
                date=form.cleaned_data["date"],
                file=upload or form.chosen,
                reason=form.cleaned_data["reason"],
                by=person,
            )
            messages.success(request, "The operator's agreement is entered.")
            return _back(case, _anchor(request, reviewed))
    except RefusedError as refused:
        _add(form, refused)
    if upload is not None:
        form = _with_file_kept(form, reviewed, upload, person)
    return _again(request, reviewed, "agreement", form)


def _with_file_kept(
    form: AgreementForm, reviewed: ReviewedLine, upload: Upload, person: Person
) -> AgreementForm:
    """Attach the file of a refused form: the browser would not send it again."""
    try:
        kept = add_attachment(case=reviewed.case, upload=upload, by=person)
    except RefusedError:
        return form
    data = copy(form.data)
    assert isinstance(data, QueryDict)
    data["attached"] = str(kept.key)
    again = AgreementForm(data, auto_id=form.auto_id, files=files_of(reviewed.case))
    again.is_valid()
    for field, said in form.errors.items():
        if field not in again.errors:
            for message in said:
                again.add_error(None if field == "__all__" else field, str(message))
    return again


@require_POST
def ask_question(request: HttpRequest, key: UUID) -> HttpResponse:
    """Send a finding to the office with a question."""
    person = engineer_of(request)
    case = row_or_404(lines_with_all(), key)
    reviewed = review_line(case)
    form = _form(request, reviewed, "question", QuestionForm)
    if form.is_valid():
        try:
            review.ask_office(
                case=case, seen=form.seen(), text=form.cleaned_data["text"], by=person
            )
        except RefusedError as refused:
            _add(form, refused)
        else:
            messages.success(request, "Your question stands on the work list.")
            return _back(case, _anchor(request, reviewed))
    return _again(request, reviewed, "question", form)


@require_POST
def answer_question(request: HttpRequest, key: UUID) -> HttpResponse:
    """Answer a question; anybody of the firm may."""
    person = person_of(request)
    question = row_or_404(
        Question.objects.select_related(
            "case__application", "case__premises", "case__design", "asked_by"
        ),
        key,
    )
    form = AnswerForm(request.POST, auto_id=f"{answer_name(key)}-%s")
    if form.is_valid():
        try:
            review.answer_question(question=question, answer=form.cleaned_data["answer"], by=person)
        except RefusedError as refused:
            _add(form, refused)
        else:
            messages.success(request, "Your answer is entered.")
            return _back(question.case)
    return show_review(request, review_line(question.case), {answer_name(key): form})


def _form(
    request: HttpRequest,
    reviewed: ReviewedLine,
    kind: str,
    make: Callable[..., _Form],
) -> _Form:
    name = form_name(kind, _anchor(request, reviewed))
    return make(request.POST, auto_id=f"{name}-%s")


def _anchor(request: HttpRequest, reviewed: ReviewedLine) -> str:
    """Return the anchor of the form's finding on the page; "gone" if it no longer exists."""
    found = reviewed.finding(request.POST.get("finding", ""), request.POST.get("subject", ""))
    return found.anchor if found else "gone"


def _again(
    request: HttpRequest, reviewed: ReviewedLine, kind: str, form: forms.Form
) -> HttpResponse:
    """Show the page with what was typed and its faults.

    The facts may have changed, so the form gets the present finding, to be read and decided again.
    """
    anchor = _anchor(request, reviewed)
    found = reviewed.finding(request.POST.get("finding", ""), request.POST.get("subject", ""))
    if found is not None:
        data = copy(form.data)
        assert isinstance(data, QueryDict)
        data["basis"] = found.finding.basis
        form.data = data
    return show_review(request, reviewed, {form_name(kind, anchor): form})


def _add(form: forms.Form, refused: RefusedError) -> None:
    form.add_error(refused.field if refused.field in form.fields else None, refused.message)


def _back(case: Case, anchor: str = "") -> HttpResponse:
    answer = redirect("case-review", case.key)
    if anchor and anchor != "gone":
        answer["Location"] += f"#{anchor}"
    return answer
