"""Look for the sites that a change of rules touches: nightly, and when an edition is installed."""

from argparse import ArgumentParser

from django.core.management.base import BaseCommand

from sites.house.models import Work
from sites.house.writing.working_out import work_out
from sites.looks.reading.found_by_looks import progress_of, sites_in_words, touched_premises
from sites.looks.writing.looking import look_for_changes


class Command(BaseCommand):
    """`manage.py rescreen [--here]`: its results stand on the work list until they are looked at.

    The worker does the work in parts of some 200 sites. No second look begins while one is under
    way.
    """

    help = "Look for the sites for which the rules have changed since last time, or will soon."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `--here`."""
        parser.add_argument(
            "--here", action="store_true", help="do it in this process, without a worker"
        )

    def handle(self, *_args: object, here: bool, **_options: object) -> None:
        """Begin a look, do it here if asked, and print the state."""
        run = look_for_changes()
        if here:
            parts = Work.objects.filter(run=run, done_at__isnull=True)
            for key, digest in list(parts.values_list("key", "digest")):
                work_out(str(key), digest)
            run.refresh_from_db()
        found = progress_of(run)
        if not found.ended:
            self.stdout.write(f"The worker is looking at {sites_in_words(run.total)}.")
            return
        touched = touched_premises().count()
        self.stdout.write(
            f"Looked at {sites_in_words(run.total)}; the rules change something for {touched}."
        )
        for fault in found.faults:
            self.stderr.write(fault)
