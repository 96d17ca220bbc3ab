"""`manage.py soak`: compare many random electrical cases with pandapower."""

import argparse
from math import isinf

from django.core.management.base import BaseCommand, CommandError

from sites.management.soaking import VOLTS, differences, installed


class Command(BaseCommand):
    """Solves random cases twice and prints how far the answers are apart."""

    help = "solve random electrical cases beside pandapower and say how far they are apart"
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare `--cases` and `--seed`."""
        parser.add_argument("--cases", type=int, default=500, help="how many; 500 if not said")
        parser.add_argument("--seed", type=int, default=60909, help="another one, other cases")

    def handle(self, *_args: object, cases: int, seed: int, **_options: object) -> None:
        """Print the largest difference; fail if one exceeds the tolerance."""
        if cases < 1:
            raise CommandError("--cases must be at least 1")
        if not installed():
            raise CommandError(
                "pandapower is not installed; python3 manage.py test sets up the tools of the tests"
            )
        done, impossible, furthest, wrong = 0, 0, 0.0, []
        for each in differences(cases, seed):
            done += 1
            if not each.agrees:
                wrong.append(each)
            elif each.impossible:
                impossible += 1
            else:
                furthest = max(furthest, each.apart)
            if done % 50 == 0:
                self.stderr.write(f"{done} of {cases}")
        self.stdout.write(
            f"{done} cases: at most {furthest:.1e} V apart (tolerance {VOLTS:g}); "
            f"{impossible} without an operating point, to both."
        )
        for each in wrong:
            what = f"apart by {each.apart:.1e} V"
            if isinf(each.apart):
                what = "one of the two finds no operating point"
            self.stdout.write(f"{what}: {each.case}")
        if wrong:
            raise CommandError(f"{len(wrong)} of {done} cases are further apart than that")
