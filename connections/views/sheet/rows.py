"""An empty row for a sheet."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from connections.views.fetching import person_of
from sites.forms.sheet import GROUPS, called
from sites.forms.sheet_form import MAX_ROWS, Rows


@never_cache
@require_safe
def sheet_row(request: HttpRequest, group: str) -> HttpResponse:
    """An empty row after those that the page says it has, with the new count of rows beside it."""
    person_of(request)
    form = GROUPS.get(group)
    if form is None:
        raise Http404
    rows = Rows(form, request.GET, prefix=group, called=called(group))
    count = rows.typed_count
    if count >= MAX_ROWS:
        return HttpResponse(
            f"A sheet can hold {MAX_ROWS} rows of one kind; put like ones together in one row.",
            status=409,
            content_type="text/plain; charset=utf-8",
        )
    row = form({}, prefix=f"{group}-{count}", called=f"{called(group)} {count + 1}")
    row.begins_at = next(name for name in row.layout.fields[0].fields)
    return render(
        request, "sheet/row_answer.html", {"row": row, "group": group, "count": count + 1}
    )
