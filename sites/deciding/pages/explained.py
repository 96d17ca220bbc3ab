"""Page that explains how a case was decided."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from sites.cases.models import Case
from sites.deciding.reading.explained import explained
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of


@require_safe
def case_explained(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show each fact, each comparison with margin, and each value with source and layer."""
    person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises", "design"), key)
    return render(request, "deciding/explained.html", {"case": case, "told": explained(case)})
