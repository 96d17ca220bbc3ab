"""Write whole numbers for readers: fixed decimals in tables, short ones in sentences.

No float is used, so a figure shows its whole number exactly.
"""

import datetime as dt

from connections.facts.defaults import first_day, is_month

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

_SCALED = {
    "mA": ("A", 3),
    "mA per phase": ("A", 3),
    "W": ("kW", 3),
    "VA": ("kVA", 3),
    "var": ("kvar", 3),
    "Wh": ("kWh", 3),
    "Wp": ("kWp", 3),
    "mV": ("V", 3),
    "mHz": ("Hz", 3),
    "mHz/s": ("Hz/s", 3),
    "ms": ("s", 3),
    "mm": ("m", 3),
    "uohm": ("ohm", 6),
    "thousandths": ("", 3),
    "ppm/K": ("%/°C", 4),
}


def fixed(amount: int, decimals: int) -> str:
    """`amount` in units of 10^-decimals, with every decimal: fixed(3680, 3) is "3.680"."""
    sign = "−" if amount < 0 else ""
    whole, rest = divmod(abs(amount), 10**decimals)
    tail = f".{rest:0{decimals}d}" if decimals else ""
    return f"{sign}{whole:,}{tail}"


def two(amount: int, decimals: int) -> str:
    """`amount` in units of 10^-decimals, half up to two decimals: two(15652, 3) is "15.65"."""
    if decimals <= 2:
        return fixed(amount, decimals)
    step = 10 ** (decimals - 2)
    rounded = (2 * abs(amount) + step) // (2 * step)
    return fixed(-rounded if amount < 0 else rounded, 2)


def short(amount: int, decimals: int) -> str:
    """`amount` in units of 10^-decimals without trailing noughts: short(3680, 3) is "3.68"."""
    text = fixed(amount, decimals)
    return text.rstrip("0").rstrip(".") if decimals else text


def quantity(amount: int, unit: str) -> str:
    """An amount in words for a sentence: quantity(21739, "mA") is "21.739 A"."""
    if unit in _SCALED:
        name, decimals = _SCALED[unit]
        return f"{short(amount, decimals)} {name}".strip()
    if unit in ("", "count"):
        return f"{amount:,}"
    return f"{amount:,} {unit.replace('-', ' ')}"


def rounded(amount: int, unit: str) -> str:
    """An amount for readers, two decimals at most: rounded(15652, "mA") is "15.65 A"."""
    name, decimals = _SCALED.get(unit, (unit, 0))
    text = two(amount, decimals)
    return f"{text.rstrip('0').rstrip('.') if decimals else text} {name}".strip()


def long_date(day: dt.date) -> str:
    """24 November 2026."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def when_words(when: str) -> str:
    """A day or a month of a site file: 24 November 2026, November 2026."""
    first = first_day(when)
    assert first is not None
    return long_date(first).removeprefix("1 ") if is_month(when) else long_date(first)


def short_date(day: dt.date) -> str:
    """24 Nov 2026."""
    return f"{day.day} {_MONTHS[day.month - 1][:3]} {day.year}"


def counted(n: int, one: str, many: str = "") -> str:
    """ "1 unit", "2 units": a count with its noun."""
    return f"{n:,} {one if n == 1 else many or one + 's'}"


def listed(words: list[str] | tuple[str, ...], last: str = "and") -> str:
    """Words in a row: "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
