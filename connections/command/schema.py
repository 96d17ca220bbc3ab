"""`schema`: print the JSON Schema of site files or of decision files."""

from argparse import ArgumentParser

import msgspec

from connections.command.calling import Command, Say
from connections.facts.describing import site_file_words
from connections.facts.schema import SCHEMAS


def add_arguments(parser: ArgumentParser) -> None:
    """Declare `which` schema to print."""
    parser.add_argument("which", nargs="?", choices=sorted(SCHEMAS), default="site")
    parser.add_argument(
        "--words", action="store_true", help="print the keys of the site file as tables instead"
    )


def run(say: Say, *, which: str, words: bool, **_options: object) -> int:
    """Print one schema as JSON; every property has its title and a sentence."""
    if words:
        say(site_file_words())
        return 0
    say(msgspec.json.format(msgspec.json.encode(SCHEMAS[which]()), indent=2).decode())
    return 0


SCHEMA = Command("Print the JSON Schema of site/1 or of decision/1.", add_arguments, run)
