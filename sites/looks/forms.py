"""Form that starts a look at all cases under the rules of a day."""

from django import forms

from sites.house.boxes.fault_summary import Fault, faults_of


class StartForm(forms.Form):
    """The day whose rules are used."""

    on = forms.DateField(
        label="Under the rules of",
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={
            "required": "Give the day whose rules are meant.",
            "invalid": "Give the date as day, month and year, such as 24/11/2026.",
        },
    )

    def faults(self) -> list[Fault]:
        """Return the faults for the summary at the top."""
        return faults_of(self)
