"""How one line of an application was decided."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from sites.deciding.reading.explained import explained
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.premises.models import ApplicationLine


@require_safe
def line_explained(request: HttpRequest, key: UUID) -> HttpResponse:
    """Each fact, each comparison with its margin, each value with its source and layer."""
    person_of(request)
    line = row_or_404(
        ApplicationLine.objects.select_related("application", "premises", "design"), key
    )
    return render(request, "deciding/explained.html", {"line": line, "told": explained(line)})
