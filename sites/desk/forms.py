"""Forms of the page of a case: a move by hand, its owner, and what is known once it runs."""

import datetime as dt
from collections.abc import Iterable
from typing import Any, Unpack
from uuid import UUID

from django import forms
from django.utils import timezone

from sites.cases.moves import ACTS
from sites.cases.writing import LONGEST_REASON
from sites.house.form_arguments import FormArguments, Sent
from sites.packs.forms import DeclarationForm
from sites.people.models import Person
from sites.premises.models import Unit
from sites.premises.writing.commissioning import Declared, Installed


class MoveForm(forms.Form):
    """One act by hand. Its text box is of several lines, so that Enter sends nothing."""

    act = forms.ChoiceField(
        choices=[(key, act.says) for key, act in ACTS.items() if not act.by_itself],
        widget=forms.HiddenInput,
    )
    seen = forms.IntegerField(widget=forms.HiddenInput)
    on = forms.DateField(
        required=False,
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={
            "invalid": "Give the date as day, month and year, such as 24/11/2026.",
        },
    )
    reason = forms.CharField(
        label="Why",
        max_length=LONGEST_REASON,
        required=False,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": 2}),
    )

    def __init__(self, data: Sent = None, *, name: str = "", **more: Unpack[FormArguments]) -> None:
        super().__init__(data, **more)
        if name in ACTS:
            self.fields["reason"].label = ACTS[name].asks
            if not ACTS[name].reason:
                del self.fields["reason"]
            self.fields["on"].label = ACTS[name].day
        if name not in ACTS or not ACTS[name].day:
            del self.fields["on"]


class OwnerForm(forms.Form):
    """Hands a case over to somebody of the firm."""

    owner = forms.ModelChoiceField(
        queryset=Person.objects.none(),
        required=False,
        empty_label="Nobody",
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
    )

    def __init__(self, data: Sent = None, **more: Unpack[FormArguments]) -> None:
        super().__init__(data, **more)
        box = self.fields["owner"]
        assert isinstance(box, forms.ModelChoiceField)
        box.queryset = Person.objects.filter(is_active=True).order_by("name", "pk")


class CommissionedForm(DeclarationForm):
    """Commissioning dates and serial numbers of the proposed units, and the declaration."""

    checked = forms.BooleanField(
        label="All of this is installed and commissioned as entered here.",
        widget=forms.CheckboxInput(attrs={"class": "form-check-input"}),
        error_messages={"required": "Tick this once it is so; nothing was entered."},
    )
    seen = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(
        self, data: Sent = None, *, units: Iterable[Unit], **more: Unpack[FormArguments]
    ) -> None:
        super().__init__(data, **more)
        self.units = list(units)
        boxes: dict[str, forms.Field] = {}
        for unit in self.units:
            boxes[f"on-{unit.key}"] = forms.DateField(
                label=f"{unit.label}: commissioned on",
                initial=unit.commissioned_on,
                widget=forms.DateInput(
                    format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
                ),
                error_messages={
                    "required": "Give the day on which it was commissioned.",
                    "invalid": "Give the date as day, month and year, such as 24/11/2026.",
                },
            )
            boxes[f"serials-{unit.key}"] = forms.CharField(
                label=f"{unit.label}: serial number of each unit, one a line",
                initial=unit.serials,
                max_length=4000,
                widget=forms.Textarea(attrs={"class": "form-control box-middling", "rows": 2}),
                error_messages={"required": "Give the serial number on the unit."},
            )
        self.fields = {**boxes, **self.fields}

    def clean(self) -> dict[str, Any]:
        """Refuse a day ahead, at its box."""
        for name, value in list(self.cleaned_data.items()):
            if isinstance(value, dt.date) and value > timezone.localdate():
                self.add_error(name, "This day lies ahead; enter it once the plant runs.")
        return self.cleaned_data

    @property
    def installed(self) -> dict[UUID, Installed]:
        """What was entered of each unit."""
        data = self.cleaned_data
        return {
            unit.key: Installed(data[f"on-{unit.key}"], data[f"serials-{unit.key}"])
            for unit in self.units
        }

    @property
    def declared(self) -> Declared:
        """The installer's declaration."""
        return Declared(self.cleaned_data["declared_by"], self.cleaned_data["declared_on"])
