"""Boxes for the forms of local entries."""

from collections.abc import Sequence

from django import forms

_NOT_A_DATE = "Give the date as day, month and year, such as 24/11/2026."


def day_box(label: str, lacking: str = "", hint: str = "") -> forms.DateField:
    """Return a date box. Without the message `lacking` it is optional."""
    return forms.DateField(
        label=label,
        required=bool(lacking),
        help_text=hint,
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={"required": lacking, "invalid": _NOT_A_DATE},
    )


def words_box(
    label: str, lacking: str = "", hint: str = "", *, rows: int = 0, longest: int = 1000
) -> forms.CharField:
    """Return a text box, of `rows` lines if given. Without the message `lacking` it is optional."""
    attrs: dict[str, object] = {"class": "form-control"}
    widget: forms.Widget = forms.TextInput(attrs={**attrs, "autocomplete": "off"})
    if rows:
        widget = forms.Textarea(attrs={**attrs, "rows": rows})
    return forms.CharField(
        label=label,
        required=bool(lacking),
        help_text=hint,
        max_length=longest,
        widget=widget,
        error_messages={
            "required": lacking,
            "max_length": "Keep it to %(limit_value)d characters; this has %(show_value)d.",
        },
    )


def select_box(
    label: str, choices: Sequence[tuple[str, str]], lacking: str = "", hint: str = ""
) -> forms.ChoiceField:
    """Return a list to choose from. Without the message `lacking` it is optional."""
    return forms.ChoiceField(
        label=label,
        required=bool(lacking),
        help_text=hint,
        choices=choices,
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": lacking, "invalid_choice": "Choose one of the list."},
    )


def sentence(text: str) -> str:
    """Join the words by single spaces and end them with a full stop."""
    text = " ".join(text.split())
    return text if not text or text.endswith(".") else f"{text}."


def lines(text: str) -> list[str]:
    """Return the lines that are not empty, each once, without extra spaces."""
    return list(dict.fromkeys(" ".join(line.split()) for line in text.splitlines() if line.strip()))
