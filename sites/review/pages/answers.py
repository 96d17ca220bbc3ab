"""Pages of the operator's answers: entering one, what follows on it, and taking one back."""

from collections.abc import Callable
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from sites.cases.models import Case
from sites.house.boxes.fault_summary import faults_of
from sites.house.fetching import row_or_404
from sites.house.form_arguments import Sent, SentFiles
from sites.house.pages.uploading import sent_file, takes_a_file
from sites.house.refusals import RefusedError
from sites.house.uploads import examine
from sites.people.fetching import person_of
from sites.review.forms.answers import AcceptForm, DayForm, ReplyForm
from sites.review.models import Condition, Reply
from sites.review.reading.replies import AnswerPage, answer_page
from sites.review.writing.replies import (
    accept_offer,
    enter_reply,
    meet_condition,
    pay_charge,
    take_back_reply,
)

NOMINAL_MV = 230_000
"""Phase-to-neutral voltage for amps beside a figure, if no rulebook holds for the site.

From EREC G99 Issue 2, Table 10.1, note.
"""


@never_cache
@takes_a_file
@require_http_methods(["GET", "HEAD", "POST"])
def case_answers(request: HttpRequest, key: UUID, *, too_large: str = "") -> HttpResponse:
    """Show the operator's answers to one case, with a form for the next one."""
    person = person_of(request)
    page = answer_page(_case(key))
    if request.method != "POST":
        return _show(request, page, _reply_form(page))
    if too_large:
        # The post was not read, and so no box of it.
        form = _reply_form(page, {})
        form.errors.clear()
        form.add_error("file", too_large)
        return _show(request, page, form, status=422)
    form = _reply_form(page, request.POST, request.FILES)
    file = sent_file(request)
    if form.is_valid():
        try:
            title = "The operator’s answer"
            upload = (
                examine(name=file.name or "", content=file.read(), title=title) if file else None
            )
            enter_reply(case=page.case, answered=form.answered(upload), by=person)
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "The operator’s answer is entered.")
            return redirect("case-answers", key)
    if file is not None and "file" not in form.errors:
        form.add_error("file", "Choose the file again: the browser does not send it twice.")
    return _show(request, page, form, status=422)


@require_POST
def answer_accept(request: HttpRequest, key: UUID) -> HttpResponse:
    """Accept the offer in an answer."""
    person, reply = person_of(request), _reply(key)
    form = AcceptForm(request.POST, auto_id="accept-%s")

    def act() -> None:
        data = form.cleaned_data
        accept_offer(
            reply=reply,
            on=data["on"],
            how=data["how"],
            agreed_until=data["agreed_until"],
            by=person,
        )

    return _done(request, reply.case, "accept", form, act, "The offer is accepted.")


@require_POST
def answer_paid(request: HttpRequest, key: UUID) -> HttpResponse:
    """Note that the charge of an answer is paid."""
    person, reply = person_of(request), _reply(key)
    form = DayForm(request.POST, auto_id=f"paid-{key}-%s")
    return _done(
        request,
        reply.case,
        f"paid-{key}",
        form,
        lambda: pay_charge(reply=reply, on=form.cleaned_data["on"], by=person),
        "The charge is noted as paid.",
    )


@require_POST
def condition_met(request: HttpRequest, key: UUID) -> HttpResponse:
    """Note that a condition is met; with "open" that it is not."""
    person = person_of(request)
    condition = row_or_404(
        Condition.objects.select_related(
            "reply__case__application", "reply__case__premises", "reply__case__design"
        ),
        key,
    )
    case = condition.reply.case
    if request.POST.get("open"):
        meet_condition(condition=condition, on=None, note="", by=person)
        messages.success(request, "The condition is open again.")
        return redirect("case-answers", case.key)
    form = DayForm(request.POST, auto_id=f"met-{key}-%s")

    def act() -> None:
        data = form.cleaned_data
        meet_condition(condition=condition, on=data["on"], note=data["note"], by=person)

    return _done(request, case, f"met-{key}", form, act, "The condition is noted as met.")


@require_POST
def answer_take_back(request: HttpRequest, key: UUID) -> HttpResponse:
    """Take back an answer that was entered by mistake."""
    person, reply = person_of(request), _reply(key)
    try:
        take_back_reply(reply=reply, by=person)
    except RefusedError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The answer is taken back; it stays in the list.")
    return redirect("case-answers", reply.case.key)


def _done(
    request: HttpRequest,
    case: Case,
    name: str,
    form: forms.Form,
    act: Callable[[], None],
    says: str,
) -> HttpResponse:
    """Do what a form asks; with a fault show the page again with it."""
    if form.is_valid():
        try:
            act()
        except RefusedError as refused:
            form.add_error(refused.field if refused.field in form.fields else None, refused.message)
        else:
            messages.success(request, says)
            return redirect("case-answers", case.key)
    page = answer_page(
        Case.objects.select_related("application", "premises", "design").get(pk=case.pk)
    )
    return _show(request, page, _reply_form(page), {name: form}, status=422)


def _reply_form(page: AnswerPage, data: Sent = None, files: SentFiles = None) -> ReplyForm:
    book = page.decided.book
    return ReplyForm(
        data,
        files,
        phases=page.phases,
        nominal_mv=book.whole("voltage.nominal") if book is not None else NOMINAL_MV,
    )


def _show(
    request: HttpRequest,
    page: AnswerPage,
    form: ReplyForm,
    bound: dict[str, forms.Form] | None = None,
    status: int = 200,
) -> HttpResponse:
    bound = bound or {}
    faults = form.faults() if form.is_bound else []
    for each in bound.values():
        faults += faults_of(each)
    return render(
        request,
        "review/answers.html",
        {
            "page": page,
            "case": page.case,
            "form": form,
            "accept": bound.get("accept") or AcceptForm(auto_id="accept-%s"),
            "paid": [
                (each, bound.get(f"paid-{each.key}") or DayForm(auto_id=f"paid-{each.key}-%s"))
                for each in (shown.reply for shown in page.replies)
                if each.charge_pence is not None
                and each.paid_on is None
                and each.taken_back_at is None
            ],
            "conditions": [
                (
                    each,
                    bound.get(f"met-{each.condition.key}")
                    or DayForm(auto_id=f"met-{each.condition.key}-%s"),
                )
                for each in page.conditions
            ],
            "faults": faults,
        },
        status=status,
    )


def _case(key: UUID) -> Case:
    return row_or_404(Case.objects.select_related("application", "premises", "design"), key)


def _reply(key: UUID) -> Reply:
    return row_or_404(
        Reply.objects.select_related("case__application", "case__premises", "case__design"), key
    )
