"""`manage.py test`: the whole suite, or what is named."""

import os
import sys

from django.core.management.base import BaseCommand

from sites.bootstrap.paths import ROOT


class Command(BaseCommand):
    """Runs pytest from the repository's root; all that follows `test` is passed on to it.

    The whole suite is spread over all cores; what is named runs in one process.
    """

    help = __doc__
    requires_system_checks = ()

    def run_from_argv(self, argv: list[str]) -> None:
        """Give this process over to pytest, so that its exit code is ours."""
        os.chdir(ROOT)
        sys.stdout.flush()
        sys.stderr.flush()
        given = argv[2:]
        if not set(given) - {"--night"}:
            given = [*given, "-n", "auto", "--dist", "worksteal"]
        os.execv(sys.executable, [sys.executable, "-m", "pytest", *given])

    def handle(self, *_args: object, **_options: object) -> None:
        """Nothing calls this: pytest reads its own arguments."""
        raise NotImplementedError
