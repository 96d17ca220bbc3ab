"""Pages of the operator's answers: entering one, and taking one back."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.review.forms.answers import ReplyForm
from sites.review.models import Reply
from sites.review.reading.replies import AnswerPage, answer_page
from sites.review.writing.replies import enter_reply, take_back_reply

NOMINAL_MV = 230_000
"""Phase-to-neutral voltage for amps beside a figure, if no rulebook holds for the site.

From EREC G99 Issue 2, Table 10.1, note.
"""


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def case_answers(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the operator's answers to one case, with a form for the next one."""
    person = person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises", "design"), key)
    page = answer_page(case)
    book = page.decided.book
    posted = request.POST if request.method == "POST" else None
    form = ReplyForm(
        posted,
        phases=page.phases,
        nominal_mv=book.whole("voltage.nominal") if book is not None else NOMINAL_MV,
    )
    if posted is not None and form.is_valid():
        try:
            enter_reply(case=case, answered=form.answered(), by=person)
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "The operator's answer is entered.")
            return redirect("case-answers", case.key)
    return _show(request, page, form, 422 if posted is not None else 200)


def _show(request: HttpRequest, page: AnswerPage, form: ReplyForm, status: int) -> HttpResponse:
    return render(
        request,
        "review/answers.html",
        {
            "page": page,
            "case": page.case,
            "form": form,
            "faults": form.faults() if form.is_bound else [],
        },
        status=status,
    )


@require_POST
def answer_take_back(request: HttpRequest, key: UUID) -> HttpResponse:
    """Take back an answer that was entered by mistake."""
    person = person_of(request)
    reply = row_or_404(Reply.objects.select_related("case"), key)
    try:
        take_back_reply(reply=reply, by=person)
    except RefusedError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The answer is taken back; it stays in the list.")
    return redirect("case-answers", reply.case.key)
