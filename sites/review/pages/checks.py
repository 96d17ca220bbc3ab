"""Page of the electrical checks of one case."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.review.reading.case_checks import case_checks


@require_safe
def case_checks_page(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show every check with value, limit and margin; each opens to its workings."""
    person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises", "design"), key)
    return render(request, "review/checks.html", {"case": case, "page": case_checks(case)})
