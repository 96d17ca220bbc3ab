"""`manage.py rulebook`: check the rulebook's files, show values, compare, load local entries.

`check`, `show` and `diff` need no database; `load` and `dump` read and write the firm's entries.
"""

import datetime as dt
import difflib
from argparse import ArgumentParser
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypedDict, Unpack

from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import localdate

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
from sites.management import rulebook_words as words
from sites.management.choices import day_of


class Place(TypedDict):
    """Where a rulebook is resolved, as the command line has it."""

    area: str
    nation: str | None
    local: list[Path]


class Command(BaseCommand):
    """One command with an act: check, show, diff, load or dump."""

    help = "Check and show the rulebook, compare editions or dates, load and dump local entries."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the acts and what each one takes."""
        acts = parser.add_subparsers(dest="act", required=True, metavar="ACT")
        check = acts.add_parser("check", help="faults, gaps, rows never reached, certainties")
        check.add_argument("file", nargs="?", type=Path, help="a file to check on top of these")
        show = acts.add_parser("show", help="values with unit, source and certainty")
        show.add_argument(
            "keys", nargs="*", metavar="KEY", help="a key, or the group before its dot"
        )
        _add_place(show)
        show.add_argument("--on", type=day_of, metavar="DATE", help="the date; today if left out")
        diff = acts.add_parser("diff", help="what is different between two editions or dates")
        diff.add_argument("first", metavar="A", help="the key of an edition, or a date")
        diff.add_argument("second", metavar="B", help="the key of an edition, or a date")
        _add_place(diff)
        dump = acts.add_parser("dump", help="the firm's local entries as TOML")
        dump.add_argument(
            "--area", metavar="AREA", help="those of a licence area; else those of the whole firm"
        )
        load = acts.add_parser("load", help="write the entries of a TOML file")
        load.add_argument("file", type=Path)
        load.add_argument(
            "--by", required=True, metavar="E-MAIL", help="the engineer who enters it"
        )
        load.add_argument("--reason", metavar="TEXT", help="why; else that it was loaded from FILE")

    def handle(self, *_args: object, act: str, **options: object) -> None:
        """Raises CommandError with file, key and fault where something is wrong."""
        acts: dict[str, Callable[..., None]] = {
            "check": self._check,
            "show": self._show,
            "diff": self._diff,
            "dump": self._dump,
            "load": self._load,
        }
        try:
            acts[act](**options)
        except RulebookError as fault:
            raise CommandError(f"{fault}.") from None

    def _check(self, *, file: Path | None, **_options: object) -> None:
        books = load_books()
        if file is None:
            self._say(words.overview(books))
            self._say([words.totals(books)])
            return
        part = read_file(_bytes(file), file.name, books)
        together = with_file(books, part)
        self._say(words.of_file(part, together))
        self._say([f"{file.name} fits: no fault and no gap."])

    def _show(self, *, keys: list[str], on: dt.date | None, **place: Unpack[Place]) -> None:
        book = _resolved(load_books(), place, on or localdate())
        shown = _things_of(book)
        found = [key for asked in keys or shown for key in _keys_of(book, asked, shown)]
        self._say([words.head_of(book)])
        for key in dict.fromkeys(found):
            self._say(["", *shown[key]])

    def _diff(self, *, first: str, second: str, **place: Unpack[Place]) -> None:
        books = load_books()
        from_day, to_day = _date(first), _date(second)
        if from_day and to_day and from_day < to_day:
            # A rulebook must hold on both days, whatever changes between them.
            for day in (from_day, to_day):
                _resolved(books, place, day)
            days = change_days((*books.editions, *books.operators, *_local(place, books)))
            found = differences(lambda day: _resolved(books, place, day), days, from_day, to_day)
            self._say(words.of_differences(list(found), from_day, to_day))
            return
        before = _side(books, place, first, after=None)
        after = _side(books, place, second, after=before.on_date)
        self._say(words.of_difference(difference(before, after)))

    def _dump(self, *, area: str | None, **_options: object) -> None:
        if area:
            _known_area(load_books(), area)
        from sites.rulebook.reading.local_entries import areas_with_entries, dump_entries

        self.stdout.write(dump_entries(area), ending="")
        others = [one for one in areas_with_entries() if one and one != area]
        if others and not area:
            self.stderr.write(f"There are entries of {', '.join(others)} too; give --area.")

    def _load(self, *, file: Path, by: str, reason: str | None, **_options: object) -> None:
        content = _bytes(file)
        from sites.house.refusals import NotAllowedError, RefusedError
        from sites.looks.writing.local_entries import load_entries
        from sites.people.models import Person

        engineer = Person.objects.filter(email__iexact=by, is_active=True).first()
        if engineer is None:
            raise CommandError(f"There is nobody with the address {by}; give that of an engineer.")
        try:
            loaded = load_entries(content=content, name=file.name, by=engineer, reason=reason or "")
        except (NotAllowedError, RefusedError) as refused:
            raise CommandError(str(refused)) from None
        self.stdout.write(f"{file.name}: {loaded}.")

    def _say(self, lines: Iterable[str]) -> None:
        for line in lines:
            self.stdout.write(line)


def _add_place(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--area", default="", metavar="AREA", help="the licence area, such as gb-12"
    )
    parser.add_argument("--nation", choices=NATIONS, help="Great Britain's if left out")
    parser.add_argument(
        "--local",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="a TOML file of the firm's local entries; may be given several times",
    )


def _resolved(books: Books, place: Place, on: dt.date) -> Rulebook:
    return resolve(
        books,
        on=on,
        area=place["area"],
        nation=place["nation"],
        local=_local(place, books),
    )


def _local(place: Place, books: Books) -> list[Part]:
    return [load_local(path, books) for path in place["local"]]


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
        raise CommandError(
            f'"{named}" is neither a date such as 2026-11-24 nor an edition; those are {keys}.'
        )
    today = localdate()
    if after is None:
        day = min(edition.until or today, max(today, edition.since))
    else:
        day = edition.since if edition.since > after else max(today, edition.since)
        day = min(day, edition.until or day)
    nation = place["nation"] if place["nation"] in edition.nations else edition.nations[0]
    return _resolved(books, {**place, "nation": nation}, day)


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
    raise CommandError(f'There is no value "{asked}" as on {book.on_date}{hint}.')


def _known_area(books: Books, area: str) -> None:
    if all(known.id != area for known in books.areas):
        raise CommandError(f'There is no licence area "{area}".')


def _date(text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return None


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as fault:
        raise CommandError(f"{path} can't be read: {fault.strerror}.") from None
