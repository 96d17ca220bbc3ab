"""Form for an operator's answer, with its figure in the operator's unit."""

from fractions import Fraction
from typing import Unpack

from django import forms
from django.utils import timezone

from connections.rules.figures import amps
from sites.house.boxes.amount_field import WrittenAmountField
from sites.house.boxes.amounts import Written
from sites.house.boxes.fault_summary import Fault, faults_of
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.review.models.reply import AGREED, CONDITION, KINDS, REFUSED
from sites.review.writing.replies import CAPS, LONGEST_WORDS, Answered

_BASES = {"mA": "ma_per_phase", "W": "w_total", "VA": "va_total"}
_FIGURE = WrittenAmountField(tuple(_BASES))

_TAKES_NO_FIGURE = {
    AGREED: "An agreement as asked has no figure of its own.",
    CONDITION: "A condition is kept in words, with its figures among them.",
    REFUSED: "A refusal has no figure.",
}

SHARED, WHOLE, EACH = "shared", "whole", "each"


class ReplyForm(forms.Form):
    """One answer; with several `phases` of the supply it asks how they share a total."""

    kind = forms.ChoiceField(
        label="What it answers",
        choices=[("", "choose"), *KINDS],
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": "Say what the operator answers."},
    )
    written = forms.CharField(
        label="The figure, in the unit that the operator wrote",
        required=False,
        max_length=60,
        help_text="Such as 5 kW, 16 A or 3.68 kVA. Only for a cap.",
        widget=forms.TextInput(attrs={"class": "form-control box-narrow", "autocomplete": "off"}),
    )
    split = forms.ChoiceField(
        label="How the phases share it",
        required=False,
        widget=forms.Select(attrs={"class": "form-select"}),
        choices=[
            ("", "choose"),
            (SHARED, "It is a total, and each phase may carry its share only"),
            (WHOLE, "It is a total, on whichever phase"),
            (EACH, "It is for each phase"),
        ],
        help_text="Only for a figure in kW or kVA on a supply of several phases.",
    )
    words = forms.CharField(
        label="Condition, charge or reason, as the operator wrote it",
        required=False,
        max_length=LONGEST_WORDS,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": 3}),
        error_messages={"max_length": "Keep it to %(limit_value)d characters."},
    )
    reference = forms.CharField(
        label="Operator's reference",
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"class": "form-control box-middling"}),
    )
    received_on = forms.DateField(
        label="Received on",
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={
            "required": "Give the day on which it came.",
            "invalid": "Give the date as day, month and year, such as 24/11/2026.",
        },
    )
    valid_until = forms.DateField(
        label="Valid until",
        required=False,
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={
            "invalid": "Give the date as day, month and year, such as 24/11/2026.",
        },
    )

    def __init__(
        self,
        data: Sent = None,
        files: SentFiles = None,
        *,
        phases: int,
        nominal_mv: int,
        **more: Unpack[FormArguments],
    ) -> None:
        super().__init__(data, files, **more)
        self.phases, self.nominal_mv = phases, nominal_mv
        if phases <= 1:
            del self.fields["split"]
        self.fields["received_on"].initial = timezone.localdate()

    def clean(self) -> dict[str, object]:
        """Add the figure in whole mA, W or VA; ask how several phases share a total."""
        data = super().clean() or self.cleaned_data
        data["value"], data["basis"], data["split_equally"] = None, "", None
        if data.get("kind") == CONDITION and not data.get("words", "").strip():
            self.add_error("words", "Write the condition as the operator wrote it.")
        if "written" in self.errors:
            return data
        if data.get("kind") not in CAPS:
            self._ask_about_figure(data)
            return data
        if not data.get("written"):
            self.add_error("written", "Write the figure that the operator gave, with its unit.")
            return data
        try:
            figure: Written = _FIGURE.clean(data["written"])
        except forms.ValidationError as fault:
            self.add_error("written", fault)
            return data
        data["value"], data["basis"] = figure.value, _BASES[figure.unit]
        if data["basis"] == "ma_per_phase" or self.phases <= 1:
            return data
        split = data.get("split")
        if not split:
            self.add_error("split", self._asked(data["written"], data["value"]))
        elif split == EACH:
            data["value"] *= self.phases
            data["split_equally"] = True
        else:
            data["split_equally"] = split == SHARED
        return data

    def _ask_about_figure(self, data: dict[str, object]) -> None:
        """Ask about a figure beside an answer that takes none, because it would be lost."""
        written, kind = str(data.get("written") or "").strip(), data.get("kind")
        if not written or kind not in _TAKES_NO_FIGURE:
            return
        self.add_error(
            "written",
            f"{_TAKES_NO_FIGURE[kind]} If {written} is a cap, say above what it caps; if not, "
            "empty this box.",
        )

    def _asked(self, written: str, value: int) -> str:
        one = Fraction(value * 10**6, self.nominal_mv)
        return (
            f"{written} is {_amps(one)} on one phase, {_amps(one / self.phases)} on each of "
            f"{self.phases}: say which the operator means. If it is not clear, ask."
        )

    def answered(self) -> Answered:
        """Return the answer for `enter_reply`."""
        data = self.cleaned_data
        capped = data["kind"] in CAPS
        return Answered(
            kind=data["kind"],
            received_on=data["received_on"],
            written=data["written"] if capped else "",
            value=data["value"],
            basis=data["basis"],
            split_equally=data["split_equally"],
            words=data["words"],
            reference=data["reference"],
            valid_until=data["valid_until"],
        )

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return faults_of(self)


def _amps(exact_ma: Fraction) -> str:
    return amps(int(exact_ma + Fraction(1, 2)))
