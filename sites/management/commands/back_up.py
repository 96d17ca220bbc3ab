"""`manage.py back_up FILE`: database and files in one archive, while the application runs."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from sites.house.archive import ArchiveError
from sites.house.models.last_run import BACKUP
from sites.house.writing.backing_up import back_up
from sites.house.writing.running import note_run


class Command(BaseCommand):
    """Writes the archive whole or not at all; health shows when."""

    help = "Write database and files into one archive that its owner alone can read."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file."""
        parser.add_argument("file", type=Path, help="the archive to write, such as monday.zip")

    def handle(self, *_args: Any, file: Path, **_options: Any) -> None:
        """Raises CommandError in one line where it can't be written."""
        try:
            about = back_up(file)
        except ArchiveError as fault:
            note_run(BACKUP, well=False, said=str(fault))
            raise CommandError(str(fault)) from None
        said = (
            f"{sum(about['rows'].values()):,} rows of {len(about['rows'])} tables and "
            f"{about['files']:,} files, {file.stat().st_size / 1e6:,.1f} MB"
        )
        note_run(BACKUP, well=True, said=said)
        self.stdout.write(f"{file}: {said}. Not inside: {' and '.join(about['left_out'])}.")
