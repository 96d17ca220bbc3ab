"""Remove files from the store that no row names."""

import datetime as dt
from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError
from django.db.models import QuerySet
from django.utils import timezone

from sites.energy.models import EnergyFile, EnergyInputs
from sites.energy.writing.files import take_out_files
from sites.house import storage
from sites.packs.models import FrozenPack
from sites.review.models import Attachment
from sites.sending.models import Dispatch


class Command(BaseCommand):
    """`manage.py sweep_files [--hours N] [--show]`: remove or show files that no row names.

    A file is written before its row commits, so young files stay. The print of an erased pack
    counts as unnamed, whatever its row says. So does an uploaded file for energy years that was
    never entered; its row goes too.
    """

    help = "Remove files from the store that no row names."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `--hours`, how old a file must be, and `--show`."""
        parser.add_argument(
            "--hours", type=float, default=24, help="how old a file must be (default 24)"
        )
        parser.add_argument("--show", action="store_true", help="name them and remove nothing")

    def handle(self, *_args: object, hours: float, show: bool, **_options: object) -> None:
        """Remove or show the files, and print how many."""
        if not 0 <= hours <= 100_000:
            raise CommandError("--hours must be a number from 0 up.")
        left = never_entered(hours)
        if not show:
            take_out_files(left)
        named = named_files(left if show else None)
        found = list(storage.unnamed_since(hours * 3600, named))
        for path in found:
            if show:
                self.stdout.write(path.name)
            else:
                storage.remove_unnamed(path, hours * 3600)
        done = "would go" if show else "removed"
        self.stdout.write(f"{len(found)} file{'' if len(found) == 1 else 's'} {done}.")


def never_entered(hours: float) -> QuerySet[EnergyFile]:
    """Files for energy years that were sent longer ago than this and never entered."""
    before = timezone.now() - dt.timedelta(hours=hours)
    entered = EnergyInputs.objects.all()
    return (
        EnergyFile.objects.filter(added_at__lt=before)
        .exclude(pk__in=entered.filter(meter_file__isnull=False).values("meter_file"))
        .exclude(pk__in=entered.filter(irradiance_file__isnull=False).values("irradiance_file"))
    )


def named_files(without: QuerySet[EnergyFile] | None = None) -> frozenset[str]:
    """Digests of files that rows name: attachments, inputs of energy years, prints not erased,
    what was sent.

    `without` leaves out rows that are about to go.
    """
    for_years = EnergyFile.objects.all()
    if without is not None:
        for_years = for_years.exclude(pk__in=without.values("pk"))
    printed = FrozenPack.objects.filter(personal__isnull=False)
    return frozenset(
        sha256
        for column in (
            Attachment.objects.values_list("sha256", flat=True),
            for_years.values_list("sha256", flat=True),
            printed.values_list("pdf_sha256", flat=True),
            printed.values_list("annex_pdf_sha256", flat=True),
            printed.values_list("notice_pdf_sha256", flat=True),
            Dispatch.objects.values_list("content_sha256", flat=True),
        )
        for sha256 in column
    )
