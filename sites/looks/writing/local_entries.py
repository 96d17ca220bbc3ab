"""Changes local entries, and begins a look for the cases that this touches."""

import datetime as dt

from django.db import transaction

from connections.rulebook.local_text import Entry
from sites.looks.writing.looking import look_for_changes
from sites.people.models import Person
from sites.rulebook.models import LocalEntry
from sites.rulebook.writing import local_entries
from sites.rulebook.writing.local_entries import Loaded


@transaction.atomic
def add_entry(*, area: str, entry: Entry, reason: str, by: Person) -> LocalEntry:
    """Enter one entry, as `local_entries.add_entry` does, and begin a look."""
    row = local_entries.add_entry(area=area, entry=entry, reason=reason, by=by)
    look_for_changes(by=by)
    return row


@transaction.atomic
def load_entries(*, content: bytes, name: str, by: Person, reason: str = "") -> Loaded:
    """Load a file, as `local_entries.load_entries` does.

    Begins a look if it made a row.
    """
    loaded = local_entries.load_entries(content=content, name=name, by=by, reason=reason)
    if loaded.rows:
        look_for_changes(by=by)
    return loaded


@transaction.atomic
def end_entry(*, row: LocalEntry, last_day: dt.date, reason: str, by: Person) -> LocalEntry:
    """End an entry, as `local_entries.end_entry` does, and begin a look."""
    ended = local_entries.end_entry(row=row, last_day=last_day, reason=reason, by=by)
    look_for_changes(by=by)
    return ended
