"""Forms for an operator's answer and what follows on it."""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Unpack

from django import forms
from django.utils import timezone

from connections.rules.figures import amps
from sites.house.boxes.amount_field import WrittenAmountField
from sites.house.boxes.amounts import Written
from sites.house.boxes.fault_summary import Fault, faults_of
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.house.uploads import Upload
from sites.review.models.reply import (
    AFTER,
    AGREED,
    BEFORE_ENERGISING,
    BEFORE_INSTALL,
    CONDITION,
    KINDS,
    OFFER,
    REFUSED,
    STUDY,
    WANTED,
)
from sites.review.writing.replies import CAPS, LONGEST_WORDS, Answered

_BASES = {"mA": "ma_per_phase", "W": "w_total", "VA": "va_total"}
_FIGURE = WrittenAmountField(tuple(_BASES))

_TAKES_NO_FIGURE = {
    AGREED: "An agreement as asked has no figure of its own.",
    CONDITION: "A condition is kept in words, with its figures among them.",
    OFFER: "A charge has a box of its own.",
    STUDY: "A study has no figure.",
    WANTED: "A question has no figure.",
    REFUSED: "A refusal has no figure.",
}

SHARED, WHOLE, EACH = "shared", "whole", "each"
_CONDITIONS = {
    "before_install": BEFORE_INSTALL,
    "before_energising": BEFORE_ENERGISING,
    "after": AFTER,
}
_WITH_CONDITIONS = frozenset({CONDITION, OFFER, *CAPS})


def day_box(label: str, lacking: str = "", hint: str = "") -> forms.DateField:
    """A box for a day; `lacking` is what to say without one, empty where it may be left out."""
    return forms.DateField(
        label=label,
        required=bool(lacking),
        help_text=hint,
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={
            "required": lacking,
            "invalid": "Give the date as day, month and year, such as 24/11/2026.",
        },
    )


def _conditions(when: str, hint: str = "") -> forms.CharField:
    return forms.CharField(
        label=f"Conditions {when}, one a line",
        required=False,
        max_length=LONGEST_WORDS,
        help_text=hint,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": 2}),
        error_messages={"max_length": "Keep it to %(limit_value)d characters."},
    )


class ReplyForm(forms.Form):
    """One answer; with several `phases` of the supply it asks how they share a total."""

    field_order = ("kind", "received_on", "reference", "valid_until", "written", "split", "charge")

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
    charge = forms.DecimalField(
        label="Charge in pounds",
        required=False,
        min_value=Decimal("0.01"),
        max_digits=10,
        decimal_places=2,
        help_text="As the operator wrote it. Say in words below whether it holds VAT.",
        widget=forms.TextInput(attrs={"class": "form-control box-narrow", "inputmode": "decimal"}),
        error_messages={
            "invalid": "Give the charge in pounds, such as 1240.00.",
            "max_digits": "This is more than a charge can be; give it in pounds.",
            "max_decimal_places": "Give pounds and pence, such as 1240.50.",
            "min_value": "A charge is more than nothing; leave this empty for none.",
        },
    )
    before_install = _conditions("before installing", "They hold up the booking until met.")
    before_energising = _conditions("before energising", "They hold up commissioning until met.")
    after = _conditions("after the work", "They keep the case open until met.")
    words = forms.CharField(
        label="What else it wrote: reason, question or terms",
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
    received_on = day_box("Received on", "Give the day on which it came.")
    valid_until = day_box(
        "Last day",
        hint="Of an offer or agreement its end. Of a study the day of the answer; of a question "
        "the day by which the operator wants to know.",
    )
    file = forms.FileField(
        label="The letter, or a photograph of it",
        required=False,
        max_length=200,
        help_text="PDF, PNG or JPEG, at most 8 MB. Packs do not carry it.",
        error_messages={
            "empty": "The file is empty. Choose another one.",
            "max_length": "Give the file a name of at most %(max)d characters.",
        },
        widget=forms.FileInput(attrs={"class": "form-control", "accept": ".pdf,.png,.jpg,.jpeg"}),
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
        kind = data.get("kind")
        data["conditions"] = list(self._conditions(data))
        if kind == CONDITION and not data["conditions"]:
            self.add_error("before_install", "Write each condition as the operator wrote it.")
        if data["conditions"] and kind and kind not in _WITH_CONDITIONS:
            box = next(name for name in _CONDITIONS if data.get(name))
            self.add_error(box, "This answer has no conditions. Choose another above, or empty it.")
        if kind == OFFER and data.get("charge") is None and "charge" not in self.errors:
            self.add_error("charge", "Give the charge that the operator named.")
        if data.get("charge") is not None and kind not in (OFFER, *CAPS, STUDY, None):
            self.add_error("charge", "This answer has no charge. Choose an offer, or empty it.")
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

    def _conditions(self, data: dict[str, object]) -> Iterator[tuple[str, str]]:
        for name, when in _CONDITIONS.items():
            lines = str(data.get(name) or "").splitlines()
            yield from ((when, line.strip()) for line in lines if line.strip())

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

    def answered(self, file: Upload | None = None) -> Answered:
        """Return the answer for `enter_reply`; `file` is the letter, examined."""
        data = self.cleaned_data
        charge: Decimal | None = data["charge"]
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
            charge_pence=int(charge * 100) if charge is not None else None,
            conditions=data["conditions"],
            file=file,
        )

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return faults_of(self)


class AcceptForm(forms.Form):
    """Who accepted an offer, when and how, and how long the agreement then lasts."""

    on = day_box("Accepted on", "Give the day on which it was accepted.")
    how = forms.CharField(
        label="Who accepted it, and how",
        max_length=500,
        widget=forms.TextInput(attrs={"class": "form-control box-middling"}),
        error_messages={"required": "Say who accepted it, and how."},
    )
    agreed_until = day_box("The agreement then lasts until", hint="Empty where it has no end.")


class DayForm(forms.Form):
    """The day of something that has happened, and a note on it."""

    on = day_box("On", "Give the day.")
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=LONGEST_WORDS,
        widget=forms.TextInput(attrs={"class": "form-control"}),
    )


def _amps(exact_ma: Fraction) -> str:
    return amps(int(exact_ma + Fraction(1, 2)))
