"""The summary of faults at the top of a page, each with a link to its box."""

from django import forms
from msgspec import Struct


class Fault(Struct, frozen=True):
    """One fault: the id of its box (empty for none), the box's label, and what to do."""

    target: str
    label: str
    message: str


def faults_of(form: forms.Form) -> list[Fault]:
    """Every fault of a form in the order of its boxes; those of no box in particular come last."""
    found = [
        Fault("" if box.is_hidden else box.id_for_label, str(box.label or ""), str(message))
        for box in form
        for message in box.errors
    ]
    return [*found, *(Fault("", "", str(message)) for message in form.non_field_errors())]
