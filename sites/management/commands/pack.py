"""`manage.py pack`: print the pack of one site file as a PDF marked "not issued"."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from connections.assessing import print_pack
from connections.documents.faults import PrintError
from connections.facts.faults import SiteFileError
from connections.pack.faults import PackError
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

    def handle(self, *_args: Any, **options: Any) -> None:
        """Raises CommandError in one line where the file can't be read or the pack printed."""
        assessor = assessor_from(options)
        path: Path = options["file"]
        try:
            to = print_pack(assessor, assessor.site(path.read_bytes()), options["to"])
        except (SiteFileError, PackError, PrintError) as fault:
            raise CommandError(f"{path.name}: {fault}") from None
        except OSError as fault:
            raise CommandError(f"{fault.filename or path}: {fault.strerror}.") from None
        self.stdout.write(str(to))
