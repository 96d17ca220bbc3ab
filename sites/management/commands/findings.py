"""`manage.py findings`: every finding that the rules can make, as its module declares it."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from connections.rules.listing import kinds_by_module


class Command(BaseCommand):
    """Print all findings, or those whose id or module is named."""

    help = "Print every finding: its severity, its module, and the question that it answers."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the ids and modules to show."""
        parser.add_argument("names", nargs="*", metavar="NAME", help="the id or module of some")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Raises CommandError for a name that is neither a finding nor a module."""
        names = set(options["names"])
        listed = kinds_by_module()
        known = {kind.id for kinds in listed.values() for kind in kinds} | set(listed)
        for name in sorted(names - known):
            raise CommandError(f'There is no finding and no module "{name}".')
        for module, kinds in listed.items():
            for kind in kinds:
                if names and not names & {kind.id, module}:
                    continue
                self.stdout.write(f"{kind.id}: {kind.severity}, {module}")
                self.stdout.write(f"  {kind.question}")
                for severity, when in kind.also.items():
                    self.stdout.write(f"  {severity} {when}")
