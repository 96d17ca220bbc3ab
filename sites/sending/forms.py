"""Forms of the pages of sending."""

import uuid
from collections.abc import Mapping

from django import forms
from django.http import QueryDict
from django.utils import timezone

from sites.house.boxes.fault_summary import Fault, faults_of
from sites.people.models import Person
from sites.review.models import Attachment
from sites.sending.models import KINDS
from sites.sending.reading.outbox import ToSend
from sites.sending.writing.contents import LONGEST_SUBJECT, LONGEST_WORDS

Said = Mapping[str, str]
"""Words that stand in the boxes before somebody types, by the name of the box."""

_DATE = {
    "required": "Give the day.",
    "invalid": "Give the date as day, month and year, such as 24/11/2026.",
}


def date_box(label: str, *, required: bool = True, hint: str = "") -> forms.DateField:
    """A box of a date."""
    return forms.DateField(
        label=label,
        required=required,
        help_text=hint,
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages=_DATE,
    )


def words_box(label: str, *, rows: int, required: bool, hint: str = "") -> forms.CharField:
    """A box of several lines, kept as typed."""
    return forms.CharField(
        label=label,
        required=required,
        help_text=hint,
        max_length=LONGEST_WORDS,
        strip=False,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": rows}),
        error_messages={
            "required": "Write it in a few words.",
            "max_length": "Keep it to %(limit_value)d characters.",
        },
    )


class WithFaults(forms.Form):
    """A form that tells its faults box by box."""

    def faults(self) -> list[Fault]:
        """Every fault, for the summary."""
        return faults_of(self)


class _Sending(WithFaults):
    """What every way of sending has: the page's key, the pack seen, chosen files."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    pack = forms.UUIDField(widget=forms.HiddenInput)
    beside = forms.MultipleChoiceField(
        label="Files that go beside the pack",
        required=False,
        widget=forms.CheckboxSelectMultiple(attrs={"class": "form-check-input"}),
        error_messages={"invalid_choice": "A file was taken out meanwhile; choose again."},
    )
    again = forms.BooleanField(
        label="It goes again, though this revision was sent before",
        required=False,
        widget=forms.CheckboxInput(attrs={"class": "form-check-input"}),
    )

    def __init__(self, typed: QueryDict | None, *, page: ToSend, said: Said, auto_id: str) -> None:
        self.carries = {str(file.key): file for file in page.files}
        pack = page.pack.key if page.pack is not None else None
        starts = {"key": uuid.uuid4(), "pack": pack, "beside": list(self.carries)}
        super().__init__(typed, auto_id=auto_id, initial={**starts, **said})
        box = self.fields["beside"]
        assert isinstance(box, forms.MultipleChoiceField)
        box.choices = [(key, file.title or file.name) for key, file in self.carries.items()]
        if not self.carries:
            del self.fields["beside"]
        if not page.sent_before:
            del self.fields["again"]

    @property
    def chosen(self) -> list[Attachment]:
        """The chosen files."""
        return [self.carries[key] for key in self.cleaned_data.get("beside", ())]


class ByHandForm(_Sending):
    """Says that a pack was uploaded, or sent by our own mail or post."""

    sent_on = date_box("Sent on")
    sent_by = forms.ModelChoiceField(
        Person.objects.none(),
        label="Sent by",
        empty_label=None,
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
    )
    reference = forms.CharField(
        label="The operator’s reference",
        required=False,
        max_length=200,
        help_text="The number that the portal showed, if it did.",
        widget=forms.TextInput(attrs={"class": "form-control box-middling", "autocomplete": "off"}),
    )
    words = words_box("Covering words", rows=10, required=False)
    field_order = ("sent_on", "sent_by", "reference", "beside", "words", "again")

    def __init__(
        self,
        typed: QueryDict | None,
        *,
        page: ToSend,
        said: Said,
        auto_id: str,
        zipped: bool,
        by: Person,
    ) -> None:
        super().__init__(typed, page=page, said=said, auto_id=auto_id)
        box = self.fields["sent_by"]
        assert isinstance(box, forms.ModelChoiceField)
        box.queryset = Person.objects.filter(is_active=True).order_by("name", "pk")
        box.initial = by.pk
        self.fields["sent_on"].initial = timezone.localdate()
        if zipped:
            del self.fields["reference"]
        else:
            self.fields["sent_on"].label = "Uploaded on"
            box.label = "Uploaded by"
            del self.fields["words"]


class MailForm(_Sending):
    """A mail to the operator."""

    recipient = forms.CharField(
        label="To",
        max_length=254,
        widget=forms.TextInput(
            attrs={"class": "form-control box-middling", "type": "email", "autocomplete": "off"}
        ),
        error_messages={"required": "Give the address for applications of this operator."},
    )
    subject = forms.CharField(
        label="Subject",
        max_length=LONGEST_SUBJECT,
        strip=False,
        widget=forms.TextInput(attrs={"class": "form-control"}),
        error_messages={"required": "Give the mail a subject."},
    )
    words = words_box("Message", rows=12, required=True)
    field_order = ("recipient", "subject", "words", "beside", "again")


class FoundOutForm(WithFaults):
    """How a dispatch ended, as somebody found out."""

    says = forms.CharField(
        label="How you know",
        max_length=500,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": 2}),
        error_messages={
            "required": "Say how this was found out.",
            "max_length": "Keep it to %(limit_value)d characters.",
        },
    )


class ConversationForm(WithFaults):
    """A letter, a call, a mail or a visit."""

    kind = forms.ChoiceField(
        label="What it was",
        choices=KINDS,
        widget=forms.Select(attrs={"class": "form-select box-narrow"}),
    )
    on = date_box("Day")
    with_whom = forms.CharField(
        label="With whom",
        max_length=200,
        widget=forms.TextInput(attrs={"class": "form-control box-middling", "autocomplete": "off"}),
        error_messages={"required": "Say with whom it was."},
    )
    said = words_box("What was said", rows=4, required=True)
    chase_on = date_box("Ask again on", required=False, hint="The days of the case then show it.")

    def __init__(self, typed: QueryDict | None, *, auto_id: str) -> None:
        super().__init__(typed, auto_id=auto_id)
        self.fields["on"].initial = timezone.localdate()
