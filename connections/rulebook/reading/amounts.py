"""Read the amount of one value: text with a unit becomes a whole number, the rest stays as TOML."""

from connections.calendar.bank_holidays import extra_days
from connections.calendar.calendar_error import CalendarError
from connections.rulebook.book import Amount
from connections.rulebook.quantities import parse_quantity
from connections.rulebook.reading.entry import Entry
from connections.rulebook.rulebook_errors import QuantityError
from connections.rulebook.words import CHOICES, DAYS, READINGS


def amount_of(entry: Entry, key: str, unit: str) -> tuple[Amount, str]:
    """The amount under `value` in `entry`, in `unit`, and its text.

    If the last part of the key names a reading ("sgi-2.sum_reading"), the value is one of READINGS.
    Raises RulebookError at the entry.
    """
    if unit == "text":
        words = choices_of(key)
        text = entry.choice("value", words) if words else entry.text("value")
        return text, text
    if unit == "list":
        words = _days(entry) if key in DAYS else entry.words("value")
        return words, ", ".join(words)
    if unit == "date":
        day = entry.day("value")
        return day, day.isoformat()
    if unit == "yes-no":
        flag = entry.flag("value")
        return flag, "yes" if flag else "no"
    if unit == "count":
        number = entry.number("value")
        return number, str(number)
    return _quantity(entry, unit)


def choices_of(key: str) -> tuple[str, ...]:
    """The allowed words of a text value; empty if any text will do."""
    if "reading" in key.rsplit(".", 1)[-1].split("_"):
        return READINGS
    return CHOICES.get(key, ())


def quantity_in(entry: Entry, field: str, unit: str) -> tuple[int, str]:
    """The whole number of `unit` under `field`, and its text."""
    text = entry.raw(field)
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        entry.refuse(f"`{field}` is the bare number {text}; write it with its unit, in quotes")
    if not isinstance(text, str):
        entry.refuse(f"`{field}` must be text with a unit, in quotes")
    try:
        amount = parse_quantity(text, unit)
    except QuantityError as fault:
        entry.refuse(f"`{field}`: {fault}")
    if amount < 0 and unit != "celsius":
        entry.refuse(f"`{field}` is negative; give it from 0")
    return amount, text


def _days(entry: Entry) -> tuple[str, ...]:
    """A list of dates, which may be empty."""
    entry.raw("value")
    words = entry.words("value", may_be_empty=True)
    try:
        extra_days(words)
    except CalendarError as fault:
        entry.refuse(f"`value`: {fault}")
    return words


def _quantity(entry: Entry, unit: str) -> tuple[int, str]:
    return quantity_in(entry, "value", unit)
