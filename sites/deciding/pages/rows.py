"""Adds a row to a sheet: empty, or a unit with the values of a catalogue model."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from sites.catalogue.forms import raw_of_unit
from sites.catalogue.models import Equipment
from sites.house.boxes.sheet_form import MAX_ROWS, Rows
from sites.people.fetching import person_of
from sites.premises.forms.plant import UnitForm
from sites.premises.forms.posted import MODEL
from sites.premises.forms.sheet import GROUPS, called


@never_cache
@require_safe
def sheet_row(request: HttpRequest, group: str) -> HttpResponse:
    """Return one row more than the page has, with the new count of rows.

    The row is empty, unless the page asks for a unit of a catalogue model.
    """
    person_of(request)
    form = GROUPS.get(group)
    if form is None:
        raise Http404
    rows = Rows(form, request.GET, prefix=group, called=called(group))
    count = rows.typed_count
    if count >= MAX_ROWS:
        return _refused(
            f"A sheet can hold {MAX_ROWS} rows of one kind; put like ones together in one row."
        )
    prefix = f"{group}-{count}"
    raw: dict[str, str] = {}
    if issubclass(form, UnitForm) and (key := request.GET.get(MODEL)):
        model = _model(key)
        if model is None:
            return _refused("This model is no longer in the catalogue; load the page again.")
        raw = raw_of_unit(model, prefix)
    row = form(raw, prefix=prefix, called=f"{called(group)} {count + 1}")
    row.begins_at = next(name for name in row.layout.fields[0].fields)
    answer = render(
        request, "deciding/row_answer.html", {"row": row, "group": group, "count": count + 1}
    )
    if raw:
        # Nobody typed these values, so tell the panel to update.
        answer["HX-Trigger-After-Settle"] = "change"
    return answer


def _model(key: str) -> Equipment | None:
    try:
        return Equipment.objects.filter(key=UUID(key)).first()
    except ValueError:
        return None


def _refused(says: str) -> HttpResponse:
    return HttpResponse(says, status=409, content_type="text/plain; charset=utf-8")
