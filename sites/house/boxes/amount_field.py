"""Boxes for amounts with a unit in forms that cannot ask back, read by `sites.house.boxes.amounts`.

An amount that can be read in two ways is refused, with words on how to write it.
"""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from sites.house.boxes.amounts import Measure, Written, read_written

_ATTRS = {"class": "form-control box-narrow", "autocomplete": "off", "maxlength": 60}


class _AmountField(forms.Field):
    """Required if `needed`, the message for an empty box, is given; else an empty box is None."""

    def __init__(self, *, needed: str = "", **more: Any) -> None:
        super().__init__(
            required=bool(needed),
            widget=forms.TextInput(attrs=_ATTRS),
            error_messages={"required": needed},
            **more,
        )

    def to_python(self, value: Any) -> Any:
        """The amount of the text, None for an empty box. Raises ValidationError with a sentence."""
        text = "" if value is None else str(value).strip()
        if not text:
            return None
        try:
            return self.read(text)
        except ValidationError as fault:
            said = str(fault.message)
            raise ValidationError(f"{said[:1].upper()}{said[1:]}.", code=fault.code) from None

    def read(self, text: str) -> Any:
        """Read a text that isn't empty. Raises ValidationError."""
        raise NotImplementedError


class AmountField(_AmountField):
    """An amount as the whole number of its measure."""

    def __init__(self, measure: Measure, **more: Any) -> None:
        super().__init__(**more)
        self.measure = measure
        self.widget.attrs["inputmode"] = "decimal"

    def read(self, text: str) -> int:
        """The whole number. Raises ValidationError."""
        return self.measure.exactly(text)


class WrittenAmountField(_AmountField):
    """An amount that is kept as written, in one of several units.

    A text without a unit gets the one `beside` the box; without that either, it is refused.
    """

    def __init__(self, units: tuple[str, ...], *, beside: str = "", **more: Any) -> None:
        super().__init__(**more)
        self.units, self.beside = units, beside

    def read(self, text: str) -> Written:
        """The text with its unit, and its whole number. Raises ValidationError."""
        return read_written(text, self.units, self.beside)
