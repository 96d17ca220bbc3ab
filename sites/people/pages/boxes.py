"""What the pages of people share: the summary of faults of a form, and links for passwords."""

from typing import Any

from django import forms
from django.contrib.auth.tokens import default_token_generator
from django.http import HttpRequest
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from sites.people.models import Person


def faults_of(form: forms.BaseForm) -> list[dict[str, Any]]:
    """The boxes at fault, for the summary at the top; then the faults of the form as a whole."""
    boxes = [
        {"target": box.id_for_label or box.auto_id, "label": box.label, "message": box.errors[0]}
        for box in form
        if box.errors
    ]
    whole = [{"target": "", "label": "", "message": each} for each in form.non_field_errors()]
    return boxes + whole


def add_fault(form: forms.BaseForm, field: str, says: str) -> None:
    """Put a refusal at its box, or at the top where the form has no such box."""
    form.add_error(field if field in form.fields else None, says)


def password_link(request: HttpRequest, person: Person) -> str:
    """An address where this person can choose a password, once, for three days.

    It rests on the present password: once another one is kept, it no longer works.
    """
    uid = urlsafe_base64_encode(force_bytes(person.pk))
    token = default_token_generator.make_token(person)
    return request.build_absolute_uri(reverse("password-set", args=[uid, token]))
