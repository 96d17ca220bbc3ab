"""Parse quantities: text with a unit in, a whole number of a fixed unit out.

"16 A" is 16000 mA and "3.68 kW" is 3680 W. Uses pint with Decimal and our own definitions
(`units.txt`), which give real, apparent, reactive and peak power different dimensions, so that kVA
never becomes kW. Exact: refuses an amount that is not whole in the wanted unit.
"""

import re
from collections.abc import Iterable
from decimal import Decimal, localcontext
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from connections.rulebook.rulebook_errors import QuantityError

if TYPE_CHECKING:
    from pint import UnitRegistry

DEFINITIONS = Path(__file__).with_name("units.txt")

LARGEST = 10**9
"""Largest amount in a whole unit; a larger one has a wrong unit."""

_LONGEST_TEXT = 60
_NUMBER = re.compile(r"(?P<number>[+-]?[0-9]+(?:[.,][0-9]+)?)\s*(?P<unit>.*)", re.S)
_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(,[0-9]{3})+(?![0-9,])")
_SPELLINGS = {
    "%": "percent",
    "per cent": "percent",
    "°": "degree",
    "°C": "celsius",
    "‰": "thousandth",
    "%/°C": "percent/kelvin",
    "%/°c": "percent/kelvin",
    "%/C": "percent/kelvin",
    "%/K": "percent/kelvin",
    "ppm/°C": "ppm/kelvin",
    "working day": "working_day",
    "working days": "working_day",
    "kva": "kVA",
    "kvar": "kvar",
    "kw": "kW",
    "kwh": "kWh",
    "MWH": "MWh",
    "gwh": "GWh",
    "kwp": "kWp",
    "w": "W",
    "wp": "Wp",
    "wh": "Wh",
    "va": "VA",
    "a": "A",
    "ma": "mA",
    "ka": "kA",
    "v": "V",
    "kv": "kV",
    "hz": "Hz",
    "hz/s": "Hz/s",
    "hrs": "hour",
    "hr": "hour",
    "sec": "second",
    "secs": "second",
    "mins": "minute",
    "gbp": "GBP",
    "MVAr": "Mvar",
    "kVAr": "kvar",
    "VAr": "var",
    "kVAR": "kvar",
    "VAR": "var",
}


class _Kind(NamedTuple):
    """The quantity of a whole unit: pint's expression, plain words and an example."""

    pint_unit: str
    words: str
    example: str


_KINDS = {
    "mA": _Kind("mA", "a current", "16 A"),
    "A": _Kind("A", "a current", "80 A"),
    "W": _Kind("W", "a real power", "3.68 kW"),
    "VA": _Kind("VA", "an apparent power", "23 kVA"),
    "var": _Kind("var", "a reactive power", "1.2 kvar"),
    "Wp": _Kind("Wp", "a peak power of panels", "5.2 kWp"),
    "Wh": _Kind("Wh", "an energy", "9.5 kWh"),
    "kWh": _Kind("kWh", "an energy", "3500 kWh"),
    "mV": _Kind("mV", "a voltage", "230 V"),
    "V": _Kind("V", "a voltage", "230 V"),
    "uohm": _Kind("uohm", "a resistance or impedance", "0.25 ohm"),
    "mHz": _Kind("mHz", "a frequency", "47.5 Hz"),
    "mHz/s": _Kind("mHz/s", "a rate of change of frequency", "1 Hz/s"),
    "ms": _Kind("ms", "a duration", "0.5 s"),
    "days": _Kind("day", "a number of days", "28 days"),
    "working-days": _Kind("working_day", "a number of working days", "10 working days"),
    "months": _Kind("month", "a number of months", "3 months"),
    "m": _Kind("m", "a distance", "500 m"),
    "mm": _Kind("mm", "a length", "12 m"),
    "%": _Kind("percent", "a percentage", "80 %"),
    "thousandths": _Kind("thousandth", "a share", "0.95"),
    "ppm/K": _Kind("ppm/kelvin", "a temperature coefficient", "-0.27 %/°C"),
    "degrees": _Kind("degree", "an angle", "12°"),
    "celsius": _Kind("celsius", "a temperature", "70 °C"),
    "GBP": _Kind("GBP", "a sum of money", "65 GBP"),
    "GBP/kW": _Kind("GBP/kW", "a sum of money for each kW", "200 GBP/kW"),
    "GBP/kVA": _Kind("GBP/kVA", "a sum of money for each kVA", "1720 GBP/kVA"),
    "EUR-cents": _Kind("euro_cent", "a sum of money in euro", "977.85 EUR"),
}
_OTHER_KINDS = {
    "[real_power]": "a real power (W)",
    "[apparent_power]": "an apparent power (VA)",
    "[reactive_power]": "a reactive power (var)",
    "[peak_power]": "a peak power of panels (Wp)",
    "[energy]": "an energy (Wh)",
    "[current]": "a current (A)",
    "[voltage]": "a voltage (V)",
    "[resistance]": "a resistance (ohm)",
    "[frequency]": "a frequency (Hz)",
    "[time]": "a duration (s)",
    "[calendar_day]": "a number of days",
    "[working_day]": "a number of working days",
    "[calendar_month]": "a number of months",
    "[length]": "a distance (m)",
    "[share]": "a share (%)",
    "[share] / [temperature_difference]": "a temperature coefficient (%/°C)",
    "[angle]": "an angle (degrees)",
    "[celsius_temperature]": "a temperature (°C)",
    "[money]": "a sum of money (GBP)",
    "[euro_money]": "a sum of money in euro (EUR)",
}

