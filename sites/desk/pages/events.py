"""Page of the events of a premises."""

from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from sites.desk.reading.history import HEADS, changes_of, events_of, lines_of, sentence_of
from sites.house.fetching import row_or_404
from sites.house.pages.file_names import file_name
from sites.premises.models import Premises
from sites.review.pages.listing import csv_lines

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


@require_safe
def events_file(request: HttpRequest, key: UUID) -> StreamingHttpResponse:
    """Download the audit log of a premises as CSV, latest first."""
    premises = row_or_404(Premises.objects.all(), key)
    found = lines_of(events_of(premises).iterator(chunk_size=500))
    answer = StreamingHttpResponse(csv_lines(HEADS, found), content_type="text/csv; charset=utf-8")
    name = file_name(premises.reference, "events", "csv")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
