"""Takes out of the store what no row names."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from connections import storage
from connections.models import Attachment, EnergyFile, FrozenPack


class Command(BaseCommand):
    """`manage.py sweep_files [--hours N] [--show]`: files that no row names.

    A file is written before its row commits, so a young one is left alone. What an erased pack
    printed is named no more, whatever its row says.
    """

    help = "Remove files from the store that no row names."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How old a file must be, and whether to show only."""
        parser.add_argument(
            "--hours", type=float, default=24, help="how old a file must be (default 24)"
        )
        parser.add_argument("--show", action="store_true", help="name them and remove nothing")

    def handle(self, *_args: Any, hours: float, show: bool, **_options: Any) -> None:
        """Remove, or show, and say how many."""
        if not 0 <= hours <= 100_000:
            raise CommandError("--hours must be a number from 0 up.")
        found = list(storage.unnamed_since(hours * 3600, named_files()))
        for path in found:
            if show:
                self.stdout.write(path.name)
            else:
                storage.remove_unnamed(path, hours * 3600)
        done = "would go" if show else "removed"
        self.stdout.write(f"{len(found)} file{'' if len(found) == 1 else 's'} {done}.")


def named_files() -> frozenset[str]:
    """The digests of files that rows name: attachments, what energy years rest on, and prints of
    packs not erased."""
    uploaded = (
        Attachment.objects.order_by()
        .values_list("sha256")
        .union(EnergyFile.objects.order_by().values_list("sha256"))
    )
    return frozenset(sha256 for (sha256,) in uploaded) | frozenset(
        FrozenPack.objects.filter(personal__isnull=False)
        .exclude(pdf_sha256="")
        .values_list("pdf_sha256", flat=True)
    )
