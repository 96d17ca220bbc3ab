"""Says of two premises whether they are the same supply."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.premises.models import Premises
from sites.premises.writing.doubles import say_of_doubles


@require_POST
def premises_double(request: HttpRequest, key: UUID) -> HttpResponse:
    """Link the premises with another one, or say that the two differ."""
    person = person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    said = request.POST.get("said")
    if said not in ("same", "differs"):
        messages.error(request, "Choose whether the two are the same supply.")
        return redirect("premises", premises.key)
    try:
        other = row_or_404(Premises.objects.all(), UUID(request.POST.get("other", "")))
    except ValueError:
        raise Http404 from None
    say_of_doubles(premises=premises, said={other.key: said == "same"}, by=person)
    what = "are linked" if said == "same" else "differ"
    messages.success(request, f"{premises} and {other} {what}.")
    return redirect("premises", premises.key)
