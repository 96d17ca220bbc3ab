"""Page of the works of the operator on its network that a case waits for."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from sites.cases.models import Case
from sites.house.boxes.fault_summary import faults_of
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.review.forms.works import AskedForm, WorksDaysForm
from sites.review.models import Works
from sites.review.writing.works import ask_for_works, change_works, drop_works


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def case_works(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the works of a case, with a form for the next one."""
    person = person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises", "design"), key)
    form = AskedForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            ask_for_works(case=case, asked=form.asked(), by=person)
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "The works are entered. Nothing is energised before them.")
            return redirect("case-works", key)
    return _show(request, case, form)


@never_cache
@require_POST
def works_days(request: HttpRequest, key: UUID) -> HttpResponse:
    """Enter the days of a job; with "drop" take it out."""
    person = person_of(request)
    works = row_or_404(
        Works.objects.select_related("case__application", "case__premises", "case__design"), key
    )
    if request.POST.get("drop"):
        drop_works(works=works, by=person)
        messages.success(request, "The works are taken out; they stay in the list.")
        return redirect("case-works", works.case.key)
    form = WorksDaysForm(request.POST, auto_id=f"{key}-%s")
    if form.is_valid():
        days = form.cleaned_data
        try:
            change_works(
                works=works, planned_on=days["planned_on"], done_on=days["done_on"], by=person
            )
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "The days are entered.")
            return redirect("case-works", works.case.key)
    return _show(request, works.case, AskedForm(), works, form)


def _show(
    request: HttpRequest,
    case: Case,
    form: AskedForm,
    of: Works | None = None,
    days: WorksDaysForm | None = None,
) -> HttpResponse:
    faults = faults_of(form) if form.is_bound else []
    faults += faults_of(days) if days is not None else []
    jobs = [
        (
            each,
            days
            if days is not None and each == of
            else WorksDaysForm(
                initial={"planned_on": each.planned_on, "done_on": each.done_on},
                auto_id=f"{each.key}-%s",
            ),
        )
        for each in Works.objects.filter(case=case).select_related("entered_by")
    ]
    context = {"case": case, "form": form, "jobs": jobs, "faults": faults}
    return render(request, "review/works.html", context, status=422 if faults else 200)
