"""Page of the events of a premises."""

from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from sites.desk.reading.history import changes_of, events_of, sentence_of
from sites.house.fetching import row_or_404
from sites.premises.models import Premises

ROWS = 50


@require_safe
def events(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the audit log of a premises, latest first."""
    premises = row_or_404(Premises.objects.all(), key)
    page = Paginator(events_of(premises), ROWS).get_page(request.GET.get("page"))
    return render(
        request,
        "desk/events.html",
        {
            "premises": premises,
            "page": page,
            "events": [
                {"at": event.at, "says": sentence_of(event), "changes": changes_of(event)}
                for event in page.object_list
            ],
        },
    )
