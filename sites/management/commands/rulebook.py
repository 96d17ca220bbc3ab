"""`manage.py rulebook`: the command of the library, and local entries of the database."""

import sys
from argparse import ArgumentParser
from pathlib import Path

from connections.command import calling
from connections.command.calling import CallError, Say
from connections.command.choices import bytes_of
from connections.command.rulebook import ACTS, RULEBOOK, add_acts, run_act
from connections.rulebook.load import load_books
from sites.management.library_command import LibraryCommand


def _add_dump(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--area", metavar="AREA", help="those of a licence area; else those of the whole firm"
    )


def _dump(say: Say, *, area: str | None, **_options: object) -> int:
    if area and all(known.id != area for known in load_books().areas):
        raise CallError(f'There is no licence area "{area}".')
    from sites.rulebook.reading.local_entries import areas_with_entries, dump_entries

    say(dump_entries(area).removesuffix("\n"))
    others = [one for one in areas_with_entries() if one and one != area]
    if others and not area:
        print(f"There are entries of {', '.join(others)} too; give --area.", file=sys.stderr)
    return 0


def _add_load(parser: ArgumentParser) -> None:
    parser.add_argument("file", type=Path)
    parser.add_argument("--by", required=True, metavar="E-MAIL", help="the engineer who enters it")
    parser.add_argument("--reason", metavar="TEXT", help="why; else that it was loaded from FILE")


def _load(say: Say, *, file: Path, by: str, reason: str | None, **_options: object) -> int:
    content = bytes_of(file)
    from sites.house.refusals import NotAllowedError, RefusedError
    from sites.looks.writing.local_entries import load_entries
    from sites.people.models import Person

    engineer = Person.objects.filter(email__iexact=by, is_active=True).first()
    if engineer is None:
        raise CallError(f"There is nobody with the address {by}; give that of an engineer.")
    try:
        loaded = load_entries(content=content, name=file.name, by=engineer, reason=reason or "")
    except (NotAllowedError, RefusedError) as refused:
        raise CallError(str(refused)) from None
    say(f"{file.name}: {loaded}.")
    return 0


WITH_ENTRIES = {
    **ACTS,
    "dump": calling.Command("the firm's local entries as TOML", _add_dump, _dump),
    "load": calling.Command("write the entries of a TOML file", _add_load, _load),
}


class Command(LibraryCommand):
    """As `meterside rulebook`, with `dump` and `load`."""

    help = f"{RULEBOOK.help.removesuffix('.')}; load and dump local entries."
    library = calling.Command(
        help,
        lambda parser: add_acts(parser, WITH_ENTRIES),
        lambda say, **options: run_act(WITH_ENTRIES, say, **options),
    )
