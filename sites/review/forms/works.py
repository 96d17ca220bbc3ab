"""Forms for works of the operator on its network."""

from django import forms
from django.utils import timezone

from sites.house.form_arguments import Sent
from sites.review.forms.answers import day_box
from sites.review.models.works import WHICH
from sites.review.writing.works import Asked


class AskedForm(forms.Form):
    """A job that the operator is asked for."""

    kind = forms.ChoiceField(
        label="What the operator does",
        choices=[("", "choose"), *WHICH],
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": "Choose what the operator does."},
    )
    words = forms.CharField(
        label="In words",
        required=False,
        max_length=500,
        widget=forms.TextInput(attrs={"class": "form-control"}),
    )
    reference = forms.CharField(
        label="Operator’s reference",
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"class": "form-control box-middling"}),
    )
    asked_on = day_box("Asked for on", "Give the day of asking.")
    planned_on = day_box("Planned for", hint="Empty until the operator names a day.")

    def __init__(self, data: Sent = None) -> None:
        super().__init__(data, auto_id="asked-%s")
        self.fields["asked_on"].initial = timezone.localdate()

    def asked(self) -> Asked:
        """The job for `ask_for_works`."""
        return Asked(**self.cleaned_data)


class WorksDaysForm(forms.Form):
    """The planned day of a job, and the day on which it was done."""

    planned_on = day_box("Planned for")
    done_on = day_box("Done on", hint="Empty until it is done.")
