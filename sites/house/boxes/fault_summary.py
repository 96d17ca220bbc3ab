"""The summary of faults at the top of a page, each with a link to its box."""

from django import forms
from msgspec import Struct


class Fault(Struct, frozen=True):
    """One fault: the id of its box (empty for none), the box's label, and what to do."""

    target: str
    label: str
    message: str


def set_faults(form: forms.Form, name: str) -> list[Fault]:
    """Every fault of a form; one of the set of choices `name` is at its first choice."""
    if name not in form.fields:
        return faults_of(form)
    of_set = {str(message) for message in form[name].errors}
    return [
        Fault(f"{form[name].auto_id}_0", fault.label, fault.message)
        if fault.message in of_set
        else fault
        for fault in faults_of(form)
    ]


def faults_of(form: forms.Form) -> list[Fault]:
    """Every fault of a form in the order of its boxes; those of no box in particular come last."""
    found = [
        Fault("" if box.is_hidden else box.id_for_label, str(box.label or ""), str(message))
        for box in form
        for message in box.errors
    ]
    return [*found, *(Fault("", "", str(message)) for message in form.non_field_errors())]
