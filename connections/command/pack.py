"""`pack`: print the pack of one site file as a PDF marked "not issued"."""

import datetime as dt
from argparse import ArgumentParser
from pathlib import Path

from connections.assessing import print_pack
from connections.command.calling import CallError, Command, Say
from connections.command.choices import add_choices, assessor_from
from connections.documents.print_error import PrintError
from connections.facts.site_file_error import SiteFileError
from connections.pack.pack_error import PackError


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the file, where the PDF goes, and what overrides the file."""
    parser.add_argument("file", type=Path, help="a site file (site/1, JSON)")
    parser.add_argument("--to", type=Path, required=True, metavar="OUT.pdf")
    add_choices(parser)


def run(
    say: Say,
    *,
    file: Path,
    to: Path,
    on: dt.date | None,
    area: str | None,
    local: list[Path],
    **_options: object,
) -> int:
    """Write the PDF whole or not at all. Raises CallError."""
    assessor = assessor_from(on, area, local)
    try:
        made = print_pack(assessor, assessor.site(file.read_bytes()), to)
    except (SiteFileError, PackError, PrintError) as fault:
        raise CallError(f"{file.name}: {fault}") from None
    except OSError as fault:
        raise CallError(f"{fault.filename or file}: {fault.strerror}.") from None
    say(str(made))
    return 0


PACK = Command('Print the pack of a site file as a PDF marked "not issued".', add_arguments, run)
