"""`manage.py restore FILE`: put database and files of a backup back."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from sites.house import storage
from sites.house.archive import ArchiveError
from sites.house.writing.restoring import restore
from sites.management.commands.sweep_files import named_files


class Command(BaseCommand):
    """Checks the whole archive first; the database changes whole or not at all."""

    help = "Put database and files of a backup back. Stop web and worker first."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file and `--over`."""
        parser.add_argument("file", type=Path, help="an archive that back_up wrote")
        parser.add_argument(
            "--over", action="store_true", help="replace a database that holds people"
        )

    def handle(self, *_args: Any, file: Path, over: bool, **_options: Any) -> None:
        """Raises CommandError in one line where nothing was replaced."""
        try:
            about = restore(file, over=over)
        except ArchiveError as fault:
            raise CommandError(str(fault)) from None
        self.stdout.write(
            f"Restored the state of {about['made_at']}: "
            f"{sum(about['rows'].values()):,} rows and {about['files']:,} files."
        )
        gone = [name for name in named_files() if name and not storage.path_of(name).is_file()]
        if gone:
            self.stdout.write(f"{len(gone)} files that rows name were not in the backup.")
