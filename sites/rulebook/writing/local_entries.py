"""Enters and ends the firm's local entries, which are never changed or deleted."""

import datetime as dt
import uuid
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone
from msgspec import Struct, structs

from connections.facts.canonical import digest
from connections.rulebook.load import check_local, load_books, read_local
from connections.rulebook.local_text import Entry, entries_in
from connections.rulebook.reading.caps import overlap
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.telling import day_in_words
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.rulebook.models import LocalEntry, LocalStamp
from sites.rulebook.reading.local_entries import area_name, entries_there, entry_of, parts_with

LONGEST_REASON = 4000
_DAY = dt.timedelta(days=1)
_THINGS = {"value": "value", "export-cap": "export cap", "condition": "condition"}

Placed = tuple[str, Entry]
"""An entry with its area, empty for the whole firm."""


class Loaded(Struct, frozen=True):
    """The rows made from a file, and the number of its entries that existed before."""

    rows: tuple[LocalEntry, ...]
    there: int

    def __str__(self) -> str:
        """Return for example "2 entries entered, 1 was there already"."""
        count = len(self.rows)
        told = f"{count} {'entry' if count == 1 else 'entries'} entered"
        if self.there:
            told += f", {self.there} {'was' if self.there == 1 else 'were'} there already"
        return told


@transaction.atomic
def add_entry(*, area: str, entry: Entry, reason: str, by: Person) -> LocalEntry:
    """Enter one entry for an area, or for the whole firm if `area` is empty.

    Raises NotAllowedError for anybody but an engineer. Raises RefusedError without a reason or if
    the same entry exists, and RulebookError if it does not fit.
    """
    _engineer(by)
    reason = _reason(reason, "Say why this is entered.")
    renew_stamp()
    there = entries_there()
    wanted = with_own_sources([(area, entry)], there)
    if wanted[0] in there:
        raise RefusedError("This very entry is there already.")
    check_together([*there, *wanted])
    return _enter(wanted, reason, by)[0]


@transaction.atomic
def load_entries(*, content: bytes, name: str, by: Person, reason: str = "") -> Loaded:
    """Enter a TOML file of local entries: all of it, or nothing.

    Skips entries that exist. Raises NotAllowedError for anybody but an engineer, and RulebookError
    naming file, key and fault.
    """
    _engineer(by)
    wanted = entries_of_file(content, name)
    renew_stamp()
    there = entries_there()
    new = new_ones(wanted, there)
    check_together([*there, *new])
    rows = _enter(new, _reason(reason or f"Loaded from {name}.", ""), by)
    return Loaded(tuple(rows), len(wanted) - len(new))


@transaction.atomic
def end_entry(*, row: LocalEntry, last_day: dt.date, reason: str, by: Person) -> LocalEntry:
    """End an entry: `last_day` is the last day on which it holds.

    The day before its first day withdraws it, as if it had never held. Raises NotAllowedError for
    anybody but an engineer. Raises RefusedError without a reason or if somebody ended it meanwhile,
    for an earlier day than that, or for one that lengthens the entry. Raises RulebookError if the
    remaining entries do not fit.
    """
    _engineer(by)
    reason = _reason(reason, "Say why this is ended.")
    renew_stamp()
    now = LocalEntry.objects.get(pk=row.pk)
    check_end(now, last_day)
    there = entries_there()
    at = there.index((now.area, entry_of(now)))
    check_together([*there[:at], (now.area, ended(now, last_day)), *there[at + 1 :]])
    changed = LocalEntry.objects.filter(pk=now.pk, ended_at__isnull=True).update(
        until=last_day, ended_by=by, ended_at=timezone.now(), end_reason=reason
    )
    if not changed:
        raise RefusedError("Somebody has ended this entry meanwhile.")
    before = now.until.isoformat() if now.until else ""
    record(
        "local.ended",
        by=by,
        subject=now,
        data={**_data(now), "until": last_day.isoformat(), "until_before": before},
    )
    return LocalEntry.objects.get(pk=now.pk)


def renew_stamp() -> None:
    """Renew the stamp, which makes other writers wait for the end of this transaction."""
    new = uuid.uuid4()
    if not LocalStamp.objects.filter(pk=1).update(stamp=new):
        LocalStamp.objects.get_or_create(pk=1)
        LocalStamp.objects.filter(pk=1).update(stamp=new)


