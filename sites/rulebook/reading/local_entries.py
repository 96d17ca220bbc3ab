"""The firm's local entries as rows, as TOML, and as layers; the values that the firm has read."""

import datetime as dt
from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from threading import Lock
from typing import TypeVar
from uuid import UUID

from django.utils import timezone
from msgspec import Struct, convert

from connections.assessing import Assessor
from connections.rulebook.book import Reading
from connections.rulebook.load import load_books, read_local
from connections.rulebook.local_text import Entry, EntryKind, local_file
from connections.rulebook.schema import Part
from connections.rulebook.verifying import Named
from sites.rulebook.models import LocalEntry, LocalStamp, ValueReading
from sites.rulebook.words.local import about_in_words, says_in_words

NOTHING = UUID(int=0)
"""The stamp before the first entry."""

Readings = Mapping[Named, Reading]

_T = TypeVar("_T")
_MOST_KEPT = 8
_parts: OrderedDict[UUID, tuple[Part, ...]] = OrderedDict()
_assessors: OrderedDict[UUID, Assessor] = OrderedDict()
_lock = Lock()


class ListedEntry(Struct, frozen=True):
    """An entry in words, with its place and document."""

    row: LocalEntry
    about: str
    says: str
    place: str
    document: str


class EntryList(Struct, frozen=True):
    """All entries as of a day: in force, to come, and ended."""

    in_force: tuple[ListedEntry, ...]
    to_come: tuple[ListedEntry, ...]
    ended: tuple[ListedEntry, ...]


def stamp() -> UUID:
    """Return the stamp, which every entry, end and reading of a value changes; one query."""
    found = LocalStamp.objects.values_list("stamp", flat=True).first()
    return found or NOTHING


def local_parts() -> tuple[Part, ...]:
    """Return the entries as layers for `resolve`: the firm's, then one per area with entries.

    One query if the process has cached them, however many there are.
    """
    return _parts_of(stamp())


def parts_and_readings() -> tuple[tuple[Part, ...], Readings]:
    """Return the entries as `local_parts` does, and the values that the firm has read.

    One query if the process has cached them.
    """
    assessor = local_assessor()
    return assessor.local, assessor.readings


def local_assessor() -> Assessor:
    """Return the assessor of the firm, with its entries and the values it has read; one query."""
    now = stamp()
    with _lock:
        found = _assessors.get(now)
    if found is None:
        found = Assessor(local=_parts_of(now), readings=_readings())
        with _lock:
            _put(_assessors, now, found)
    return found


def entry_of(row: LocalEntry) -> Entry:
    """Return a row as an entry of a local file."""
    return Entry(
        kind=convert(row.kind, EntryKind),
        about=row.about,
        content=row.content,
        document=row.document,
        source=row.source,
        clause=row.clause,
        certainty=row.certainty,
        note=row.note,
        since=row.since,
        until=row.until,
    )


def dump_entries(area: str | None = None) -> str:
    """Return the entries of an area, or of the whole firm, as a local file.

    Loading the file again enters nothing new. Leaves out entries that never held.
    """
    rows = LocalEntry.objects.filter(area=area or "")
    return file_of(area or "", [entry_of(row) for row in rows])


def areas_with_entries() -> list[str]:
    """Return the areas that have entries, the firm (empty) first."""
    return list(LocalEntry.objects.order_by("area").values_list("area", flat=True).distinct())


def listed_entries(today: dt.date) -> EntryList:
    """Return all entries with who entered them, by state on a day; one query."""
    rows = LocalEntry.objects.select_related("entered_by", "ended_by")
    listed = [_listed(row) for row in rows]
    return EntryList(
        in_force=tuple(e for e in listed if _state(e.row, today) == "in force"),
        to_come=tuple(e for e in listed if _state(e.row, today) == "to come"),
        ended=tuple(e for e in listed if _state(e.row, today) == "ended"),
    )


def listed_entry(row: LocalEntry) -> ListedEntry:
    """Return one entry in words."""
    return _listed(row)


def told_entry(area: str, entry: Entry) -> ListedEntry:
    """Return an entry in words that need not be saved; saves nothing."""
    names = ("kind", "about", "content", "document", "source", "clause", "certainty", "note")
    fields = {name: getattr(entry, name) for name in (*names, "since", "until")}
    return _listed(LocalEntry(area=area, **fields))


def file_of(area: str, entries: Iterable[Entry]) -> str:
    """Return the local file of an area's entries."""
    return local_file(entries, area=area, title=f"Local entries for {area_name(area)}")


def area_name(area: str) -> str:
    """Return name and id of an area; "the whole firm" if it is empty."""
    if not area:
        return "the whole firm"
    name = _area_names().get(area)
    return f"{name} ({area})" if name else area


def parts_with(entries: Sequence[tuple[str, Entry]]) -> tuple[Part, ...]:
    """Return entries with their areas as layers, lowest first. Raises RulebookError."""
    by_area: dict[str, list[Entry]] = {}
    for area, entry in entries:
        if entry.ever_holds:
            by_area.setdefault(area, []).append(entry)
    books = load_books()
    return tuple(
        read_local(file_of(area, by_area[area]).encode(), f"entries for {area_name(area)}", books)
        for area in sorted(by_area)
    )


def entries_there() -> list[tuple[str, Entry]]:
    """Return every entry with its area."""
    return [(row.area, entry_of(row)) for row in LocalEntry.objects.order_by("pk")]


def _parts_of(now: UUID) -> tuple[Part, ...]:
    if now == NOTHING:
        return ()
    with _lock:
        found = _parts.get(now)
    if found is None:
        found = parts_with(entries_there())
        with _lock:
            _put(_parts, now, found)
    return found


def _readings() -> Readings:
    rows = ValueReading.objects.filter(taken_back_at__isnull=True).select_related("read_by")
    return {
        (row.document, row.edition, row.about, row.value_digest): Reading(
            str(row.read_by), timezone.localdate(row.read_at)
        )
        for row in rows
    }


def _put(kept: "OrderedDict[UUID, _T]", now: UUID, thing: _T) -> None:
    kept[now] = thing
    if len(kept) > _MOST_KEPT:
        kept.popitem(last=False)


def _state(row: LocalEntry, today: dt.date) -> str:
    if row.until is not None and (row.until < today or row.until < row.since):
        return "ended"
    return "to come" if row.since > today else "in force"


def _listed(row: LocalEntry) -> ListedEntry:
    title = row.source.get("title") if row.source else None
    if title is None:
        document = load_books().sources.get(row.document)
        title = document.title if document is not None else row.document
    clause = f", {row.clause}" if row.clause else ""
    entry = entry_of(row)
    return ListedEntry(
        row=row,
        about=about_in_words(entry),
        says=says_in_words(entry),
        place=area_name(row.area),
        document=f"{title}{clause}",
    )


@lru_cache(maxsize=1)
def _area_names() -> dict[str, str]:
    return {area.id: area.name for area in load_books().areas}
