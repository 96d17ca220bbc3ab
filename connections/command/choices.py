"""Options that override a site file: date, licence area, the firm's local entries."""

import datetime as dt
from argparse import ArgumentParser, ArgumentTypeError
from pathlib import Path

from connections.assessing import Assessor
from connections.command.calling import CallError
from connections.rulebook.load import RulebookError


def add_choices(parser: ArgumentParser) -> None:
    """Declare `--on`, `--area` and `--local`."""
    parser.add_argument("--on", type=day_of, metavar="DATE", help="decide as on this date")
    parser.add_argument("--area", metavar="AREA", help="the licence area, such as gb-12")
    add_local(parser)


def add_local(parser: ArgumentParser) -> None:
    """Declare `--local`."""
    parser.add_argument(
        "--local",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="a TOML file of the firm's local entries; may be given several times",
    )


def assessor_from(on: dt.date | None, area: str | None, local: list[Path]) -> Assessor:
    """An assessor for the command's options. Raises CallError in one line."""
    try:
        return Assessor(on=on, area=area, local=local)
    except RulebookError as fault:
        raise CallError(str(fault)) from None
    except OSError as fault:
        raise CallError(f"{fault.filename} can't be read: {fault.strerror}.") from None


def day_of(text: str) -> dt.date:
    """The date that an argument names. Raises ArgumentTypeError."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(
            f"{text!r} is not a date; give year-month-day, such as 2026-11-24"
        ) from None


def bytes_of(path: Path) -> bytes:
    """The content of a file. Raises CallError in one line."""
    try:
        return path.read_bytes()
    except OSError as fault:
        raise CallError(f"{path} can't be read: {fault.strerror}.") from None
