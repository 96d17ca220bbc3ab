"""A command of the library as one of manage.py."""

import sys
from argparse import ArgumentParser
from typing import Any, ClassVar

from django.core.management.base import BaseCommand, CommandError

from connections.command import calling


class LibraryCommand(BaseCommand):
    """Runs `library`; needs no database."""

    requires_system_checks = ()
    library: ClassVar[calling.Command]

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare what the command of the library takes."""
        self.library.add_arguments(parser)

    def handle(self, *_args: Any, **options: Any) -> None:
        """Raises CommandError in one line; ends with the exit code of the command."""
        try:
            code = self.library.run(self.stdout.write, **options)
        except calling.CallError as fault:
            raise CommandError(str(fault)) from None
        if code:
            sys.exit(code)
