"""Forms of the pages of packs."""

import datetime as dt
from collections.abc import Iterable
from typing import Unpack

from django import forms
from django.utils import timezone

from connections.pack.case import InstallerDeclaration
from sites.house.boxes.fault_summary import Fault, faults_of, set_faults
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.packs.reading.packs import Obstacle
from sites.packs.writing.issuing import STALE_FILES, PreviewSeen
from sites.packs.writing.sending_without import LONGEST_REASON
from sites.review.models.attachment import PAPERS


class _WithFaults(forms.Form):
    def faults(self) -> list[Fault]:
        return faults_of(self)


class DeclarationForm(_WithFaults):
    """Who declares for the installer, and when."""

    declared_by = forms.CharField(
        label="Declared for the installer by",
        max_length=200,
        help_text="Who declares that all was installed and commissioned as described.",
        widget=forms.TextInput(attrs={"class": "form-control box-middling"}),
        error_messages={"required": "Give the name of who declares it for the installer."},
    )
    declared_on = forms.DateField(
        label="Declared on",
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={
            "required": "Give the date of the declaration.",
            "invalid": "Give the date as day, month and year, such as 24/11/2026.",
        },
    )

    def clean_declared_on(self) -> dt.date:
        """Refuse a future date."""
        day: dt.date = self.cleaned_data["declared_on"]
        if day > timezone.localdate():
            raise forms.ValidationError("The date lies ahead; give the day of the declaration.")
        return day


class IssueForm(DeclarationForm):
    """Issues a pack: carries along what was seen, and the declaration if the pack needs one."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    revision = forms.IntegerField(widget=forms.HiddenInput)
    content = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Sent = None,
        files: SentFiles = None,
        *,
        declares: bool,
        stale: bool = False,
        **more: Unpack[FormArguments],
    ) -> None:
        super().__init__(data, files, **more)
        if not declares:
            del self.fields["declared_by"]
            del self.fields["declared_on"]
        if not stale:
            del self.fields["keeps_files"]

    keeps_files = forms.BooleanField(
        label="Send the files that name other models all the same",
        widget=forms.CheckboxInput(attrs={"class": "form-check-input"}),
        error_messages={"required": STALE_FILES},
    )

    @property
    def seen(self) -> PreviewSeen:
        """The pack as the engineer saw it."""
        data = self.cleaned_data
        return PreviewSeen(data["version"], data["revision"], data["content"])

    @property
    def declaration(self) -> InstallerDeclaration | None:
        """The installer's declaration, if the pack needs one."""
        data = self.cleaned_data
        if "declared_by" not in self.fields:
            return None
        return InstallerDeclaration(data["declared_by"], data["declared_on"])


class WithoutForm(_WithFaults):
    """The reason to send the pack without facts that it needs, chosen from those it lacks."""

    facts = forms.MultipleChoiceField(
        label="Facts that are not known",
        widget=forms.CheckboxSelectMultiple(attrs={"class": "form-check-input"}),
        error_messages={
            "required": "Choose at least one fact.",
            "invalid_choice": "What the pack lacks has changed; choose again.",
        },
    )
    reason = forms.CharField(
        label="Why the pack goes without them",
        max_length=LONGEST_REASON,
        help_text="Printed in the pack beside each gap, where the network operator reads it.",
        widget=forms.Textarea(attrs={"class": "form-control", "rows": 2}),
        error_messages={
            "required": "Give the reason; it is printed in the pack.",
            "max_length": "Keep it to %(limit_value)d characters; this has %(show_value)d.",
        },
    )

    def __init__(
        self,
        data: Sent = None,
        files: SentFiles = None,
        *,
        lacking: Iterable[Obstacle],
        **more: Unpack[FormArguments],
    ) -> None:
        super().__init__(data, files, **more)
        box = self.fields["facts"]
        assert isinstance(box, forms.MultipleChoiceField)
        box.choices = [
            (f"{each.need}/{each.of}", each.fact[:1].upper() + each.fact[1:])
            for each in lacking
            if each.need
        ]

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return set_faults(self, "facts")

    @property
    def chosen(self) -> list[tuple[str, str]]:
        """The chosen facts, each a data item and its row."""
        parts = [text.partition("/") for text in self.cleaned_data["facts"]]
        return [(item, of) for item, _, of in parts]


class AttachmentForm(_WithFaults):
    """A file to attach, with its title."""

    file = forms.FileField(
        label="File",
        help_text="PDF, PNG or JPEG; at most 8 MB and 60 pages.",
        widget=forms.FileInput(attrs={"class": "form-control", "accept": ".pdf,.png,.jpg,.jpeg"}),
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty. Choose another one.",
            "invalid": "Choose a file.",
            "max_length": "Give the file a name of at most %(max)d characters.",
        },
        max_length=200,
    )
    title = forms.CharField(
        label="What it is",
        max_length=200,
        help_text="Printed in the pack, such as “data sheet of the inverter”.",
        widget=forms.TextInput(attrs={"class": "form-control box-middling"}),
        error_messages={"required": "Say in a few words what it is."},
    )
    kind = forms.ChoiceField(
        label="Which paper that operators ask for",
        required=False,
        choices=PAPERS,
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
    )


class EraseForm(_WithFaults):
    """Confirms the erasing of a customer by typing the reference."""

    reference = forms.CharField(
        label="Reference",
        max_length=200,
        widget=forms.TextInput(attrs={"class": "form-control box-middling", "autocomplete": "off"}),
        error_messages={"required": "Type the reference to confirm."},
    )

    def __init__(
        self,
        data: Sent = None,
        files: SentFiles = None,
        *,
        wanted: str,
        **more: Unpack[FormArguments],
    ) -> None:
        super().__init__(data, files, **more)
        self._wanted = wanted

    def clean_reference(self) -> str:
        """Require the reference of the pack."""
        typed: str = self.cleaned_data["reference"].strip()
        if typed.casefold() != self._wanted.casefold():
            raise forms.ValidationError(
                "That is another reference. Nothing was erased; type the one shown above."
            )
        return typed
