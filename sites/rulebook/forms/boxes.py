"""The boxes that forms of local entries are made of."""

from collections.abc import Sequence

from django import forms

_NOT_A_DATE = "Give the date as day, month and year, such as 24/11/2026."


def day_box(label: str, lacking: str = "", hint: str = "") -> forms.DateField:
    """A date; wanted where `lacking` says what to do without it."""
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
    """Words on a line, or on some `rows` of them; wanted where `lacking` says so."""
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
    """One of a list; wanted where `lacking` says so."""
    return forms.ChoiceField(
        label=label,
        required=bool(lacking),
        help_text=hint,
        choices=choices,
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": lacking, "invalid_choice": "Choose one of the list."},
    )


def sentence(text: str) -> str:
    """The text with the full stop that a sentence has."""
    text = " ".join(text.split())
    return text if not text or text.endswith(".") else f"{text}."


def lines(text: str) -> list[str]:
    """The lines that hold something, each once."""
    return list(dict.fromkeys(" ".join(line.split()) for line in text.splitlines() if line.strip()))
