"""Forms that end an entry or load a local file of entries."""

from django import forms
from django.core.files.uploadedfile import UploadedFile

from sites.house.boxes.fault_summary import Fault, faults_of
from sites.rulebook.forms.boxes import day_box, words_box
from sites.rulebook.writing.local_entries import LONGEST_REASON


class EndForm(forms.Form):
    """Ends an entry."""

    last_day = day_box("Last day on which it holds", "Give the last day on which it holds.")
    reason = words_box(
        "Why it is ended",
        "Say why this is ended.",
        "Kept with the entry and your name.",
        rows=2,
        longest=LONGEST_REASON,
    )

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return faults_of(self)


MOST_BYTES = 500_000
"""The largest local file; holds about a thousand entries. Our choice."""


class LoadForm(forms.Form):
    """A local file, uploaded or pasted."""

    file = forms.FileField(
        label="The file",
        required=False,
        max_length=200,
        help_text="TOML, as it is downloaded here.",
        error_messages={"empty": "The file is empty. Choose another one."},
        widget=forms.FileInput(attrs={"class": "form-control", "accept": ".toml"}),
    )
    text = forms.CharField(
        label="Or its text",
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        widget=forms.Textarea(attrs={"class": "form-control", "rows": 12, "spellcheck": "false"}),
    )
    reason = words_box(
        "Why it is entered",
        "Say why this is entered.",
        "Kept with each entry and your name.",
        rows=2,
        longest=LONGEST_REASON,
    )

    def clean_file(self) -> UploadedFile[bytes] | None:
        """Refuse a file above MOST_BYTES."""
        file: UploadedFile[bytes] | None = self.cleaned_data["file"]
        if file is not None and (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError("The file is larger than 500 kB; load it in parts.")
        return file

    def faults(self) -> list[Fault]:
        """Return the faults, box by box."""
        return faults_of(self)
