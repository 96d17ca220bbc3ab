"""`manage.py make_trial_data`: invented cases in all states, as many as wanted, to try lists on."""

import time
from argparse import ArgumentParser

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    """Loads the demonstration, then copies of it under invented names."""

    help = "Add invented cases in all states to the database of a demonstration."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `--premises`."""
        parser.add_argument(
            "--premises", type=int, default=1000, help="until there are these (1000)"
        )

    def handle(self, *_args: object, premises: int, **_options: object) -> None:
        """Raises CommandError for the database of a firm, and for a number out of range."""
        from sites.desk.writing.demonstration import load_demo
        from sites.management.benchmarks.trial_cases import make_trial_cases
        from sites.premises.models import Premises

        if not settings.DEMO:
            raise CommandError(
                "This adds invented cases. Set METERSIDE_DEMO=on to say that no firm works here."
            )
        if not 1 <= premises <= 1_000_000:
            raise CommandError("--premises takes a number from 1 to 1000000.")
        begun = time.perf_counter()
        call_command("migrate", verbosity=0, interactive=False)
        load_demo()
        make_trial_cases(premises)
        spent = time.perf_counter() - begun
        self.stdout.write(f"There are {Premises.objects.count():,} premises now; {spent:.0f} s.")
