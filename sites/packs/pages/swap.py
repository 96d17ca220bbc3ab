"""Page of what a change after issuing asks for."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.packs.reading.swaps import swap_of
from sites.people.fetching import person_of


@never_cache
@require_safe
def case_swap(request: HttpRequest, key: UUID) -> HttpResponse:
    """Say of one case whether its papers hold, and why."""
    person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises", "design"), key)
    context = {"case": case, "swap": swap_of(case.application)}
    return render(request, "packs/swap.html", context)
