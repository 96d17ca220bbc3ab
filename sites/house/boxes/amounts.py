"""The one reader of amounts with a unit, as people type them: 3.68, 3.68 kW, 3680 W, 9,5.

Every box for an amount uses it, so that the same text means the same everywhere. A comma before
exactly three digits may be a decimal point or a separator of thousands: `read` asks which,
`exactly` refuses it and says how to write it. Blanks between thousands are left out.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from django.core.exceptions import ValidationError

from connections.rulebook.quantities import parse_in_any, parse_quantity
from connections.rulebook.rulebook_errors import QuantityError
from sites.house.boxes.fields import refuse_control_characters
from sites.house.boxes.typed import Reading, Typed, settle

_COMMA = re.compile(r"(?P<sign>[+-]?)(?P<whole>[0-9]{1,3}),(?P<three>[0-9]{3})(?P<unit>[^0-9,.]*)")
_SPACED = re.compile(r"[+-]?[0-9]{1,3}( [0-9]{3})+(?![0-9])")
_BARE = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")
_SMALLER = {
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
"""The unit that is often meant when a number looks a thousand times too large."""


@dataclass(frozen=True)
class Measure:
    """An amount that a box takes, in whole `unit` (see quantities.WHOLE_UNITS).

    A text without a unit is in `beside`, the unit printed at the box. `signed` allows negative
    amounts, `zero` allows 0, and `most` is the largest possible amount. `band` is the plausible
    range, from the lowest to the highest: our own choice. `most` and `band` are in `unit`.
    """

    unit: str
    beside: str = ""
    signed: bool = False
    zero: bool = False
    most: int | None = None
    band: tuple[int, int] | None = None

    def exactly(self, text: str) -> int:
        """The amount of a text that can be read in one way only. Raises ValidationError."""
        refuse_control_characters(text)
        return self._possible(_plain(text))

    def read(self, typed: Typed) -> int:
        """The amount of a text, as answered where the box asked about it.

        Raises ValidationError, or AskedError where the text can be read in two ways or the amount
        lies outside the band.
        """
        refuse_control_characters(typed.text)
        text = _plain(typed.text)
        if found := _COMMA.fullmatch(text):
            return self._either(typed, found)
        value = self._possible(text)
        if self.band is None or value == 0 or self._usual(value):
            return value
        far = "more" if abs(value) > self.band[1] else "less"
        readings = [Reading(with_unit(self.write(value), self.beside), value)]
        if far == "more":
            readings += self._in_smaller(text)
        message = f"{readings[0].words} is far {far} than usual here; mend it, or say what you mean"
        answer: int = settle(typed, message, readings)
        return answer

    def write(self, value: int) -> str:
        """The amount in the unit beside the box."""
        return in_unit(value, self.unit, self.beside)

    def _possible(self, text: str) -> int:
        try:
            value = parse_quantity(text, self.unit, beside=self.beside)
        except QuantityError as fault:
            raise ValidationError(str(fault), code="quantity") from None
        if value < 0 and not self.signed:
            raise ValidationError(
                "this can't be negative; write it without the minus", code="negative"
            )
        if value == 0 and not self.zero:
            raise ValidationError(
                "0 can't be right here; leave the box empty while it is not known", code="zero"
            )
        if self.most is not None and abs(value) > self.most:
            least = f"-{self._bound(self.most)}" if self.signed else "0"
            raise ValidationError(
                f"give {least} to {with_unit(self._bound(self.most), self.beside)}", code="most"
            )
        return value

    def _bound(self, value: int) -> str:
        return f"{Decimal(self.write(value)):,}"

    def _usual(self, value: int) -> bool:
        return self.band is not None and self.band[0] <= abs(value) <= self.band[1]

    def _in_smaller(self, text: str) -> list[Reading]:
        """The reading in the unit below the one beside the box, if that is usual."""
        smaller = _SMALLER.get(self.beside)
        if smaller is None or not _BARE.fullmatch(text):
            return []
        words = f"{text} {smaller}"
        try:
            value = self._possible(words)
        except ValidationError:
            return []
        return [Reading(words, value)] if self._usual(value) else []

    def _either(self, typed: Typed, found: "re.Match[str]") -> int:
        """A comma before exactly three digits: a decimal comma, or a separator of thousands?"""
        unit = found["unit"].strip() or self.beside
        readings: list[Reading] = []
        faults: list[ValidationError] = []
        for mark in (".", ""):
            words = with_unit(f"{found['sign']}{found['whole']}{mark}{found['three']}", unit)
            try:
                readings.append(Reading(words, self._possible(words)))
            except ValidationError as fault:
                faults.append(fault)
        if not readings:
            raise faults[-1]
        answer: int = settle(
            typed, f'"{typed.text}" can be read in two ways; say which you mean', readings
        )
        return answer


class Written(NamedTuple):
    """An amount as written, with its unit, and its value as a whole number of `unit`."""

    text: str
    unit: str
    value: int


def read_written(text: str, units: tuple[str, ...], beside: str = "") -> Written:
    """The amount of a text, 0 or more, in the one of the whole `units` that measures it.

    A text without a unit gets the one `beside` the box. Raises ValidationError.
    """
    refuse_control_characters(text)
    text = _plain(text)
    if _BARE.fullmatch(text):
        text = with_unit(text, beside)
    try:
        _value, unit = parse_in_any(text, units)
    except QuantityError as fault:
        raise ValidationError(str(fault), code="quantity") from None
    return Written(text, unit, Measure(unit, zero=True).exactly(text))


def _plain(text: str) -> str:
    """The text with single blanks, and none within its number."""
    text = " ".join(text.split())
    if found := _SPACED.match(text):
        return found[0].replace(" ", "") + text[found.end() :]
    return text


@cache
def _factor(unit: str, beside: str) -> int:
    return parse_quantity("1", unit, beside=beside)


def in_unit(value: int, unit: str, beside: str) -> str:
    """A whole number of `unit` as a decimal number of the unit beside the box."""
    number = Decimal(value) / _factor(unit, beside)
    return f"{number:f}" if number == number.to_integral_value() else f"{number.normalize():f}"


def with_unit(number: str, unit: str) -> str:
    """A number with its unit, if there is one."""
    return f"{number}{unit}" if unit == "°" else f"{number} {unit}".strip()
