"""Page of the operator's record of existing plant, beside what was found."""

from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from sites.cases.models import Case
from sites.house.boxes.fault_summary import faults_of
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.premises.reading.site_rows import today
from sites.review.forms.record_queries import RecordAnswerForm, RecordAskedForm
from sites.review.models import RecordQuery
from sites.review.models.record_query import NEVER
from sites.review.reading.record_letters import late_notice, query_letter
from sites.review.writing.record_queries import answer_record, ask_record


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def case_record(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the queries of a case with their letters; enter the next one."""
    person, case = person_of(request), _case(key)
    form = RecordAskedForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            ask_record(case=case, by=person, **form.cleaned_data)
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "The query is entered. Send the letter below.")
            return redirect("case-record", key)
    return _show(request, case, form, RecordAnswerForm())


@never_cache
@require_POST
def record_answer(request: HttpRequest, key: UUID) -> HttpResponse:
    """Enter the operator's answer to a query."""
    person = person_of(request)
    query = row_or_404(
        RecordQuery.objects.select_related("case__application", "case__premises", "case__design"),
        key,
    )
    form = RecordAnswerForm(request.POST)
    if form.is_valid():
        try:
            answer_record(query=query, by=person, **form.cleaned_data)
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "The answer is entered.")
            return redirect("case-record", query.case.key)
    return _show(request, query.case, RecordAskedForm(), form)


@never_cache
@require_safe
def record_letter(request: HttpRequest, key: UUID) -> HttpResponse:
    """Save the letter of a case: the newest query, or the late notice where it was never told."""
    person_of(request)
    case = _case(key)
    query = RecordQuery.objects.filter(case=case).last()
    if query is None:
        raise Http404
    text = query_letter(case, query.recorded, query.asked_on)
    if query.outcome == NEVER:
        notice = late_notice(case)
        text = notice.letter if notice is not None and notice.letter else text
    answer = HttpResponse(text, content_type="text/plain; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="letter.txt"'
    return answer


def _show(
    request: HttpRequest, case: Case, asked: forms.Form, answered: forms.Form
) -> HttpResponse:
    queries = list(RecordQuery.objects.filter(case=case).select_related("asked_by"))
    last = queries[-1] if queries else None
    faults = [*faults_of(asked), *faults_of(answered)]
    context = {
        "case": case,
        "asked": asked,
        "answered": answered,
        "queries": queries,
        "open": last if last is not None and last.answered_on is None else None,
        "letter": query_letter(
            case, last.recorded if last else "", last.asked_on if last else today()
        ),
        "notice": late_notice(case) if last is not None and last.outcome == NEVER else None,
        "faults": faults,
    }
    return render(request, "review/record.html", context, status=422 if faults else 200)


def _case(key: UUID) -> Case:
    return row_or_404(Case.objects.select_related("application", "premises", "design"), key)
