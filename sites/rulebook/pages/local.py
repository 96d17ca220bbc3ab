"""Pages of local entries: the list, the choice of a new one, one entry, and the download."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from connections.rulebook.load import load_books
from sites.house.fetching import row_or_404
from sites.people.fetching import engineer_of, person_of
from sites.rulebook.forms.other_forms import EndForm
from sites.rulebook.models import LocalEntry
from sites.rulebook.reading.choosable import groups
from sites.rulebook.reading.local_entries import (
    area_name,
    areas_with_entries,
    dump_entries,
    entry_of,
    listed_entries,
    listed_entry,
)
from sites.rulebook.words.local import conditions_in_words


@require_safe
def local_list(request: HttpRequest) -> HttpResponse:
    """List all entries: in force, to come, ended."""
    person_of(request)
    return render(
        request,
        "rulebook/local_list.html",
        {
            "entries": listed_entries(timezone.localdate()),
            "files": [(area, area_name(area)) for area in areas_with_entries()],
        },
    )


@require_safe
def local_choose(request: HttpRequest) -> HttpResponse:
    """Show the values, caps and conditions that can be entered."""
    engineer_of(request)
    return render(request, "rulebook/local_choose.html", {"groups": groups(timezone.localdate())})


@require_safe
def local_entry(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show one entry with the form that ends it."""
    person_of(request)
    return show_entry(request, entry_or_404(key))


def show_entry(request: HttpRequest, row: LocalEntry, form: EndForm | None = None) -> HttpResponse:
    """Show the page of an entry; status 422 if the form has faults."""
    person = person_of(request)
    faults = form.faults() if form is not None else []
    can_end = person.is_engineer and row.ended_at is None
    if can_end and form is None:
        form = EndForm(initial={"last_day": timezone.localdate()})
    context: dict[str, object] = {
        "entry": listed_entry(row),
        "row": row,
        "conditions": conditions_in_words(entry_of(row)),
        "never_held": row.until is not None and row.until < row.since,
        "form": form if can_end else None,
        "faults": faults,
    }
    return render(request, "rulebook/local_entry.html", context, status=422 if faults else 200)


def entry_or_404(key: UUID) -> LocalEntry:
    """Return the entry with the people who entered and ended it, or 404."""
    return row_or_404(LocalEntry.objects.select_related("entered_by", "ended_by"), key)


@require_safe
def local_download(request: HttpRequest) -> HttpResponse:
    """Download the entries of an area, or of the whole firm, as a local file."""
    person_of(request)
    area = request.GET.get("area", "")
    if area and all(known.id != area for known in load_books().areas):
        raise Http404("There is no such licence area.")
    answer = HttpResponse(dump_entries(area), content_type="application/toml; charset=utf-8")
    name = f"local-entries-{area or 'firm'}.toml"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
