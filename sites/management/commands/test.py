"""`manage.py test`: the whole suite, or what is named."""

import os
import sys
from typing import Any

from django.core.management.base import BaseCommand

from sites.bootstrap.paths import ROOT


class Command(BaseCommand):
    """Runs pytest from the repository's root; all that follows `test` is passed on to it."""

    help = __doc__
    requires_system_checks = ()

    def run_from_argv(self, argv: list[str]) -> None:
        """Give this process over to pytest, so that its exit code is ours."""
        os.chdir(ROOT)
        sys.stdout.flush()
        sys.stderr.flush()
        os.execv(sys.executable, [sys.executable, "-m", "pytest", *argv[2:]])

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Nothing calls this: pytest reads its own arguments."""
        raise NotImplementedError
