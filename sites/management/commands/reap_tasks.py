"""Takes up again what a worker left when it died."""

import datetime as dt
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from sites.house.tasks import work_out
from sites.house.writing import working_out
from sites.packs.models import FrozenPack
from sites.packs.tasks import print_pack
from sites.packs.writing import printing

MOST_BEGINNINGS = 3
"""A task that was begun so often and never ended takes its worker down; it is given up."""


class Command(BaseCommand):
    """`manage.py reap_tasks [--minutes N]`: before a worker starts, and now and then beside it.

    A worker that is killed leaves its task marked as running for ever. Every task of ours can run
    twice, so one that is only slow does no harm when it is taken for dead.
    """

    help = "Queue again the tasks that were begun longer ago than some minutes and never ended."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How old a running task must be."""
        parser.add_argument(
            "--minutes",
            type=float,
            default=10,
            help="how long ago it was begun (default 10; 0 where no worker runs at this moment)",
        )

    def handle(self, *_args: Any, minutes: float, **_options: Any) -> None:
        """Queue again, or give up, and say how many."""
        if not 0 <= minutes <= 100_000:
            raise CommandError("--minutes must be a number from 0 up.")
        queued, given_up = reap(dt.timedelta(minutes=minutes))
        if queued or given_up:
            self.stdout.write(f"Queued again: {queued}. Given up: {given_up}.")


def reap(older_than: dt.timedelta) -> tuple[int, int]:
    """Queue again what was begun longer ago than this; how many were queued and given up."""
    before = timezone.now() - older_than
    queued = given_up = 0
    for row in DBTaskResult.objects.running().filter(started_at__lte=before):
        # Only as it was seen: it may have ended, or been reaped, in the meantime.
        same = DBTaskResult.objects.filter(
            pk=row.pk, status=TaskResultStatus.RUNNING, started_at=row.started_at
        )
        if len(row.worker_ids) < MOST_BEGINNINGS:
            queued += same.update(status=TaskResultStatus.READY, started_at=None)
        else:
            given_up += _give_up(same, row)
    return queued, given_up


@transaction.atomic
def _give_up(same: Any, row: Any) -> int:
    says = f"It was begun {len(row.worker_ids)} times, and each time its worker stopped."
    gone: int = same.update(
        status=TaskResultStatus.FAILED, finished_at=timezone.now(), traceback=says
    )
    if gone and row.task_path == print_pack.module_path:
        pack = FrozenPack.objects.select_related("application").filter(
            digest=row.args_kwargs["args"][0]
        )
        for each in pack:
            printing.note_fault(each, says)
    if gone and row.task_path == work_out.module_path:
        key, digest = row.args_kwargs["args"]
        working_out.note_fault(key, digest, says)
    return gone
