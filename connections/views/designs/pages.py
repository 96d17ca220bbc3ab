"""The designs of a premises side by side."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from connections.documents.comparison import render_comparison
from connections.documents.faults import PrintError
from connections.selectors.comparison import comparison_of
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


@never_cache
@require_safe
def designs_print(request: HttpRequest, key: UUID) -> HttpResponse:
    """The customer's page of the same comparison, as a PDF."""
    person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    comparison = comparison_of(side_by_side(premises, request.GET.get("by", "")))
    if not comparison.designs:
        messages.error(request, "No design can be decided yet, so there is nothing to compare.")
        return redirect("designs", premises.key)
    try:
        content = render_comparison(comparison)
    except PrintError as fault:
        messages.error(request, str(fault))
        return redirect("designs", premises.key)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="designs-{premises.key}.pdf"'
    return answer
