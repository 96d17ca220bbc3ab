"""Reads place and day of a rulebook from the address of a page."""

import datetime as dt
from collections.abc import Callable, Mapping

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import urlencode

from sites.house.boxes.fault_summary import Fault, faults_of
from sites.people.fetching import person_of
from sites.rulebook.reading.place import Chosen, NoRulebookError, chosen, place_groups

BAD_DATE = "Give the date as day, month and year, such as 24/11/2026."


def place_box() -> forms.ChoiceField:
    """Return the list of places; empty stands for Great Britain."""
    return forms.ChoiceField(
        label="Where",
        required=False,
        choices=[
            (group.title, [(choice.value, choice.name) for choice in group.choices])
            for group in place_groups()
        ],
        widget=forms.Select(attrs={"class": "form-select"}),
        error_messages={"invalid_choice": "There is no such place; choose one of the list."},
    )


def date_box(label: str) -> forms.DateField:
    """Return a date box; empty stands for today."""
    return forms.DateField(
        label=label,
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"class": "form-control", "type": "date"}),
        error_messages={"invalid": BAD_DATE},
    )


class PlaceForm(forms.Form):
    """Place and day of a rulebook; an address may leave out both."""

    on = date_box("On")

    def __init__(self, asked: Mapping[str, str]) -> None:
        today = timezone.localdate().isoformat()
        typed = {"where": asked.get("where", ""), "on": asked.get("on") or today}
        super().__init__(typed, auto_id="place-%s")
        self.fields = {"where": place_box(), **self.fields}

    def chosen(self) -> Chosen | None:
        """Return the rulebook of place and day; None, with a fault at the box, if there is none."""
        if not self.is_valid():
            return None
        try:
            return chosen(self.cleaned_data["where"], self.day)
        except NoRulebookError as none:
            self.add_error(none.box, none.message)
            return None

    @property
    def day(self) -> dt.date:
        """Return the chosen day, or today."""
        day: dt.date | None = self.cleaned_data["on"]
        return day or timezone.localdate()

    def faults(self) -> list[Fault]:
        """Return the faults for the summary at the top."""
        return faults_of(self)


def address_of(found: Chosen, **more: str) -> str:
    """Return the query string of the same rulebook; empty for today's of Great Britain."""
    today = found.on == timezone.localdate()
    asked = {
        "where": found.place.where,
        "on": "" if today else found.on.isoformat(),
        **more,
    }
    words = {name: word for name, word in asked.items() if word}
    return f"?{urlencode(words)}" if words else ""


def show(
    request: HttpRequest,
    template: str,
    context_of: Callable[[Chosen], dict[str, object]],
    **more: object,
) -> HttpResponse:
    """Show a page on the rulebook of the address, or its fault (422) if there is none."""
    person_of(request)
    form = PlaceForm(request.GET.dict())
    found = form.chosen()
    context: dict[str, object] = {"form": form, "faults": form.faults(), "chosen": found, **more}
    if found is not None:
        context |= {"asked": address_of(found), **context_of(found)}
    return render(request, template, context, status=422 if found is None else 200)
