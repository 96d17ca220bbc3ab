"""The amount of one value: text with a unit turned into whole numbers, the rest as TOML has it."""

from connections.rulebook.book import Amount
from connections.rulebook.entry import Entry
from connections.rulebook.faults import QuantityError
from connections.rulebook.quantities import parse_quantity
from connections.rulebook.words import READINGS


def amount_of(entry: Entry, key: str, unit: str) -> tuple[Amount, str]:
    """The amount in `entry` under `value`, in `unit`, and as written.

    A value whose key's last part names a reading ("sgi-2.sum_reading") is one of READINGS.
    Raises RulebookError at the entry.
    """
    if unit == "text":
        is_reading = "reading" in key.rsplit(".", 1)[-1].split("_")
        text = entry.choice("value", READINGS) if is_reading else entry.text("value")
        return text, text
    if unit == "list":
        words = entry.words("value")
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


def quantity_in(entry: Entry, field: str, unit: str) -> tuple[int, str]:
    """The whole number of `unit` that the text under `field` states, and the text."""
    text = entry.raw(field)
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        entry.refuse(f"`{field}` is the bare number {text}; write it with its unit, in quotes")
    if not isinstance(text, str):
        entry.refuse(f"`{field}` must be text with a unit, in quotes")
    try:
        amount = parse_quantity(text, unit)
    except QuantityError as fault:
        entry.refuse(f"`{field}`: {fault}")
    if amount < 0:
        entry.refuse(f"`{field}` is negative; give it from 0")
    return amount, text


def _quantity(entry: Entry, unit: str) -> tuple[int, str]:
    return quantity_in(entry, "value", unit)