WHOLE_UNITS = tuple(_KINDS)
"""The units of parsed amounts."""


@lru_cache(maxsize=4096)
def parse_quantity(text: str, unit: str, beside: str = "") -> int:
    """Parse text to a whole number of `unit`.

    `unit` is one of WHOLE_UNITS ("mA", "W", "working-days", ...) and fixes the dimension; `beside`
    is the unit printed beside a box, used if the text has none.

    Raises QuantityError, with words for the person who typed it, if the text is not a number with a
    unit, the unit has another dimension, a comma may separate thousands, or the amount is not whole
    in `unit` or is above LARGEST.
    """
    return _parsed(text, (unit,), beside)[0]


def parse_in_any(text: str, units: tuple[str, ...]) -> tuple[int, str]:
    """Parse text to a whole number and the one of `units` that has its dimension.

    Raises QuantityError as `parse_quantity` does.
    """
    return _parsed(text, units, "")


def _parsed(text: str, units: tuple[str, ...], beside: str) -> tuple[int, str]:
    for unit in units:
        if unit not in _KINDS:
            raise KeyError(f"{unit} is not a unit that amounts come in")
    wanted, how = _asked_for(units)
    number, unit_text = _split(text.strip(), wanted, how)
    unit_text = unit_text or beside or ("part" if units == ("thousandths",) else "")
    if not unit_text:
        raise QuantityError(f'"{text}" has no unit; write it {how}')
    given = _unit(_spelled(unit_text))
    if given is None:
        raise QuantityError(f'"{unit_text}" is not a unit known here; write it {how}')
    for unit in units:
        whole_unit = _unit(_KINDS[unit].pint_unit)
        if whole_unit is not None and whole_unit[1] == given[1]:
            return _whole(number, given[0] / whole_unit[0], unit, text), unit
    what = _OTHER_KINDS.get(given[1], "something else")
    raise QuantityError(f'"{text}" is {what}; {wanted} is wanted here, {how}')


def _split(text: str, wanted: str, how: str) -> tuple[Decimal, str]:
    """Split text into number and unit."""
    if not text:
        raise QuantityError(f"this is empty; write {wanted} {how}")
    if len(text) > _LONGEST_TEXT:
        raise QuantityError(f"this is too long for {wanted}; write it {how}")
    text = text.replace("\u00a0", " ").replace("\u202f", " ").replace("\u2212", "-")
    if text.startswith("£"):
        text = text[1:].strip() + " GBP"
    if found := _THOUSANDS.match(text):
        plain = found[0].replace(",", "")
        if found[0].count(",") > 1:
            raise QuantityError(f'"{found[0]}" has commas in its number; write {plain}')
        raise QuantityError(
            f'"{found[0]}" can be read in two ways; write {plain} or {found[0].replace(",", ".")}'
        )
    found = _NUMBER.fullmatch(text)
    if found is None or found["unit"][:1].isdigit() or found["unit"][:1] in (".", ","):
        raise QuantityError(f'"{text}" is not one number with a unit; write it {how}')
    return Decimal(found["number"].replace(",", ".")), found["unit"].strip()


def _whole(number: Decimal, factor: Decimal, unit: str, text: str) -> int:
    """The number times `factor`, if that is a whole number of `unit`."""
    with localcontext() as context:
        context.prec = _LONGEST_TEXT + 20
        amount = number * factor
        if amount != amount.to_integral_value():
            raise QuantityError(
                f'"{text}" is finer than can be kept here; give it in whole {_plural(unit)}'
            )
        whole = int(amount)
    if abs(whole) > LARGEST:
        raise QuantityError(f'"{text}" is too large; check its unit')
    return whole


@cache
def _asked_for(units: tuple[str, ...]) -> tuple[str, str]:
    """The wanted quantity in words, and an example of it."""
    wanted = _listed(dict.fromkeys(_KINDS[unit].words for unit in units))
    return wanted, "as in " + _listed(f'"{_KINDS[unit].example}"' for unit in units)


def _listed(words: Iterable[str]) -> str:
    """Words with an "or" before the last."""
    *first, last = words
    return f"{', '.join(first)} or {last}" if first else last


def _plural(unit: str) -> str:
    return {"%": "per cent", "GBP": "pounds", "EUR-cents": "cents"}.get(unit, unit)


def _spelled(unit_text: str) -> str:
    """The unit as the definitions spell it; accepts other usual spellings."""
    joined = " ".join(unit_text.split())
    return _SPELLINGS.get(joined) or _SPELLINGS.get(joined.lower(), joined)


@cache
def _registry() -> "UnitRegistry[Decimal]":
    """Our own units. Building takes some milliseconds, importing pint far more."""
    from pint import UnitRegistry

    registry: UnitRegistry[Decimal] = UnitRegistry(str(DEFINITIONS), non_int_type=Decimal)
    return registry


@lru_cache(maxsize=512)
def _unit(spelled: str) -> tuple[Decimal, str] | None:
    """Factor to base units and dimension of a unit; None if the unit is unknown."""
    from pint.errors import PintError

    if not re.fullmatch(r"[A-Za-zµΩ_]+(/[A-Za-z_]+)?", spelled):
        return None
    registry = _registry()
    try:
        base = registry.Quantity(Decimal(1), registry.parse_units(spelled)).to_base_units()
    except (PintError, AttributeError, ValueError):
        return None
    return Decimal(base.magnitude), str(base.dimensionality)
