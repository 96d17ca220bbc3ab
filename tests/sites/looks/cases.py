"""A change of rules for tests: with it a plain home connects and notifies.

The home of `tests.sites.making` has 2 x 3600 W on one phase: 7200 / 230 = 31.304 A, each unit
15.652 A. The published sum for connect and notify is 16 A; an invented entry makes it 40 A.
"""

import datetime as dt
from typing import Any

from connections.rulebook.local_text import Entry, local_file
from sites.looks.writing.local_entries import add_entry
from sites.people.models import Person
from sites.rulebook.models import LocalEntry

SHORT = "Short application: small generation installation below 60 A"
NOTIFY = "Connect and notify"


def wider(since: dt.date, until: dt.date | None = None) -> Entry:
    """The invented entry, from a day on."""
    return value_entry("g98.sum_limit", "mA", "40 A", since, until)


def slower(since: dt.date) -> Entry:
    """An invented entry that changes a step and no procedure: the answer takes 20 working days,
    not 10."""
    return value_entry("time.sgi_answer", "working-days", "20 working days", since, None)


def days_off(since: dt.date, *days: str) -> Entry:
    """Invented one-off days that are no working days."""
    return value_entry("calendar.extra_days", "list", list(days), since, None)


def value_entry(key: str, unit: str, value: Any, since: dt.date, until: dt.date | None) -> Entry:
    content = {
        "says": "An invented amount.",
        "unit": unit,
        "applies_to": "tests",
        "value": value,
        "checked": "2026-11-25",
    }
    return Entry(
        kind="value",
        about=key,
        content=content,
        document="memory",
        source={},
        clause="",
        certainty="local",
        note="",
        since=since,
        until=until,
    )


def wider_text(since: dt.date) -> tuple[str, str]:
    """The same as a local file: its name and its TOML."""
    return "wider.toml", local_file([wider(since)], area="", title="Invented entries")


def enter(by: Person, entry: Entry) -> LocalEntry:
    """An entry for the whole firm; a look for changes is begun by it."""
    return add_entry(area="", entry=entry, reason="Invented for a test.", by=by)


def enter_wider(by: Person, since: dt.date) -> LocalEntry:
    """The wider limit, entered by an engineer."""
    return enter(by, wider(since))
