"""Forms of the review page; the services check their values again."""

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Unpack

from django import forms

from connections.facts.decision import Finding, Way
from sites.house.boxes.fault_summary import Fault, faults_of, set_faults
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.review.models import Attachment
from sites.review.writing.verdicts import LONGEST_TEXT, FindingSeen


def _text(label: str, lacking: str, hint: str = "", rows: int = 3) -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=hint,
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": rows}),
        error_messages={
            "required": lacking,
            "max_length": "Keep it to %(limit_value)d characters; this has %(show_value)d.",
        },
    )


class _OnFinding(forms.Form):
    """A form beneath one finding, with the finding as it was seen."""

    finding = forms.CharField(max_length=60, widget=forms.HiddenInput)
    subject = forms.CharField(max_length=200, widget=forms.HiddenInput)
    basis = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def seen(self) -> FindingSeen:
        """Return the finding as the page showed it."""
        data = self.cleaned_data
        return FindingSeen(data["finding"], data["subject"], data["basis"])

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return faults_of(self)


class VerdictForm(_OnFinding):
    """An engineer's decision; of a finding with ways it names one, and words come on top."""

    way = forms.ChoiceField(
        label="How it is answered",
        widget=forms.RadioSelect(attrs={"class": "form-check-input"}),
        error_messages={
            "required": "Choose the way in which this is answered.",
            "invalid_choice": "Choose one of these ways.",
        },
    )

    reason = _text(
        "Your decision, and the reason for it",
        "Give the reason for your decision.",
        "It is printed in the pack, where the network operator reads it.",
    )

    def __init__(
        self, data: Sent = None, *, ways: Iterable[Way] = (), **more: Unpack[FormArguments]
    ) -> None:
        super().__init__(data, **more)
        box = self.fields["way"]
        assert isinstance(box, forms.ChoiceField)
        box.choices = [(way.key, f"{way.says[:1].upper()}{way.says[1:]}") for way in ways]
        if box.choices:
            self.fields["reason"].label = "What else is to be said, if anything"
            self.fields["reason"].required = False
        else:
            del self.fields["way"]

    def faults(self) -> list[Fault]:
        """Return the faults; one of the ways is at the first of them, for a set has no id."""
        return set_faults(self, "way")


class SeveralForm(forms.Form):
    """One decision on several findings, each chosen and named."""

    findings = forms.MultipleChoiceField(
        label="Findings that this decides",
        widget=forms.CheckboxSelectMultiple(attrs={"class": "form-check-input"}),
        error_messages={
            "required": "Choose at least one finding.",
            "invalid_choice": "The facts behind a finding have changed; read it again and choose.",
        },
    )
    reason = _text(
        "Your decision, and the reason for all of them",
        "Give the reason for your decision.",
        "It is printed in the pack beside each of them.",
    )

    def __init__(
        self, data: Sent = None, *, open_findings: Sequence[Finding], **more: Unpack[FormArguments]
    ) -> None:
        super().__init__(data, **more)
        self.seen_by_text = {
            "|".join((each.id, each.subject, each.basis)): FindingSeen(
                each.id, each.subject, each.basis
            )
            for each in open_findings
        }
        box = self.fields["findings"]
        assert isinstance(box, forms.MultipleChoiceField)
        said = [each.sentence for each in open_findings]
        box.choices = list(zip(self.seen_by_text, said, strict=True))

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return set_faults(self, "findings")

    @property
    def chosen(self) -> list[FindingSeen]:
        """The findings chosen, as the page showed them."""
        return [self.seen_by_text[text] for text in self.cleaned_data["findings"]]


class AgreementForm(_OnFinding):
    """The operator's written agreement to a finding that stops."""

    reference = forms.CharField(
        label="Operator's reference",
        max_length=200,
        widget=forms.TextInput(attrs={"class": "form-control box-middling"}),
        error_messages={"required": "Give the operator's reference on the agreement."},
    )
    date = forms.DateField(
        label="Date of the agreement",
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={
            "required": "Give the date of the agreement.",
            "invalid": "Give the date as day, month and year, such as 24/11/2026.",
        },
    )
    reason = _text(
        "What the operator agreed to", "Say what the operator agreed to.", "Printed in the pack."
    )
    file = forms.FileField(
        label="The agreement",
        required=False,
        max_length=200,
        help_text="PDF, PNG or JPEG, at most 8 MB; it goes with the pack.",
        error_messages={
            "empty": "The file is empty. Choose another one.",
            "max_length": "Give the file a name of at most %(max)d characters.",
        },
        widget=forms.FileInput(attrs={"class": "form-control", "accept": ".pdf,.png,.jpg,.jpeg"}),
    )
    attached = forms.ChoiceField(
        label="Or one of the files attached already",
        required=False,
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
    )

    def __init__(
        self,
        data: Sent = None,
        sent: SentFiles = None,
        *,
        files: Iterable[Attachment] = (),
        **more: Unpack[FormArguments],
    ) -> None:
        super().__init__(data, sent, **more)
        self.files_there = {str(file.key): file for file in files}
        choices = [(key, file.title or file.name) for key, file in self.files_there.items()]
        if choices:
            box = self.fields["attached"]
            assert isinstance(box, forms.ChoiceField)
            box.choices = [("", "None of them"), *choices]
        else:
            del self.fields["attached"]

    def clean_date(self) -> dt.date:
        """Return the date as typed; `enter_agreement` checks it."""
        day: dt.date = self.cleaned_data["date"]
        return day

    def clean(self) -> dict[str, object]:
        """Require an uploaded file or an attached one."""
        cleaned = super().clean() or self.cleaned_data
        lacking = not cleaned.get("file") and not cleaned.get("attached")
        if lacking and "file" not in self.errors:
            self.add_error("file", "Attach the agreement as the operator sent it.")
        return cleaned

    @property
    def chosen(self) -> Attachment | None:
        """The chosen attachment."""
        return self.files_there.get(self.cleaned_data.get("attached", ""))


class QuestionForm(_OnFinding):
    """A question to the office on a finding."""

    text = _text(
        "Question to the office",
        "Write the question.",
        "It stands on the work list until answered.",
    )


class AnswerForm(forms.Form):
    """The office's answer."""

    answer = _text("Answer", "Write the answer.")

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return faults_of(self)
