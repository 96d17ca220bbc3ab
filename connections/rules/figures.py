"""Figures as text: amps, kilowatts and lists, from whole numbers, with their unit."""

from collections.abc import Sequence
from fractions import Fraction

_THOUSAND = 1000


def _thousandth(value: int) -> str:
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), _THOUSAND)
    return f"{sign}{whole}.{rest:03d}".rstrip("0").rstrip(".") if rest else f"{sign}{whole}"


def _hundredth(thousandths: int) -> str:
    """Two decimals, half to even; three where two would name a tenth that the figure is not.

    Limits in amps and volts are whole or in tenths: 15.996 never reads 16 beside a limit of 16.
    """
    rounded = round(thousandths, -1)
    return _thousandth(thousandths if rounded % 100 == 0 else rounded)


def amps(ma: int | None) -> str:
    """Milliamps as amps: 36957 -> "36.96 A", 15996 -> "15.996 A"."""
    return "not known" if ma is None else f"{_hundredth(ma)} A"


def kilowatts(w: int | None, unit: str = "kW") -> str:
    """Watts as kilowatts, to the watt: 3680 -> "3.68 kW"."""
    return "not known" if w is None else f"{_thousandth(w)} {unit}"


def volts(mv: int) -> str:
    """Millivolts as volts, as amps are shown."""
    return f"{_hundredth(mv)} V"


def tenths(value: Fraction) -> str:
    """A number to one decimal: 901/2 -> "450.5"."""
    return _thousandth(round(value * 10) * 100)


def in_unit(value: int | None, unit: str) -> str:
    """A whole number in mA, W, VA or another unit, for readers."""
    if value is None:
        return "not known"
    if unit == "mA":
        return amps(value)
    if unit == "W":
        return kilowatts(value)
    if unit == "VA":
        return kilowatts(value, "kVA")
    return f"{value} {unit}".strip()


def listed(words: Sequence[str], last: str = "and") -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def plural(n: int, one: str, many: str = "") -> str:
    """ "1 unit", "3 units"."""
    return f"{n} {one if n == 1 else many or one + 's'}"