def check_end(row: LocalEntry, last_day: dt.date) -> None:
    """Refuse a last day that the entry can't have. Raises RefusedError."""
    if row.ended_at is not None:
        raise RefusedError("This entry was ended already.")
    if row.until is not None and last_day >= row.until:
        raise RefusedError(
            f"It ends on {day_in_words(row.until)} anyway; give an earlier last day.", "last_day"
        )
    if last_day < row.since - _DAY:
        raise RefusedError(
            f"It holds from {day_in_words(row.since)} on; the earliest last day is the day "
            "before, which takes it back.",
            "last_day",
        )


def ended(row: LocalEntry, last_day: dt.date) -> Entry:
    """Return the entry of a row as if it ended on this day."""
    return structs.replace(entry_of(row), until=last_day)


def entries_of_file(content: bytes, name: str) -> list[Placed]:
    """Return the entries of a local file, once for each of its areas. Raises RulebookError."""
    read_local(content, name)
    entries, areas = entries_in(content.decode())
    return [(area, entry) for area in areas or ("",) for entry in entries]


def new_ones(wanted: Sequence[Placed], there: Sequence[Placed]) -> list[Placed]:
    """Return the entries that do not exist yet; a source whose id is taken gets another."""
    renamed = with_own_sources(wanted, there)
    return [placed for placed in renamed if placed not in there]


def with_own_sources(wanted: Sequence[Placed], there: Sequence[Placed]) -> list[Placed]:
    """Rename each source whose id already stands for another document."""
    taken = {(area, entry.document): entry.source for area, entry in there if entry.source}
    found = []
    for area, entry in wanted:
        known = taken.get((area, entry.document))
        if entry.source and known is not None and known != entry.source:
            name = f"{entry.document}-{digest(entry.source)[:8]}"
            entry = structs.replace(entry, document=name)
        found.append((area, entry))
    return found


def check_together(entries: Sequence[Placed]) -> None:
    """Refuse entries that conflict with each other, or with any edition on any day.

    Raises RulebookError naming the entry and the fault.
    """
    _refuse_overlaps(entries)
    check_local(load_books(), parts_with(entries))


def _refuse_overlaps(entries: Sequence[Placed]) -> None:
    """Refuse two entries of one thing for one area on one day; blames the later in the list."""
    seen: dict[tuple[str, str, str], list[Entry]] = {}
    for area, entry in entries:
        if not entry.ever_holds:
            continue
        same = seen.setdefault((area, entry.kind, entry.about), [])
        for other in same:
            if overlap((entry.since, entry.until), (other.since, other.until)):
                until = f"until {day_in_words(other.until)}" if other.until else "with no end"
                raise RulebookError(
                    f"entries for {area_name(area)}",
                    f"{_THINGS[entry.kind]} {entry.about}",
                    f"there is an entry for it from {day_in_words(other.since)} {until}; end that "
                    "first, or choose other days",
                )
        same.append(entry)


def _enter(wanted: Sequence[Placed], reason: str, by: Person) -> list[LocalEntry]:
    at = timezone.now()
    rows = []
    for area, entry in wanted:
        row = LocalEntry(
            area=area,
            kind=entry.kind,
            about=entry.about,
            content=dict(entry.content),
            document=entry.document,
            source=dict(entry.source),
            clause=entry.clause,
            certainty=entry.certainty,
            note=entry.note,
            since=entry.since,
            until=entry.until,
            entered_by=by,
            entered_at=at,
            reason=reason,
        )
        row.save()
        record("local.entered", by=by, subject=row, data=_data(row))
        rows.append(row)
    return rows


def _engineer(person: Person) -> None:
    if not person.is_engineer:
        raise NotAllowedError("Only an engineer may enter or end local entries.")


def _reason(text: str, lacking: str) -> str:
    text = text.strip()
    if not text:
        raise RefusedError(lacking, "reason")
    if len(text) > LONGEST_REASON:
        raise RefusedError(
            f"Keep it to {LONGEST_REASON} characters; this has {len(text)}.", "reason"
        )
    return text


def _data(row: LocalEntry) -> dict[str, str]:
    return {"area": row.area, "kind": row.kind, "about": row.about, "since": row.since.isoformat()}
