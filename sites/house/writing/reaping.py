"""Queue the tasks of a dead worker again, or give them up."""

import datetime as dt
from collections.abc import Callable, Mapping

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

MOST_BEGINNINGS = 3
"""A task begun this often without an end takes its worker down; it is given up."""

GivingUp = Mapping[str, Callable[..., object]]
"""Functions that note that a task is given up, by the task's path. Each is called with the task's
arguments and with the reason, in words."""


def reap_tasks(older_than: dt.timedelta, giving_up: GivingUp) -> tuple[int, int]:
    """Queue tasks again that were begun longer ago than this, or all that run for no time at all.

    Returns how many were queued and given up.
    """
    running = DBTaskResult.objects.running()
    if older_than:
        running = running.filter(started_at__lte=timezone.now() - older_than)
    queued = given_up = 0
    for row in running:
        # Only in the state just read: it may have ended, or been reaped, in the meantime.
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
