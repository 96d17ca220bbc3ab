"""Page of the values to read in their documents."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from connections.pack.figures import counted
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import engineer_of, person_of
from sites.review.forms.values import ReadForm
from sites.review.reading.values import documents_to_read
from sites.rulebook.models import ValueReading
from sites.rulebook.reading.place import shelf
from sites.rulebook.reading.readings import listed_readings
from sites.rulebook.writing.readings import read_values, take_back_reading


@require_http_methods(["GET", "HEAD", "POST"])
def values_to_read(request: HttpRequest) -> HttpResponse:
    """List the values that applications used, by document; keep which ones an engineer has read."""
    person = engineer_of(request) if request.method == "POST" else person_of(request)
    documents = documents_to_read()
    form = ReadForm(request.POST if request.method == "POST" else None, documents=documents)
    if form.is_bound and form.is_valid():
        rows = read_values(values=form.values(), by=person)
        said = f"Kept: you have read {counted(len(rows), 'value')} and agree."
        messages.success(request, said)
        return redirect("values-to-read")
    faults = form.faults() if form.is_bound else []
    context = {
        "documents": documents,
        "readings": listed_readings(shelf()),
        "form": form,
        "faults": faults,
    }
    return render(request, "review/values.html", context, status=422 if faults else 200)


@require_POST
def reading_take_back(request: HttpRequest, key: UUID) -> HttpResponse:
    """Take back that a value was read."""
    person = engineer_of(request)
    row = row_or_404(ValueReading.objects.all(), key)
    try:
        take_back_reading(row=row, by=person)
    except RefusedError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"Taken back: {row.about} counts as not read.")
    return redirect("values-to-read")
