"""Page of a premises: its plant, the proposal, what the network sees, and the outcome."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from sites.desk.forms import OwnerForm
from sites.desk.reading.premises import site_page
from sites.desk.reading.stand import stand_of
from sites.house.fetching import row_or_404
from sites.looks.reading.found_by_looks import touched
from sites.people.fetching import person_of
from sites.premises.models import Premises
from sites.premises.reading.doubles import doubles_of
from sites.premises.reading.drafts import draft_of, sheet_page
from sites.sending.reading.outbox import troubles_of


@never_cache
@require_safe
def premises(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show a premises with its proposal, or with the design that `design` names."""
    person = person_of(request)
    found = row_or_404(Premises.objects.all(), key)
    wanted = request.GET.get("design")
    chosen = None
    if wanted:
        try:
            chosen = get_object_or_404(found.designs, key=UUID(wanted))
        except ValueError:
            chosen = None
    page = site_page(found, chosen)
    return render(
        request,
        "desk/premises.html",
        {
            "page": page,
            "owner_form": OwnerForm(
                initial={"owner": page.case and page.case.owner_id}, auto_id="%s"
            ),
            "stand": stand_of(page.case, person) if page.case else None,
            "today": timezone.localdate(),
            "troubles": troubles_of(page.case) if page.case else (),
            "draft": draft_of(person, sheet_page(page.design.key)),
            "doubles": doubles_of(found),
            "touched": touched([page.case.pk]).get(page.case.pk) if page.case else None,
        },
    )
