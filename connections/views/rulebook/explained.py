"""How one line of an application was decided."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from connections.models import ApplicationLine
from connections.selectors.rulebook_explained import explained
from connections.views.fetching import person_of
from connections.views.fetching_rows import row_or_404


@require_safe
def line_explained(request: HttpRequest, key: UUID) -> HttpResponse:
    """Each fact, each comparison with its margin, each value with its source and layer."""
    person_of(request)
    line = row_or_404(
        ApplicationLine.objects.select_related("application", "premises", "design"), key
    )
    return render(request, "rulebook/explained.html", {"line": line, "told": explained(line)})
