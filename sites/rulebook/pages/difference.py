"""Page of the difference between two editions or two days."""

import datetime as dt
from collections.abc import Mapping

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from connections.rulebook.telling import day_in_words
from sites.house.boxes.fault_summary import Fault, faults_of
from sites.people.fetching import person_of
from sites.rulebook.pages.choosing import date_box, place_box
from sites.rulebook.reading.difference import Asked, DifferencePage, difference_page
from sites.rulebook.reading.place import NoRulebookError, Shelf, place_of, shelf

_BOX = {"first": "first_on", "second": "second_on", "where": "where"}


class DifferenceForm(forms.Form):
    """A place and two sides, each an edition or a day."""

    def __init__(self, asked: Mapping[str, str], files: Shelf) -> None:
        super().__init__(_filled(asked), auto_id="difference-%s")
        editions = [
            ("", "What holds on the date"),
            *(
                (part.key, f"{part.title}, from {day_in_words(part.since)}")
                for part in files.books.editions
            ),
        ]
        self.fields = {
            "where": place_box(),
            "first": _edition_box(editions),
            "first_on": date_box("On"),
            "second": _edition_box(editions),
            "second_on": date_box("On"),
        }

    def page(self, files: Shelf) -> DifferencePage | None:
        """Return the difference; None, with a fault at the box, if a side has no rulebook."""
        if not self.is_valid():
            return None
        typed = self.cleaned_data
        try:
            return difference_page(
                files,
                place_of(typed["where"]),
                Asked(typed["first"], typed["first_on"] or timezone.localdate()),
                Asked(typed["second"], typed["second_on"] or timezone.localdate()),
            )
        except NoRulebookError as none:
            self.add_error(_BOX[none.box], none.message)
            return None

    def faults(self) -> list[Fault]:
        """Return the faults for the summary at the top."""
        return faults_of(self)


def _edition_box(editions: list[tuple[str, str]]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label="Edition",
        required=False,
        choices=editions,
        widget=forms.Select(attrs={"class": "form-select"}),
        error_messages={"invalid_choice": "There is no such edition; choose one of the list."},
    )


def _filled(asked: Mapping[str, str]) -> dict[str, str]:
    """Fill empty dates: a year ago for the first side, today for the second."""
    today = timezone.localdate()
    names = ("where", "first", "first_on", "second", "second_on")
    typed = {name: asked.get(name, "") for name in names}
    typed["first_on"] = typed["first_on"] or (today - dt.timedelta(days=365)).isoformat()
    typed["second_on"] = typed["second_on"] or today.isoformat()
    return typed


@require_safe
def difference(request: HttpRequest) -> HttpResponse:
    """Show what changes from the first side to the second, in sentences."""
    person_of(request)
    files = shelf()
    form = DifferenceForm(request.GET.dict(), files)
    page = form.page(files)
    context: dict[str, object] = {"form": form, "faults": form.faults(), "page": page}
    if page is not None:
        context["asked"] = f"?{urlencode({'where': page.where, 'on': page.on.isoformat()})}"
    return render(request, "rulebook/difference.html", context, status=422 if page is None else 200)
