"""Place and day of the rulebook that a page shows."""

import datetime as dt
from functools import lru_cache

from msgspec import Struct

from connections.assessing import NOTHING_READ
from connections.rulebook.book import GREAT_BRITAIN, Area, Rulebook
from connections.rulebook.load import HOME_NATION, load_books, resolve
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import Books, Part
from connections.rulebook.verifying import with_readings
from sites.rulebook.reading.local_entries import Readings, parts_and_readings
from sites.rulebook.words.rulebook import nation_in_words


class PlaceChoice(Struct, frozen=True):
    """A place to choose: its word in the address, and its name."""

    value: str
    name: str


class PlaceGroup(Struct, frozen=True):
    """The places of one country; independent operators form a group of their own."""

    title: str
    choices: tuple[PlaceChoice, ...]


class Place(Struct, frozen=True):
    """A licence area with its nation, or a nation alone."""

    where: str
    name: str
    area: str
    nation: str


class Shelf(Struct, frozen=True):
    """All files of rulebooks: those shipped, and the firm's local entries; what it has read."""

    books: Books
    local: tuple[Part, ...]
    readings: Readings = NOTHING_READ

    def stack(self, place: Place) -> tuple[Part, ...]:
        """Return the files that can take part in a place on any day, lowest first."""
        return (
            *(part for part in self.books.editions if place.nation in part.nations),
            *(part for part in self.books.operators if place.area in part.areas),
            *(part for part in self.local if not part.areas),
            *(part for part in self.local if place.area in part.areas),
        )

    def resolve(self, place: Place, on: dt.date) -> Rulebook:
        """Return the rulebook of a place and day. Raises RulebookError if there is none."""
        book = resolve(self.books, on=on, area=place.area, nation=place.nation, local=self.local)
        return with_readings(book, self.readings)

    def parts(self) -> tuple[Part, ...]:
        """Return every file."""
        return (*self.books.editions, *self.books.operators, *self.local)


class Chosen(Struct, frozen=True):
    """A place and a day with their rulebook and all files."""

    place: Place
    on: dt.date
    book: Rulebook
    shelf: Shelf

    @property
    def stack(self) -> tuple[Part, ...]:
        """The files that can take part in the place, lowest first."""
        return self.shelf.stack(self.place)


class NoRulebookError(Exception):
    """Raised for a place or day without a rulebook; `box` names the one at fault."""

    def __init__(self, box: str, message: str) -> None:
        super().__init__(message)
        self.box = box
        self.message = message


def shelf() -> Shelf:
    """Return the files as of now; one query, for the firm's entries."""
    return Shelf(load_books(), *parts_and_readings())


def chosen(where: str, on: dt.date, files: Shelf | None = None) -> Chosen:
    """Return the rulebook of a day and place, named as in the list of places.

    Raises NoRulebookError for an unknown place, or a day without a rulebook.
    """
    files = files or shelf()
    place = place_of(where)
    try:
        return Chosen(place, on, files.resolve(place, on), files)
    except RulebookError as fault:
        message = fault.fault[:1].upper() + fault.fault[1:]
        raise NoRulebookError("on", f"{message}. Choose another date or place.") from None


def place_of(where: str) -> Place:
    """Return the place for an address word; empty is Great Britain. Raises NoRulebookError."""
    found = _places().get(where)
    if found is None:
        raise NoRulebookError("where", "There is no such place; choose one of the list.")
    return found


def where_of(area: str, nation: str) -> str:
    """Return the address word for an area, or for the nation if no area is known."""
    if area:
        return area
    return "" if not nation or nation in GREAT_BRITAIN else nation


@lru_cache(maxsize=1)
def place_groups() -> tuple[PlaceGroup, ...]:
    """Return each country with its licence areas, then the independent operators."""
    books = load_books()
    groups = []
    for nations in _countries(books):
        areas = [a for a in books.areas if not a.independent and set(a.nations) & set(nations)]
        title = nation_in_words(nations[0])
        choices = [PlaceChoice(area.id, _name(area)) for area in areas]
        if len(areas) != 1:
            whole = f"{title}, licence area not known" if areas else title
            choices.insert(0, PlaceChoice(where_of("", nations[0]), whole))
        groups.append(PlaceGroup(title, tuple(choices)))
    others = tuple(PlaceChoice(a.id, a.name) for a in books.areas if a.independent)
    if others:
        groups.append(PlaceGroup("Independent operators of networks", others))
    return tuple(groups)


@lru_cache(maxsize=1)
def _places() -> dict[str, Place]:
    books = load_books()
    places = {}
    for nations in _countries(books):
        where = where_of("", nations[0])
        name = nation_in_words(nations[0])
        areas = [a for a in books.areas if not a.independent and set(a.nations) & set(nations)]
        whole = f"{name}, licence area not known" if len(areas) > 1 else name
        places[where] = Place(where, whole, "", HOME_NATION if not where else nations[0])
    for area in books.areas:
        places[area.id] = Place(area.id, _name(area), area.id, area.nations[0])
    return places


def _name(area: Area) -> str:
    return area.name if area.independent or not area.prefix else f"{area.name} ({area.id})"


def _countries(books: Books) -> tuple[tuple[str, ...], ...]:
    """Group the nations that share their rulebooks, Great Britain first."""
    found: dict[str, tuple[str, ...]] = {}
    for part in books.editions:
        for nation in part.nations:
            group = GREAT_BRITAIN if nation in GREAT_BRITAIN else (nation,)
            found.setdefault(group[0], group)
    return tuple(sorted(found.values(), key=lambda group: group != GREAT_BRITAIN))
