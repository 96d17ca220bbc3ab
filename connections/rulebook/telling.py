"""Values of a rulebook in plain words: dates, origin, and sentences."""

import datetime as dt
from collections.abc import Sequence

from connections.facts.defaults import first_day, is_month
from connections.rulebook.book import ExportCap, Rulebook, Source, Value

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


def day_in_words(day: dt.date) -> str:
    """ "1 January 2027" in English, whatever the locale of the machine."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def dated(when: str) -> str:
    """A day or a month of a site file: "1 January 2027", "January 2027"."""
    first = first_day(when)
    assert first is not None
    return day_in_words(first).removeprefix("1 ") if is_month(when) else day_in_words(first)


def origin(source: Source | str, certainty: str) -> str:
    """Source and certainty, for the brackets after a value."""
    return f"{source}; {certainty}" if certainty else str(source)


def certainty_in_words(book: Rulebook, value: Value, *, name: bool = True) -> str:
    """How certain a value is: "read by the firm" and by whom and when, else as the file says.

    Without `name` it leaves out who, for what is sent to others.
    """
    reading = book.reading_of(value)
    if reading is None:
        return value.certainty
    who = f"{reading.by}, " if name else ""
    return f"read by the firm, {who}{day_in_words(reading.on)}"


def amount_in_words(value: Value) -> str:
    """The amount as the file writes it; a date in words, an empty list as "none"."""
    if isinstance(value.amount, dt.date):
        return day_in_words(value.amount)
    return value.written or "none"


def subject(value: Value) -> str:
    """The sentence of a value without its full stop."""
    return value.says.rstrip(".")


def small(text: str) -> str:
    """The text with a lower-case first letter, unless it begins with a name such as EREC."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def place_in_words(cap: ExportCap) -> str:
    """ "at the feeders NORTH 1 and NORTH 2", "in the postcode sector EX1 1", "at every site"."""
    if cap.everywhere:
        return "at every site"
    parts = [
        f"{preposition} the {name if len(places) == 1 else name + 's'} {listed(places)}"
        for preposition, name, places in (
            ("at", "feeder", cap.feeders),
            ("in", "postcode sector", cap.postcode_sectors),
        )
        if places
    ]
    return " and ".join(parts)


def listed(words: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def layer_title(book: Rulebook, key: str) -> str:
    """The title of a layer of a rulebook; its key if the rulebook lacks the layer."""
    return next((layer.title for layer in book.layers if layer.key == key), key)
