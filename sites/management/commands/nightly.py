"""`manage.py nightly`: everything that runs at night, one job after the other, under a lock."""

import io
import traceback
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils.module_loading import import_string

from sites.house.models.last_run import NIGHTLY
from sites.house.writing.locking import AlreadyRunningError, one_at_a_time
from sites.house.writing.running import note_run


class Command(BaseCommand):
    """Runs the jobs that `NIGHTLY` of the settings names, and says what each did."""

    help = "Do what is to be done every night; each job says what it did."

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Run every job, whatever becomes of the others. Ends with 1 if one failed."""
        failed, said = [], []
        connection.ensure_connection()
        try:
            with one_at_a_time("nightly"):
                for name, job in settings.NIGHTLY.items():
                    try:
                        said.append(f"{name}: {_do(job)}")
                    except Exception:
                        self.stderr.write(traceback.format_exc())
                        failed.append(name)
                        said.append(f"{name}: failed.")
                    self.stdout.write(said[-1])
                note_run(NIGHTLY, well=not failed, said="\n".join(said))
        except AlreadyRunningError:
            raise CommandError("Another nightly run is under way; nothing was done.") from None
        if failed:
            raise CommandError(f"Failed: {', '.join(failed)}. The others were done.")


def _do(job: str) -> str:
    """What a job says: a function by its dotted name, or a command of manage.py."""
    if "." in job:
        return str(import_string(job)())
    out = io.StringIO()
    call_command(job, stdout=out)
    return " ".join(out.getvalue().split()) or "done."
