"""Forms for a query on the operator's record, and for its answer."""

from django import forms
from django.utils import timezone

from sites.house.form_arguments import Sent
from sites.review.forms.answers import day_box
from sites.review.models.record_query import OUTCOMES

_LONGEST = 2000


def _words(label: str, hint: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        required=False,
        max_length=_LONGEST,
        help_text=hint,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": 2}),
    )


class RecordAskedForm(forms.Form):
    """A query: what the record is known to show, and the day of asking."""

    recorded = _words("What the operator’s record shows", "Empty where you know of no entry.")
    asked_on = day_box("Asked on", "Give the day of asking.")

    def __init__(self, data: Sent = None) -> None:
        super().__init__(data, auto_id="asked-%s")
        self.fields["asked_on"].initial = timezone.localdate()


class RecordAnswerForm(forms.Form):
    """What the operator answered."""

    outcome = forms.ChoiceField(
        label="What the operator answered",
        choices=[("", "choose"), *OUTCOMES],
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": "Choose what the operator answered."},
    )
    answered_on = day_box("Answered on", "Give the day of the answer.")
    answer = _words("In its words")

    def __init__(self, data: Sent = None) -> None:
        super().__init__(data, auto_id="answered-%s")
