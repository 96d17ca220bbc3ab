"""Difference between two editions, or two days of a place, for its page."""

import datetime as dt

from msgspec import Struct

from connections.rulebook.book import Rulebook
from connections.rulebook.checking.gaps import change_days
from connections.rulebook.difference.finding import Change, difference, differences
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.telling import day_in_words
from sites.rulebook.reading.place import NoRulebookError, Place, Shelf, where_of
from sites.rulebook.words.rulebook import nations_in_words

KINDS = {
    "amount": "Other values",
    "added": "New values",
    "ended": "Values no longer held",
    "words": "Same value, with another source, certainty or wording",
    "outcome": "Procedures",
    "row": "Rows of the decision table",
    "order": "Order of the rows",
    "step": "Steps",
    "setting table": "Protection settings",
    "export cap": "Caps on export",
    "condition": "Extra conditions",
    "area": "Licence areas",
}


class Asked(Struct, frozen=True):
    """One side as asked: an edition by its key, or a day if that is empty."""

    edition: str
    on: dt.date | None


class SaidChange(Struct, frozen=True):
    """A change in a sentence, with the value's key if it is one of a value."""

    sentence: str
    key: str


class ChangesOfDay(Struct, frozen=True):
    """The changes under one head, a day or the second edition, by kind."""

    title: str
    count: int
    kinds: tuple[tuple[str, tuple[SaidChange, ...]], ...]


class DifferencePage(Struct, frozen=True):
    """The two sides in words, and the changes between them, if any.

    `where` and `on` are place and day of the second side, as addresses write them. `aside` says why
    a side ignores the place.
    """

    before: str
    after: str
    where: str
    on: dt.date
    days: tuple[ChangesOfDay, ...]
    aside: tuple[str, ...]

    @property
    def count(self) -> int:
        """The number of all changes."""
        return sum(day.count for day in self.days)


def difference_page(files: Shelf, place: Place, before: Asked, after: Asked) -> DifferencePage:
    """Return the changes from the first side to the second.

    Between two days it compares each day with the day before. Raises NoRulebookError with the box
    ("first", "second") of the side that has no rulebook.
    """
    if before.on and after.on and not (before.edition or after.edition) and before.on < after.on:
        return _day_by_day(files, place, before.on, after.on)
    aside: list[str] = []
    _, first = _side(files, place, before, "first", None, aside)
    where, second = _side(files, place, after, "second", first.on_date, aside)
    found = difference(first, second).changes
    days = (_of(f"{second.edition}", found),) if found else ()
    return DifferencePage(_told(first), _told(second), where, second.on_date, days, tuple(aside))


def _day_by_day(files: Shelf, place: Place, first: dt.date, last: dt.date) -> DifferencePage:
    books = [
        _resolved(files, place, first, "first"),
        _resolved(files, place, last, "second"),
    ]
    days = change_days(files.stack(place))
    try:
        told = tuple(
            _of(f"From {day_in_words(each.after.on_date)}", each.changes)
            for each in differences(lambda day: files.resolve(place, day), days, first, last)
        )
    except RulebookError as fault:
        raise NoRulebookError("second", _capital(f"{fault.fault}.")) from None
    return DifferencePage(_told(books[0]), _told(books[1]), place.where, last, told, ())


def _side(
    files: Shelf,
    place: Place,
    asked: Asked,
    box: str,
    after: dt.date | None,
    aside: list[str],
) -> tuple[str, Rulebook]:
    """Resolve one side and return its place: a day, or an edition on the day closest to the other.

    The first edition counts on its last day, or on the given day while it holds. The second counts
    on its first day if that is later, else on the given day.
    """
    if not asked.edition:
        assert asked.on is not None
        return place.where, _resolved(files, place, asked.on, box)
    edition = next(part for part in files.books.editions if part.key == asked.edition)
    day = asked.on or edition.since
    if after is not None and edition.since > after:
        day = edition.since
    day = min(max(day, edition.since), edition.until or dt.date.max)
    if place.nation not in edition.nations:
        name = nations_in_words(edition.nations)
        if place.area:
            aside.append(
                f"{place.name} does not lie in {name}, so that {edition.edition} is taken as it is."
            )
        nation = edition.nations[0]
        place = Place(where_of("", nation), name, "", nation)
    return place.where, _resolved(files, place, day, box)


def _resolved(files: Shelf, place: Place, on: dt.date, box: str) -> Rulebook:
    try:
        return files.resolve(place, on)
    except RulebookError as fault:
        message = _capital(f"{fault.fault}. Choose another date or place.")
        raise NoRulebookError(box, message) from None


def _told(book: Rulebook) -> str:
    return f"{book.edition}, as on {day_in_words(book.on_date)}"


def _of(title: str, changes: tuple[Change, ...]) -> ChangesOfDay:
    kinds: dict[str, list[SaidChange]] = {}
    for change in changes:
        key = change.key if change.kind == "value" else ""
        kinds.setdefault(_kind(change), []).append(SaidChange(change.sentence, key))
    return ChangesOfDay(
        title,
        len(changes),
        tuple((told, tuple(kinds[kind])) for kind, told in KINDS.items() if kind in kinds),
    )


def _kind(change: Change) -> str:
    """Return one of KINDS; values are split by what changed in them."""
    if change.kind != "value":
        return change.kind
    if change.how == "changed":
        return "amount" if "amount" in change.parts else "words"
    return change.how


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
