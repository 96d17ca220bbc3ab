"""Boxes for amounts with a unit, taken as people type them: 3.68, 3.68 kW, 3680 W, 9,5.

Read by `connections.rulebook.quantities` with the unit printed beside the box. A comma before
exactly three digits, or an amount outside the box's plausible band, is asked about.
"""

import re
from decimal import Decimal
from functools import cache
from typing import Any

from django.core.exceptions import ValidationError

from connections.rulebook.faults import QuantityError
from connections.rulebook.quantities import parse_quantity
from sites.forms.fields import Box, refuse_control_characters
from sites.forms.typed import Reading, Typed, settle

_COMMA = re.compile(r"(?P<sign>[+-]?)(?P<whole>[0-9]{1,3}),(?P<three>[0-9]{3})(?P<unit>[^0-9,.]*)")
_BARE = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")
SMALLER = {
    "kW": "W",
    "kVA": "VA",
    "kvar": "var",
    "kWp": "Wp",
    "kWh": "Wh",
    "A": "mA",
    "kA": "A",
    "m": "mm",
    "s": "ms",
}
"""The unit that a number is often typed in when it looks a thousand times too large."""


class QuantityBox(Box):
    """An amount in whole `unit` (see quantities.WHOLE_UNITS), with `beside` printed at the box.

    The band from `low` to `high`, in `unit`, is what is plausible there: our own choice. `signed`
    lets negative amounts in, `zero` says that nothing is an amount too.
    """

    numeric = True
    empty = None

    def __init__(
        self,
        label: str,
        unit: str,
        *,
        beside: str,
        low: int,
        high: int,
        signed: bool = False,
        zero: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, beside=beside, **kwargs)
        self.unit, self.low, self.high = unit, low, high
        self.signed, self.zero = signed, zero

    def read(self, typed: Typed) -> Any:
        """The amount in whole `unit`. Raises ValidationError."""
        return read_quantity(
            typed,
            self.unit,
            self.beside,
            low=self.low,
            high=self.high,
            signed=self.signed,
            zero=self.zero,
        )

    def write(self, value: Any) -> str:
        """The amount in the unit beside the box."""
        return "" if value is None else in_unit(value, self.unit, self.beside)


def read_quantity(
    typed: Typed,
    unit: str,
    beside: str,
    *,
    low: int,
    high: int,
    signed: bool = False,
    zero: bool = False,
) -> int:
    """The amount that a text states, in whole `unit`. Raises ValidationError, or AskedError."""
    refuse_control_characters(typed.text)
    if found := _COMMA.fullmatch(typed.text):
        return _comma(typed, found, unit, beside)
    value = _parsed(typed.text, unit, beside)
    if value < 0 and not signed:
        raise ValidationError("this can't be negative; write it without the minus", code="negative")
    if value == 0 and not zero:
        raise ValidationError(
            "0 can't be right here; leave the box empty while it is not known", code="zero"
        )
    if low <= abs(value) <= high or value == 0:
        return value
    readings = [Reading(f"{in_unit(value, unit, beside)} {beside}", value)]
    smaller = SMALLER.get(beside)
    if abs(value) > high and smaller and _BARE.fullmatch(typed.text):
        try:
            less = parse_quantity(typed.text, unit, beside=smaller)
        except QuantityError:
            less = 0
        if low <= abs(less) <= high:
            readings.append(Reading(f"{typed.text} {smaller}", less))
    far = "more" if abs(value) > high else "less"
    message = f"{readings[0].words} is far {far} than usual here; mend it, or say what you mean"
    answer: int = settle(typed, message, readings)
    return answer


def _comma(typed: Typed, found: "re.Match[str]", unit: str, beside: str) -> int:
    """A comma before exactly three digits: a decimal comma, or a separator of thousands?"""
    written = found["unit"].strip() or beside
    readings = []
    for number in (
        f"{found['sign']}{found['whole']}.{found['three']}",
        f"{found['sign']}{found['whole']}{found['three']}",
    ):
        try:
            readings.append(
                Reading(f"{number} {written}", parse_quantity(f"{number} {written}", unit))
            )
        except QuantityError as fault:
            if not readings and number.count("."):
                continue
            raise ValidationError(sentence(fault), code="quantity") from None
    answer: int = settle(
        typed, f'"{typed.text}" can be read in two ways; say which you mean', readings
    )
    return answer


def _parsed(text: str, unit: str, beside: str) -> int:
    try:
        return parse_quantity(text, unit, beside=beside)
    except QuantityError as fault:
        raise ValidationError(sentence(fault), code="quantity") from None


def sentence(fault: QuantityError) -> str:
    """The fault in words, whole and short enough for a box."""
    return str(fault)


@cache
def _factor(unit: str, beside: str) -> int:
    return parse_quantity("1", unit, beside=beside)


def in_unit(value: int, unit: str, beside: str) -> str:
    """A whole number of `unit` as a decimal number of the unit beside the box."""
    number = Decimal(value) / _factor(unit, beside)
    return f"{number:f}" if number == number.to_integral_value() else f"{number.normalize():f}"
