"""Reading the files of a rulebook and resolving them for a date and an area.

    books = load_books()
    book = resolve(books, on=date(2026, 11, 24), area="gb-12", nation="england")

The format of the files stands at the head of `connections.rulebook.schema`. This is the only
module of the room that opens files (beside the unit definitions of `quantities`). The shipped
files are read and checked once in a process.
"""

import datetime as dt
import tomllib
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from connections.rulebook.book import Layer, Rulebook, Value
from connections.rulebook.faults import RulebookError
from connections.rulebook.fitting import check_edition, check_layer
from connections.rulebook.keeping import with_digest
from connections.rulebook.reading import read_areas, read_part, read_register
from connections.rulebook.references import Register
from connections.rulebook.schema import Books, DatedValue, Part

__all__ = ["Books", "RulebookError", "load_books", "load_local", "read_local", "resolve"]

DATA = Path(__file__).with_name("data")

HOME_NATION = "england"
"""The nation whose edition is taken where a site names none: Great Britain has one for all."""


@cache
def load_books(data: Path = DATA) -> Books:
    """Everything below `data`: register, areas, editions and operators' files, checked.

    Raises RulebookError for the first fault, naming file, key and fault.
    """
    register = read_register(_toml(data / "sources.toml", data), "sources.toml")
    areas = read_areas(_toml(data / "areas.toml", data), "areas.toml", register)
    editions = [
        load_edition(folder, register, data) for folder in sorted((data / "editions").glob("*"))
    ]
    editions.sort(key=lambda part: (part.since, part.key))
    _check_editions(editions)
    operators = [
        read_part({_name(path, data): _toml(path, data)}, "operator", register)
        for path in sorted((data / "operators").glob("*.toml"))
    ]
    books = Books(register, areas, tuple(editions), tuple(operators))
    _check_operators(books)
    return books


def load_edition(folder: Path, register: Register, data: Path) -> Part:
    """The edition that the files of `folder` hold; messages name files from `data` on."""
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise RulebookError(
            _name(folder, data), "", "give each edition a folder with its files ending in .toml"
        )
    part = read_part({_name(path, data): _toml(path, data) for path in files}, "edition", register)
    check_edition(part)
    return part


def load_local(path: Path, books: Books | None = None) -> Part:
    """A firm's local entries from a file; `books` gives the register, the shipped one if None."""
    try:
        content = path.read_bytes()
    except OSError as fault:
        raise RulebookError(path.name, "", f"can't be read: {fault.strerror}") from None
    return read_local(content, path.name, books)


def read_local(content: bytes, name: str, books: Books | None = None) -> Part:
    """A firm's local entries from TOML; `name` stands for the file in messages."""
    register = (books or load_books()).sources
    return read_part({name: _parsed(content, name)}, "local", register)


def resolve(
    books: Books,
    *,
    on: dt.date,
    area: str = "",
    nation: str | None = None,
    local: Sequence[Path | Part] = (),
) -> Rulebook:
    """The rulebook that holds on a date in a licence area.

    Args:
        books: what `load_books` gave.
        on: the date; it picks the edition and, for each value, the amount then in force. A value
            that doesn't hold on that date is not in the rulebook.
        area: id of a licence area, or empty where it is not known.
        nation: one of the nations of the site file; None or empty is Great Britain's.
        local: the firm's local files, or what `load_local` made of them; they lie topmost, and
            only those for all areas or for this one count.

    Raises RulebookError if no edition holds, the area is unknown or a layer doesn't fit.
    """
    parts = tuple(part if isinstance(part, Part) else load_local(part, books) for part in local)
    if parts:
        return _resolved(books, on, area, nation or HOME_NATION, parts)
    return _shipped(_Same(books), on, area, nation or HOME_NATION)


class _Same:
    """Books as a cache key: the same object, not equal content."""

    def __init__(self, books: Books) -> None:
        self.books = books

    def __hash__(self) -> int:
        return id(self.books)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.books is other.books


@lru_cache(maxsize=256)
def _shipped(same: _Same, on: dt.date, area: str, nation: str) -> Rulebook:
    return _resolved(same.books, on, area, nation, ())


def _resolved(
    books: Books, on: dt.date, area: str, nation: str, local: tuple[Part, ...]
) -> Rulebook:
    edition = _edition_on(books, on, nation)
    _check_area(area, books, "", "area")
    for part in local:
        _check_areas(part, books)
    operators = [p for p in books.operators if area in p.areas and p.holds_on(on)]
    locals_ = [p for p in local if (not p.areas or area in p.areas) and p.holds_on(on)]
    _check_level(locals_)
    stack: dict[str, DatedValue] = dict(edition.values)
    values = _in_force(edition, on)
    steps = {step.id: step for step in edition.steps}
    settings = {table.id: table for table in edition.settings}
    for part in (*operators, *locals_):
        check_layer(part, edition, stack)
        stack.update(part.values)
        values.update(_in_force(part, on))
        steps.update({step.id: step for step in part.steps})
        settings.update({table.id: table for table in part.settings})
    return with_digest(
        Rulebook(
            key=edition.key,
            edition=edition.edition,
            on_date=on,
            area=area,
            layers=tuple(
                Layer(part.key, part.title, part.digest) for part in (edition, *operators, *locals_)
            ),
            values=dict(sorted(values.items())),
            table=edition.rows,
            outcomes=edition.outcomes,
            steps=tuple(steps.values()),
            settings=tuple(settings.values()),
            areas=books.areas,
            digest="",
        )
    )


