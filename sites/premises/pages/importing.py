"""Creates premises from uploaded site files."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from sites.house.boxes.fault_summary import faults_of
from sites.house.pages.uploading import takes_files
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.premises.writing.site_files import Imported, import_site_file

MOST_FILES = 50
"""Most files in one upload; our choice."""
MOST_POSTED = 20_000_000
"""Most bytes in one upload, boxes included; our choice."""


def too_large(size_bytes: int) -> str:
    """Return the message for an upload that is too large."""
    return (
        f"The files have {size_bytes / 1_000_000:.1f} MB together; {MOST_POSTED // 1_000_000} MB "
        "are the most. Send fewer of them in one go."
    )


class _Several(forms.ClearableFileInput):
    allow_multiple_selected = True


class ImportForm(forms.Form):
    """File input for one or several site files."""

    chosen = forms.FileField(
        label="Site files",
        help_text=f"JSON, at most {MOST_FILES} files in one go.",
        widget=_Several(attrs={"class": "form-control", "accept": ".json,application/json"}),
        error_messages={
            "required": "Choose at least one site file.",
            "missing": "Choose at least one site file.",
            "empty": "This file is empty; choose another one.",
        },
    )


@takes_files(MOST_POSTED, too_large)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def premises_import(request: HttpRequest, *, too_large: str = "") -> HttpResponse:
    """Upload site files; then show the result of each."""
    person = person_of(request)
    if request.method != "POST":
        return _page(request, ImportForm(auto_id=_ID), ())
    if too_large:
        # The upload was not read; the message stands at the box all the same.
        form = ImportForm({}, auto_id=_ID)
        form.errors.clear()
        form.add_error("chosen", too_large)
        return _page(request, form, ())
    form = ImportForm(request.POST, request.FILES, auto_id=_ID)
    sent = [file for file in request.FILES.getlist("chosen") if isinstance(file, UploadedFile)]
    # The form checks only the last file; the result row of an empty file says so.
    if not sent:
        form.is_valid()
        return _page(request, form, ())
    if len(sent) > MOST_FILES:
        form = ImportForm({}, auto_id=_ID)
        form.errors.clear()
        form.add_error("chosen", f"{len(sent)} files were sent; send {MOST_FILES} in one go.")
        return _page(request, form, ())
    return _page(request, ImportForm(auto_id=_ID), _import(sent, person))


def _import(sent: list[UploadedFile[Any]], person: Person) -> tuple[Imported, ...]:
    return tuple(
        import_site_file(name=(file.name or "")[:200], content=file.read(), by=person)
        for file in sent
    )


def _page(request: HttpRequest, form: ImportForm, done: tuple[Imported, ...]) -> HttpResponse:
    faults = faults_of(form) if form.is_bound else []
    refused = any(one.fault for one in done)
    return render(
        request,
        "premises/import.html",
        {
            "form": form,
            "faults": faults,
            "done": done,
            "created": sum(not one.fault for one in done),
        },
        status=422 if faults or refused else 200,
    )


_ID = "import-%s"
