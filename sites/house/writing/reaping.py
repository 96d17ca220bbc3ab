"""Tasks that a worker left when it died: queued again, or given up."""

import datetime as dt
from collections.abc import Callable, Mapping

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

MOST_BEGINNINGS = 3
"""A task that was begun so often and never ended takes its worker down; it is given up."""

GivingUp = Mapping[str, Callable[..., object]]
"""What notes that a task is given up, by the task's path: called with the task's arguments and with
why, in words."""


def reap_tasks(older_than: dt.timedelta, giving_up: GivingUp) -> tuple[int, int]:
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
            given_up += _give_up(same, row, giving_up)
    return queued, given_up


@transaction.atomic
def _give_up(
    same: "QuerySet[DBTaskResult[..., object]]",
    row: "DBTaskResult[..., object]",
    giving_up: GivingUp,
) -> int:
    says = f"It was begun {len(row.worker_ids)} times, and each time its worker stopped."
    gone: int = same.update(
        status=TaskResultStatus.FAILED, finished_at=timezone.now(), traceback=says
    )
    if gone and row.task_path in giving_up:
        giving_up[row.task_path](*row.args_kwargs["args"], says)
    return gone
