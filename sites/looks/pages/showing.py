"""Pages of looks: the list with the form for a new one, and each look."""

from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.looks.forms import StartForm
from sites.looks.models import ScreeningRun
from sites.looks.reading.found_by_looks import (
    issued_of,
    progress_of,
    rows_of,
    run_words,
    runs,
    touched_rows,
)
from sites.looks.writing.looking import start_screening
from sites.people.fetching import engineer_of, person_of

ROWS = 50
RUNS = 20

LONG_S = 60
"""A look without progress for this long may have no worker, or a dead one."""


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def screenings(request: HttpRequest) -> HttpResponse:
    """List the looks, with the form for a new one; an engineer's post begins it."""
    person = person_of(request)
    form = StartForm(
        request.POST if request.method == "POST" else None,
        initial={"on": timezone.localdate()},
        auto_id="screening-%s",
    )
    if request.method == "POST":
        engineer_of(request)
        if form.is_valid():
            try:
                run = start_screening(on=form.cleaned_data["on"], by=person)
            except RefusedError as refused:
                form.add_error(None, refused.message)
            else:
                return redirect("screening", run.key)
    faults = form.faults() if form.is_bound else []
    page = Paginator(runs(), RUNS).get_page(request.GET.get("page"))
    return render(
        request,
        "looks/list.html",
        {
            "form": form,
            "faults": faults,
            "page": page,
            "runs": [{"run": run, "says": run_words(run)} for run in page.object_list],
        },
        status=422 if faults else 200,
    )


@never_cache
@require_safe
def screening(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the progress of a look, and the cases with a different result."""
    person_of(request)
    run = row_or_404(ScreeningRun.objects.select_related("asked_by"), key)
    page = Paginator(rows_of(run), ROWS).get_page(request.GET.get("page"))
    rows = list(page.object_list)
    issued = issued_of(rows)
    return render(
        request,
        "looks/run.html",
        {
            "says": run_words(run),
            "page": page,
            "to_look_at": touched_rows().filter(run=run).count(),
            "rows": [{"row": row, "revision": issued.get(row.case.application_id)} for row in rows],
            **_progress(run),
        },
    )


@never_cache
@require_safe
def progress(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the progress of a look as a part of its page; it polls only while the look goes on.

    At the end it reloads the whole page, for its list of cases.
    """
    person_of(request)
    run = row_or_404(ScreeningRun.objects.all(), key)
    answer = render(request, "looks/progress.html", _progress(run))
    if run.ended_at is not None:
        answer["HX-Refresh"] = "true"
    return answer


def _progress(run: ScreeningRun) -> dict[str, object]:
    found = progress_of(run)
    waited = (timezone.now() - found.since).total_seconds()
    return {
        "run": run,
        "progress": found,
        "long": not found.ended and waited > LONG_S,
    }
