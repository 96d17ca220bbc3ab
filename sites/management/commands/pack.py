"""`manage.py pack`: print the pack of one site file as a PDF marked "not issued"."""

import datetime as dt
from argparse import ArgumentParser
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from connections.assessing import print_pack
from connections.documents.print_error import PrintError
from connections.facts.site_file_error import SiteFileError
from connections.pack.pack_error import PackError
from sites.management.choices import add_choices, assessor_from


class Command(BaseCommand):
    """Writes the PDF whole or not at all."""

    help = 'Print the pack of a site file as a PDF marked "not issued".'
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file, where the PDF goes, and what overrides the file."""
        parser.add_argument("file", type=Path, help="a site file (site/1, JSON)")
        parser.add_argument("--to", type=Path, required=True, metavar="OUT.pdf")
        add_choices(parser)

    def handle(
        self,
        *_args: object,
        file: Path,
        to: Path,
        on: dt.date | None,
        area: str | None,
        local: list[Path],
        **_options: object,
    ) -> None:
        """Raises CommandError in one line where the file can't be read or the pack printed."""
        assessor = assessor_from(on, area, local)
        try:
            made = print_pack(assessor, assessor.site(file.read_bytes()), to)
        except (SiteFileError, PackError, PrintError) as fault:
            raise CommandError(f"{file.name}: {fault}") from None
        except OSError as fault:
            raise CommandError(f"{fault.filename or file}: {fault.strerror}.") from None
        self.stdout.write(str(made))
