"""The command `meterside`."""

import sys
from argparse import ArgumentParser
from collections.abc import Sequence

from connections.command.assess import ASSESS
from connections.command.calling import CallError
from connections.command.pack import PACK
from connections.command.rulebook import RULEBOOK
from connections.command.schema import SCHEMA

COMMANDS = {"assess": ASSESS, "pack": PACK, "schema": SCHEMA, "rulebook": RULEBOOK}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command with these arguments, else with those of the process.

    Returns the exit code: 0, or 1 after one line on standard error. Wrong arguments end the process
    with 2.
    """
    parser = ArgumentParser(
        prog="meterside",
        description="Decide sites that connect generation or storage to the public network.",
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, command in COMMANDS.items():
        command.add_arguments(
            commands.add_parser(name, help=command.help, description=command.help)
        )
    options = vars(parser.parse_args(arguments))
    try:
        return COMMANDS[options["command"]].run(print, **options)
    except CallError as fault:
        print(fault, file=sys.stderr)
        return 1


if __name__ == "__main__":
    sys.exit(main())
