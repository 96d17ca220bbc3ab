"""`manage.py nightly`: everything that runs at night, one job after the other, under a lock."""

import traceback
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils.module_loading import import_string

from sites.house.writing.locking import AlreadyRunningError, one_at_a_time


class Command(BaseCommand):
    """Runs the jobs that `NIGHTLY` of the settings names, and says what each did."""

    help = "Do what is to be done every night; each job says what it did."

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Run every job, whatever becomes of the others. Ends with 1 if one failed."""
        failed = []
        try:
            with one_at_a_time("nightly"):
                for name, path in settings.NIGHTLY.items():
                    try:
                        said = import_string(path)()
                    except Exception:
                        self.stderr.write(traceback.format_exc())
                        failed.append(name)
                    else:
                        self.stdout.write(f"{name}: {said}")
        except AlreadyRunningError:
            raise CommandError("Another nightly run is under way; nothing was done.") from None
        if failed:
            raise CommandError(f"Failed: {', '.join(failed)}. The others were done.")
