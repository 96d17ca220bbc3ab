"""The designs of a premises side by side."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from connections.selectors.side_by_side import side_by_side
from connections.views.fetching import person_of, row_or_404
from sites.models import Premises


@never_cache
@require_safe
def designs(request: HttpRequest, key: UUID) -> HttpResponse:
    """Every design of a premises; `by` names the order."""
    person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    page = side_by_side(premises, request.GET.get("by", ""))
    return render(request, "designs/side_by_side.html", {"page": page})
