"""`rulebook`: check the files of the rulebook, show values, compare."""

import datetime as dt
import difflib
from argparse import ArgumentParser
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

from connections.command import rulebook_words as words
from connections.command.calling import CallError, Command, Say
from connections.command.choices import add_local, bytes_of, day_of
from connections.rulebook.book import Rulebook
from connections.rulebook.checking.gaps import change_days
from connections.rulebook.difference.finding import difference, differences
from connections.rulebook.load import (
    Books,
    RulebookError,
    load_books,
    load_local,
    read_file,
    resolve,
    with_file,
)
from connections.rulebook.schema import NATIONS, Part


class Place(NamedTuple):
    """Where a rulebook is resolved, as the command line has it."""

    area: str
    nation: str | None
    local: tuple[Path, ...]


def _add_check(parser: ArgumentParser) -> None:
    parser.add_argument("file", nargs="?", type=Path, help="a file to check on top of these")


def _check(say: Say, *, file: Path | None, **_options: object) -> int:
    books = load_books()
    if file is None:
        _each(say, words.overview(books))
        say(words.totals(books))
        return 0
    part = read_file(bytes_of(file), file.name, books)
    _each(say, words.of_file(part, with_file(books, part)))
    say(f"{file.name} fits: no fault and no gap.")
    return 0


def _add_show(parser: ArgumentParser) -> None:
    parser.add_argument("keys", nargs="*", metavar="KEY", help="a key, or the group before its dot")
    _add_place(parser)
    parser.add_argument("--on", type=day_of, metavar="DATE", help="the date; today if left out")


def _show(
    say: Say,
    *,
    keys: list[str],
    on: dt.date | None,
    area: str,
    nation: str | None,
    local: list[Path],
    **_options: object,
) -> int:
    place = Place(area, nation, tuple(local))
    book = _resolved(load_books(), place, on or _today())
    shown = _things_of(book)
    found = [key for asked in keys or shown for key in _keys_of(book, asked, shown)]
    say(words.head_of(book))
    for key in dict.fromkeys(found):
        _each(say, ["", *shown[key]])
    return 0


def _add_diff(parser: ArgumentParser) -> None:
    parser.add_argument("first", metavar="A", help="the key of an edition, or a date")
    parser.add_argument("second", metavar="B", help="the key of an edition, or a date")
    _add_place(parser)


def _diff(
    say: Say,
    *,
    first: str,
    second: str,
    area: str,
    nation: str | None,
    local: list[Path],
    **_options: object,
) -> int:
    place = Place(area, nation, tuple(local))
    books = load_books()
    from_day, to_day = _date(first), _date(second)
    if from_day and to_day and from_day < to_day:
        # A rulebook must hold on both days, whatever changes between them.
        for day in (from_day, to_day):
            _resolved(books, place, day)
        days = change_days((*books.editions, *books.operators, *_local(place, books)))
        found = differences(lambda day: _resolved(books, place, day), days, from_day, to_day)
        _each(say, words.of_differences(list(found), from_day, to_day))
        return 0
    before = _side(books, place, first, after=None)
    after = _side(books, place, second, after=before.on_date)
    _each(say, words.of_difference(difference(before, after)))
    return 0


ACTS = {
    "check": Command("faults, gaps, rows never reached, certainties", _add_check, _check),
    "show": Command("values with unit, source and certainty", _add_show, _show),
    "diff": Command("what is different between two editions or dates", _add_diff, _diff),
}


def add_acts(parser: ArgumentParser, acts: Mapping[str, Command]) -> None:
    """Declare these acts and what each one takes."""
    kinds = parser.add_subparsers(dest="act", required=True, metavar="ACT")
    for name, act in acts.items():
        act.add_arguments(kinds.add_parser(name, help=act.help))


def run_act(acts: Mapping[str, Command], say: Say, act: str, **options: object) -> int:
    """Run an act. Raises CallError with file, key and fault where something is wrong."""
    try:
        return acts[act].run(say, **options)
    except RulebookError as fault:
        raise CallError(f"{fault}.") from None


RULEBOOK = Command(
    "Check and show the rulebook, compare editions or dates.",
    lambda parser: add_acts(parser, ACTS),
    lambda say, **options: run_act(ACTS, say, **options),
)


def _each(say: Say, lines: Iterable[str]) -> None:
    for line in lines:
        say(line)


def _today() -> dt.date:
    return dt.datetime.now(ZoneInfo("Europe/London")).date()


def _add_place(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--area", default="", metavar="AREA", help="the licence area, such as gb-12"
    )
    parser.add_argument("--nation", choices=NATIONS, help="Great Britain's if left out")
    add_local(parser)


def _resolved(books: Books, place: Place, on: dt.date) -> Rulebook:
    return resolve(
        books,
        on=on,
        area=place.area,
        nation=place.nation,
        local=_local(place, books),
    )


def _local(place: Place, books: Books) -> list[Part]:
    return [load_local(path, books) for path in place.local]


def _side(books: Books, place: Place, named: str, after: dt.date | None) -> Rulebook:
    """One side of a difference: a date, or an edition on its day next to the other side.

    Of two editions, the first is taken on its last day, or today while it holds. The second is
    taken on its first day if that comes after, or today.
    """
    day = _date(named)
    if day is not None:
        return _resolved(books, place, day)
    edition = next((part for part in books.editions if part.key == named), None)
    if edition is None:
        keys = ", ".join(part.key for part in books.editions)
        raise CallError(
            f'"{named}" is neither a date such as 2026-11-24 nor an edition; those are {keys}.'
        )
    today = _today()
    if after is None:
        day = min(edition.until or today, max(today, edition.since))
    else:
        day = edition.since if edition.since > after else max(today, edition.since)
        day = min(day, edition.until or day)
    nation = place.nation if place.nation in edition.nations else edition.nations[0]
    return _resolved(books, place._replace(nation=nation), day)


def _things_of(book: Rulebook) -> dict[str, Iterable[str]]:
    """The lines of each value by key, then of each cap on export and extra condition by id."""
    return {
        **{key: words.of_value(value, book) for key, value in book.values.items()},
        **{cap.id: words.of_cap(cap, book) for cap in book.caps},
        **{extra.id: words.of_condition(extra, book) for extra in book.conditions},
    }


def _keys_of(book: Rulebook, asked: str, shown: Iterable[str]) -> list[str]:
    """The key or id asked for, or all keys of a group."""
    keys = list(shown)
    if asked in keys:
        return [asked]
    group = [key for key in keys if key.startswith(f"{asked}.")]
    if group:
        return group
    near = difflib.get_close_matches(asked, keys, n=3)
    hint = f"; near it are {', '.join(near)}" if near else "; without KEY all are shown"
    raise CallError(f'There is no value "{asked}" as on {book.on_date}{hint}.')


def _date(text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return None
