"""Boxes of the form of energy years."""

import re
from decimal import Decimal
from typing import Any

from django import forms

from connections.energy.options import Window
from sites.energy.writing.given import HourPence

MOST_HOURS = 48
"""Prices of hours that one box takes: one for each half hour of a day."""

NARROW = {"class": "form-control box-narrow", "inputmode": "decimal", "autocomplete": "off"}


class PenceField(forms.DecimalField):
    """A price in pence; takes its unit too."""

    _UNIT = re.compile(r"\s*(?:p|pence)\s*$", re.I)

    def to_python(self, value: object) -> Any:
        """Return the number as Decimal, None for an empty box. Raises ValidationError."""
        return super().to_python(self._UNIT.sub("", value) if isinstance(value, str) else value)


_HOURS = re.compile(
    r"(\d{1,2}):?(\d\d)\s*(?:to|-|–)\s*(\d{1,2}):?(\d\d)\s*[:,]?\s+(-?\d{1,4}(?:\.\d{1,2})?)\s*(?:p|pence)?",
    re.I,
)


class HoursField(forms.CharField):
    """Prices of some hours of the day, one a line: "16:00 to 19:00 41.2"."""

    def to_python(self, value: object) -> Any:
        """Return a tuple of HourPence. Raises ValidationError naming the line at fault."""
        found = []
        for line in str(value or "").splitlines():
            if not line.strip():
                continue
            match = _HOURS.fullmatch(line.strip())
            begins, ends = (_minute(match, 1), _minute(match, 3)) if match else (None, None)
            if match is None or begins is None or ends is None or begins == 1440:
                raise forms.ValidationError(
                    f"Write the line “{line.strip()[:60]}” as two times of day and a price in "
                    "pence: 16:00 to 19:00 41.2"
                )
            found.append(HourPence(Window(begins, ends), Decimal(match[5])))
        if len(found) > MOST_HOURS:
            raise forms.ValidationError(f"Give at most {MOST_HOURS} lines.")
        return tuple(found)


def _minute(match: re.Match[str], at: int) -> int | None:
    hour, minute = int(match[at]), int(match[at + 1])
    found = hour * 60 + minute
    return found if minute < 60 and found <= 1440 else None


def hours_box(label: str, hint: str = "") -> HoursField:
    """Return a box for prices of some hours of the day."""
    return HoursField(
        label=label,
        required=False,
        max_length=2000,
        help_text=hint,
        widget=forms.Textarea(attrs={"class": "form-control box-middling", "rows": 2}),
    )


def hours_text(rows: list[list[int | str]]) -> str:
    """Return stored prices of hours as its box shows them."""
    return "\n".join(
        f"{Window(int(begins), int(ends)).words()} {price}" for begins, ends, price in rows
    )


def csv_box(label: str, hint: str) -> forms.FileField:
    """File input. The caller checks the content."""
    return forms.FileField(
        label=label,
        required=False,
        max_length=200,
        help_text=hint,
        widget=forms.FileInput(
            attrs={"class": "form-control box-middling", "accept": ".csv,.txt,text/csv,text/plain"}
        ),
        error_messages={
            "empty": "The file is empty. Choose another one.",
            "invalid": "Choose a file.",
            "max_length": "Give the file a name of at most %(max)d characters.",
        },
    )


def choice_box(
    label: str, choices: list[tuple[str, str]], *, hint: str = "", initial: str = ""
) -> forms.ChoiceField:
    """Return a list of choices; the first one holds if nothing was sent."""
    return forms.ChoiceField(
        label=label,
        required=False,
        choices=choices,
        initial=initial,
        help_text=hint,
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"invalid_choice": "Pick one of the list."},
    )


_CLOCKS = [
    ("utc", "UTC (winter time all year)"),
    ("local", "the clock on the wall, with summer time"),
]
_UNITS = [
    ("", "as its column says"),
    ("kWh", "kWh (energy of each step)"),
    ("Wh", "Wh (energy of each step)"),
    ("kW", "kW (mean power over each step)"),
    ("W", "W (mean power over each step)"),
]


def clock_box() -> forms.ChoiceField:
    """Return the choice of the clock of a new file; none is preset."""
    return choice_box("Its times go by", [("", "Pick one"), *_CLOCKS])


def kept_clock_box() -> forms.ChoiceField:
    """Return the choice of the clock of an uploaded file."""
    return choice_box("Its times go by", _CLOCKS)


def unit_box() -> forms.ChoiceField:
    """Return the choice of the unit of a file's values."""
    return choice_box("Its unit", _UNITS)


def stamps_box() -> forms.ChoiceField:
    """Return the choice whether the times in a file begin or end their steps."""
    return choice_box(
        "A time says when its step",
        [("begin", "begins"), ("end", "ends")],
        initial="begin",
    )


def time_box(label: str) -> forms.TimeField:
    """Return a box for a local time of day, with summer time."""
    return forms.TimeField(
        label=label,
        required=False,
        input_formats=["%H:%M"],
        widget=forms.TimeInput(
            format="%H:%M", attrs={"class": "form-control box-narrow", "type": "time"}
        ),
        error_messages={"invalid": "Give a time from 00:00 to 23:59, such as 00:30."},
    )


def pence_box(label: str, hint: str = "") -> PenceField:
    """Return a box for a price in pence/kWh."""
    return PenceField(
        label=label,
        required=False,
        max_digits=7,
        decimal_places=2,
        help_text=hint,
        widget=forms.TextInput(attrs=NARROW),
        error_messages={
            "invalid": "Give a price in pence such as 26.5, or leave it empty.",
            "max_digits": "Give a price in pence such as 26.5.",
            "max_decimal_places": "Give a price in pence with at most two decimal places: "
            "26.5, and not 0.265 in pounds.",
            "max_whole_digits": "Give a price in pence such as 26.5.",
        },
    )
