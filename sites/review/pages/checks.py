"""Page of the electrical checks of one line."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.premises.models import ApplicationLine
from sites.review.reading.line_checks import line_checks


@require_safe
def line_checks_page(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show every check with value, limit and margin; each opens to its workings."""
    person_of(request)
    line = row_or_404(
        ApplicationLine.objects.select_related("application", "premises", "design"), key
    )
    return render(request, "review/checks.html", {"line": line, "page": line_checks(line)})
