"""Acts on a look: asks for the rest, and marks changes as looked at."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.looks.models import ScreeningRow, ScreeningRun
from sites.looks.writing.looking import ask_for_rest, mark_all_looked, mark_looked
from sites.people.fetching import engineer_of


@require_POST
def ask_rest(request: HttpRequest, key: UUID) -> HttpResponse:
    """Ask the worker again for the cases that were not looked at."""
    person = engineer_of(request)
    run = row_or_404(ScreeningRun.objects.all(), key)
    try:
        ask_for_rest(run=run, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)
    return redirect("screening", key)


@require_POST
def looked(request: HttpRequest, key: UUID) -> HttpResponse:
    """Mark a change of rules as looked at, for one premises."""
    person = engineer_of(request)
    row = row_or_404(ScreeningRow.objects.select_related("case__premises"), key)
    try:
        mark_looked(row=row, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)
    else:
        messages.success(request, "Noted: the change of rules was looked at.")
    return redirect("premises", row.case.premises.key)


@require_POST
def all_looked(request: HttpRequest, key: UUID) -> HttpResponse:
    """Mark all changes of the latest look as looked at."""
    person = engineer_of(request)
    run = row_or_404(ScreeningRun.objects.all(), key)
    try:
        mark_all_looked(run=run, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)
    else:
        messages.success(request, "Noted: the changes of rules were looked at.")
    return redirect("screening", key)
