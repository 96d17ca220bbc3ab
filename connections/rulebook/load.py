"""Read the files of a rulebook and resolve them for a date and an area.

    books = load_books()
    book = resolve(books, on=date(2026, 11, 24), area="gb-12", nation="england")

The docstring of `connections.rulebook.schema` describes the format of the files. Only this module
of the room opens files (besides the unit definitions of `quantities`). A process reads and checks
the shipped files once.
"""

import datetime as dt
import tomllib
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import cast, get_args

from msgspec import structs

from connections.rulebook.book import Rulebook
from connections.rulebook.checking.fitting import check_edition
from connections.rulebook.checking.gaps import refuse_gaps
from connections.rulebook.reading.file import read_areas, read_part, read_register
from connections.rulebook.reading.references import Register
from connections.rulebook.resolving import (
    check_editions,
    check_local,
    check_operators,
    resolve_parts,
)
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import Books, Kind, Part

__all__ = [
    "Books",
    "RulebookError",
    "check_local",
    "load_books",
    "load_local",
    "read_file",
    "read_local",
    "resolve",
    "with_file",
]

DATA = Path(__file__).with_name("data")

HOME_NATION = "england"
"""The nation assumed where a site names none: Great Britain has one edition for all."""


@cache
def load_books(data: Path = DATA) -> Books:
    """Read and check everything below `data`: register, areas, editions and operators' files.

    Raises RulebookError for the first fault, naming file, key and fault.
    """
    register = read_register(_toml(data / "sources.toml", data), "sources.toml")
    areas = read_areas(_toml(data / "areas.toml", data), "areas.toml", register)
    editions = [
        load_edition(folder, register, data) for folder in sorted((data / "editions").glob("*"))
    ]
    editions.sort(key=lambda part: (part.since, part.key))
    check_editions(editions)
    operators = [
        read_part({_name(path, data): _toml(path, data)}, "operator", register)
        for path in sorted((data / "operators").glob("*.toml"))
    ]
    books = Books(register, areas, tuple(editions), tuple(operators))
    check_operators(books)
    return books


def load_edition(folder: Path, register: Register, data: Path) -> Part:
    """Read the edition in `folder`; messages name files relative to `data`."""
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise RulebookError(
            _name(folder, data), "", "give each edition a folder with its files ending in .toml"
        )
    part = read_part({_name(path, data): _toml(path, data) for path in files}, "edition", register)
    check_edition(part)
    refuse_gaps(part)
    return part


def load_local(path: Path, books: Books | None = None) -> Part:
    """Read local entries from a file; None for `books` means the shipped register."""
    try:
        content = path.read_bytes()
    except OSError as fault:
        raise RulebookError(path.name, "", f"can't be read: {fault.strerror}") from None
    return read_local(content, path.name, books)


def read_local(content: bytes, name: str, books: Books | None = None) -> Part:
    """Read local entries from TOML; messages use `name` for the file."""
    register = (books or load_books()).sources
    return read_part({name: _parsed(content, name)}, "local", register)


def read_file(content: bytes, name: str, books: Books) -> Part:
    """Read one file of the kind that its head states, with the register of `books`."""
    parsed = _parsed(content, name)
    head = parsed.get("book")
    kind = head.get("kind") if isinstance(head, dict) else None
    if kind not in get_args(Kind):
        raise RulebookError(
            name, "book", f"`kind` must be one of {', '.join(get_args(Kind))}; give it in the head"
        )
    return read_part({name: parsed}, cast(Kind, kind), books.sources)


def with_file(books: Books, part: Part) -> Books:
    """The books with one more file, which replaces the one with its key.

    Only checks a local file and returns `books` unchanged. Raises RulebookError if the file does
    not fit.
    """
    if part.kind == "local":
        check_local(books, (part,))
        return books
    if part.kind == "operator":
        others = [other for other in books.operators if other.key != part.key]
        together = structs.replace(books, operators=(*others, part))
    else:
        check_edition(part)
        refuse_gaps(part)
        editions = [other for other in books.editions if other.key != part.key] + [part]
        editions.sort(key=lambda edition: (edition.since, edition.key))
        check_editions(editions)
        together = structs.replace(books, editions=tuple(editions))
    check_operators(together)
    return together


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
        books: the result of `load_books`.
        on: the date; it picks the edition and, for each value, the amount in force. The rulebook
            lacks a value that does not hold on that date.
        area: id of a licence area, or empty if not known.
        nation: one of the nations of the site file; None or empty means Great Britain.
        local: the firm's local files, or parts from `load_local`; they lie topmost, and only those
            for all areas or for this one count.

    Raises RulebookError if no edition holds, the area is unknown or a layer does not fit.
    """
    parts = tuple(part if isinstance(part, Part) else load_local(part, books) for part in local)
    return resolve_parts(books, on, area, nation or HOME_NATION, parts)


def _name(path: Path, data: Path) -> str:
    return path.relative_to(data).as_posix()


def _toml(path: Path, data: Path) -> dict[str, object]:
    name = _name(path, data)
    try:
        content = path.read_bytes()
    except OSError as fault:
        raise RulebookError(name, "", f"can't be read: {fault.strerror}") from None
    return _parsed(content, name)


def _parsed(content: bytes, name: str) -> dict[str, object]:
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
    """Refuse bare fractions: they have no unit, and binary fractions are not exact."""
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
