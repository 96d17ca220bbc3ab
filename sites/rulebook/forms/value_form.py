"""Form of a local value."""

import datetime as dt
from typing import Unpack

from django import forms

from sites.house.boxes.amount_field import WrittenAmountField
from sites.house.boxes.amounts import Written
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.rulebook.forms.boxes import day_box, select_box, words_box
from sites.rulebook.forms.entry_form import EntryForm
from sites.rulebook.reading.choosable import AREA_ONLY, Choosable


class ValueForm(EntryForm):
    """A local value, in place of that of the layer below."""

    kind = "value"
    own = ("value",)

    def __init__(
        self,
        data: Sent = None,
        files: SentFiles = None,
        *,
        choosable: Choosable,
        **more: Unpack[FormArguments],
    ) -> None:
        super().__init__(data, files, **more)
        self.choosable = choosable
        self.fields["value"] = _box(choosable)
        if choosable.key in AREA_ONLY:
            self.for_an_area("This speaks of one network operator.")
        self.put_in_order()

    def clean_value(self) -> object:
        """Return the amount as a local file writes it; a bare number takes the box's unit."""
        typed = self.cleaned_data["value"]
        unit = self.choosable.unit
        if unit == "yes-no":
            return typed == "yes"
        if unit == "list":
            return [word.strip() for word in typed.split(",") if word.strip()]
        if isinstance(typed, dt.date):
            return typed.isoformat()
        if isinstance(typed, int):
            return typed
        if isinstance(typed, Written):
            return typed.text
        return " ".join(typed.split())

    def about(self) -> str:
        """Return the key of the value."""
        return self.choosable.key

    def content(self) -> dict[str, object]:
        """Return the amount; sentence, unit and scope stay those of the edition."""
        return {
            "says": self.choosable.says,
            "unit": self.choosable.unit,
            "applies_to": self.choosable.applies_to,
            "value": self.cleaned_data["value"],
        }


def _box(value: Choosable) -> forms.Field:
    lacking = "Give the value."
    if value.unit == "yes-no":
        return select_box("Value", [("", "choose"), ("yes", "yes"), ("no", "no")], lacking)
    if value.words:
        return select_box("Value", [("", "choose"), *((w, w) for w in value.words)], lacking)
    if value.unit == "date":
        return day_box("Value", lacking)
    if value.unit == "count":
        return forms.IntegerField(
            label="Value",
            min_value=0,
            max_value=10**9,
            widget=forms.NumberInput(attrs={"class": "form-control box-narrow"}),
            error_messages={"required": lacking, "invalid": "Give a whole number."},
        )
    if value.unit == "list":
        return words_box("Value", lacking, "Words, with commas between them.")
    if value.unit == "text":
        return words_box("Value", lacking)
    hint = f"With its unit; without one it is taken as {value.beside}." if value.beside else ""
    return WrittenAmountField(
        (value.unit,),
        beside=value.beside,
        label="Value",
        needed=lacking,
        help_text=hint or "With its unit.",
    )
