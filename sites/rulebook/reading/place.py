"""Which rulebook a page shows: the place and the day that were chosen, and what holds there."""

import datetime as dt
from functools import lru_cache

from msgspec import Struct

from connections.rulebook.book import GREAT_BRITAIN, Area, Rulebook
from connections.rulebook.faults import RulebookError
from connections.rulebook.load import HOME_NATION, load_books, resolve
from connections.rulebook.schema import Books, Part
from sites.rulebook.reading.local_entries import local_parts
from sites.rulebook.words.rulebook import nation_in_words


class PlaceChoice(Struct, frozen=True):
    """One line of the list of places: its word in the address, and its name."""

    value: str
    name: str


class PlaceGroup(Struct, frozen=True):
    """Places of one country; those of independent operators stand in a group of their own."""

    title: str
    choices: tuple[PlaceChoice, ...]


class Place(Struct, frozen=True):
    """Where a rulebook is asked for: an area with its nation, or a nation alone."""

    where: str
    name: str
    area: str
    nation: str


class Shelf(Struct, frozen=True):
    """All files that a rulebook can be made of: shipped ones, and the firm's local entries."""

    books: Books
    local: tuple[Part, ...]

    def stack(self, place: Place) -> tuple[Part, ...]:
        """The files that can take part in a place, on whatever day, lowest first."""
        return (
            *(part for part in self.books.editions if place.nation in part.nations),
            *(part for part in self.books.operators if place.area in part.areas),
            *(part for part in self.local if not part.areas),
            *(part for part in self.local if place.area in part.areas),
        )

    def resolve(self, place: Place, on: dt.date) -> Rulebook:
        """The rulebook of a place and day. Raises RulebookError where none holds."""
        return resolve(self.books, on=on, area=place.area, nation=place.nation, local=self.local)

    def parts(self) -> tuple[Part, ...]:
        """Every file there is."""
        return (*self.books.editions, *self.books.operators, *self.local)


class Chosen(Struct, frozen=True):
    """A place and a day with the rulebook that holds there, and all the files behind it."""

    place: Place
    on: dt.date
    book: Rulebook
    shelf: Shelf

    @property
    def stack(self) -> tuple[Part, ...]:
        """The files that can take part in the place, lowest first."""
        return self.shelf.stack(self.place)


class NoRulebookError(Exception):
    """No rulebook for what was chosen; `box` says whether the place or the day is to blame."""

    def __init__(self, box: str, message: str) -> None:
        super().__init__(message)
        self.box = box
        self.message = message


def shelf() -> Shelf:
    """The files of this moment; one query, for the firm's entries."""
    return Shelf(load_books(), local_parts())


def chosen(where: str, on: dt.date, files: Shelf | None = None) -> Chosen:
    """The rulebook of a place, named as in the list of places, on a day.

    Raises NoRulebookError where there is no such place, or no rulebook on that day.
    """
    files = files or shelf()
    place = place_of(where)
    try:
        return Chosen(place, on, files.resolve(place, on), files)
    except RulebookError as fault:
        message = fault.fault[:1].upper() + fault.fault[1:]
        raise NoRulebookError("on", f"{message}. Choose another date or place.") from None


def place_of(where: str) -> Place:
    """The place of a word in an address; empty is Great Britain. Raises NoRulebookError."""
    found = _places().get(where)
    if found is None:
        raise NoRulebookError("where", "There is no such place; choose one of the list.")
    return found


def where_of(area: str, nation: str) -> str:
    """The word in an address for an area, or for a nation where no area is known."""
    if area:
        return area
    return "" if not nation or nation in GREAT_BRITAIN else nation


@lru_cache(maxsize=1)
def place_groups() -> tuple[PlaceGroup, ...]:
    """The list of places: each country with its licence areas, then independent operators."""
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
    """The nations of the editions, those that share their rulebooks together, home first."""
    found: dict[str, tuple[str, ...]] = {}
    for part in books.editions:
        for nation in part.nations:
            group = GREAT_BRITAIN if nation in GREAT_BRITAIN else (nation,)
            found.setdefault(group[0], group)
    return tuple(sorted(found.values(), key=lambda group: group != GREAT_BRITAIN))
