"""`manage.py bench`: speeds of this machine in one run, beside their aims."""

from argparse import ArgumentParser
from json import dumps

from django.core.management.base import BaseCommand

from sites.management.benchmarks.core import MEASURES, Figure, as_json, table
from sites.management.benchmarks.electrical import MEASURES as ELECTRICAL
from sites.management.benchmarks.energy import energy
from sites.management.benchmarks.lists import lists as measure_lists
from sites.management.benchmarks.looks import screening
from sites.management.benchmarks.pages import pages


class Command(BaseCommand):
    """Measures and prints; never fails a build, since machines differ."""

    help = "Measure how fast deciding and printing are on this machine."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `--json` and `--lists`."""
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")
        parser.add_argument(
            "--lists", action="store_true", help="measure lists of up to 100,000 cases alone"
        )

    def handle(self, *_args: object, json: bool, lists: bool, **_options: object) -> None:
        """Run every measure and print the figures."""
        figures: list[Figure] = []
        every = (*MEASURES, *ELECTRICAL, energy, screening, pages)
        for measure in (measure_lists,) if lists else every:
            self.stderr.write(f"measuring: {(measure.__doc__ or '').splitlines()[0]}")
            figures.extend(measure())
        if json:
            self.stdout.write(dumps(as_json(figures), indent=2))
        else:
            self.stdout.write(table(figures))