def _edition_on(books: Books, on: dt.date, nation: str) -> Part:
    for_nation = [part for part in books.editions if nation in part.nations]
    if not for_nation:
        raise RulebookError("", "nation", f'there is no edition for "{nation}" yet')
    for part in for_nation:
        if part.holds_on(on):
            return part
    first = for_nation[0]
    if on < first.since:
        raise RulebookError(
            "",
            "on_date",
            f"no edition is known for {on}; the first one, {first.edition}, holds from "
            f"{first.since}",
        )
    before = [part for part in for_nation if part.since <= on][-1]
    raise RulebookError(
        "", "on_date", f"no edition is known for {on}; {before.edition} holds until {before.until}"
    )


def _in_force(part: Part, on: dt.date) -> dict[str, Value]:
    values = {}
    for key, dated in part.values.items():
        spell = dated.on(on)
        if spell is not None:
            values[key] = Value(
                key=key,
                says=dated.says,
                unit=dated.unit,
                applies_to=dated.applies_to,
                amount=spell.amount,
                written=spell.written,
                since=spell.since,
                source=spell.source,
                certainty=spell.certainty,
                checked=dated.checked,
                layer=part.key,
                note=spell.note,
            )
    return values


def _check_level(parts: Iterable[Part]) -> None:
    """Refuse a key that two files of the same level give."""
    taken: dict[str, Part] = {}
    for part in parts:
        things = [f"value {key}" for key in part.values]
        things += [f"step {step.id}" for step in part.steps]
        things += [f"setting table {table.id}" for table in part.settings]
        for thing in things:
            if thing in taken:
                other = taken[thing].places[thing]
                raise RulebookError(
                    part.places[thing], thing, f"{other} gives it too; keep one of the two"
                )
            taken[thing] = part


def _check_editions(editions: Sequence[Part]) -> None:
    """Refuse editions of one key, or two that hold for one nation on one day."""
    for n, part in enumerate(editions):
        for before in editions[:n]:
            if part.key == before.key:
                raise RulebookError(part.file, "book", f"{before.file} has the same key")
            both = set(part.nations) & set(before.nations)
            if both and before.holds_on(part.since):
                raise RulebookError(
                    part.file, "book", f"its dates overlap those of {before.file}; set `until`"
                )


def _check_operators(books: Books) -> None:
    """Refuse an operator's file for an unknown area, or one that doesn't fit an edition."""
    for part in books.operators:
        _check_areas(part, books)
        overlapping = [
            other
            for other in books.operators
            if set(other.areas) & set(part.areas) and other.holds_on(part.since)
        ]
        _check_level(overlapping)
        for edition in books.editions:
            if part.holds_on(edition.since) or edition.holds_on(part.since):
                check_layer(part, edition, edition.values)


def _check_areas(part: Part, books: Books) -> None:
    for area in part.areas:
        _check_area(area, books, part.file, "book")


def _check_area(area: str, books: Books, file: str, key: str) -> None:
    if area and area not in {known.id for known in books.areas}:
        raise RulebookError(file, key, f'there is no licence area "{area}"')


def _name(path: Path, data: Path) -> str:
    return path.relative_to(data).as_posix()


def _toml(path: Path, data: Path) -> dict[str, Any]:
    name = _name(path, data)
    try:
        content = path.read_bytes()
    except OSError as fault:
        raise RulebookError(name, "", f"can't be read: {fault.strerror}") from None
    return _parsed(content, name)


def _parsed(content: bytes, name: str) -> dict[str, Any]:
    try:
        parsed = tomllib.loads(content.decode())
    except UnicodeDecodeError:
        raise RulebookError(name, "", "this is not UTF-8 text") from None
    except tomllib.TOMLDecodeError as fault:
        raise RulebookError(name, "", f"this is not valid TOML: {fault}") from None
    except RecursionError:
        raise RulebookError(name, "", "this is nested too deeply to be a rulebook") from None
    _refuse_fractions(parsed, name, "")
    return parsed


def _refuse_fractions(value: object, file: str, place: str) -> None:
    """No amount is a bare fraction: it has no unit, and binary fractions aren't exact."""
    if isinstance(value, float):
        raise RulebookError(
            file, place, f"the bare fraction {value}; write it with its unit, in quotes"
        )
    if isinstance(value, dict):
        for key, item in value.items():
            _refuse_fractions(item, file, place or key)
    elif isinstance(value, list):
        for item in value:
            called = (item.get("key") or item.get("id")) if isinstance(item, dict) else None
            inner = f"{place.replace('_', ' ')} {called}" if isinstance(called, str) else place
            _refuse_fractions(item, file, inner)
