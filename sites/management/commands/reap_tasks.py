"""Take up the tasks of a dead worker again."""

import datetime as dt
from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError

from sites.house.tasks import work_out
from sites.house.writing import working_out
from sites.house.writing.reaping import GivingUp, reap_tasks
from sites.packs.tasks import print_pack
from sites.packs.writing import printing
from sites.sending.tasks import deliver
from sites.sending.writing import delivering

GIVING_UP: GivingUp = {
    work_out.module_path: working_out.note_fault,
    print_pack.module_path: printing.give_up,
    deliver.module_path: delivering.give_up,
}


class Command(BaseCommand):
    """`manage.py reap_tasks [--minutes N]`: run before a worker starts, and sometimes beside it.

    A killed worker leaves its task marked as running for ever. Every task of ours can run twice, so
    it does no harm to take a slow one for dead.
    """

    help = "Queue again the tasks that were begun longer ago than some minutes and never ended."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `--minutes`: how old a running task must be."""
        parser.add_argument(
            "--minutes",
            type=float,
            default=10,
            help="how long ago it was begun (default 10; 0 where no worker runs at this moment)",
        )

    def handle(self, *_args: object, minutes: float, **_options: object) -> None:
        """Queue tasks again or give them up, and print how many."""
        if not 0 <= minutes <= 100_000:
            raise CommandError("--minutes must be a number from 0 up.")
        queued, given_up = reap(dt.timedelta(minutes=minutes))
        if queued or given_up:
            self.stdout.write(f"Queued again: {queued}. Given up: {given_up}.")


def reap(older_than: dt.timedelta) -> tuple[int, int]:
    """Queue tasks again that were begun longer ago. Returns how many were queued and given up."""
    return reap_tasks(older_than, GIVING_UP)
