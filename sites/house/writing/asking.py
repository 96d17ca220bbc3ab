"""Ask the worker for work under a digest: a row, and its task queued in the same transaction.

Callers know who may ask, and what the log says of it. Designs, runs and persons are given by their
primary keys.
"""

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone

from connections.facts.canonical import digest as digest_of
from sites.house.models import Work
from sites.house.tasks import work_out


@transaction.atomic
def ask_for_design(
    kind: str, *, design: int, digest: str, asked: object, found: object = None, by: int
) -> Work:
    """Ask for work on a design, in place of the last request of this kind.

    `found` holds the results that are known already.
    """
    work, _made = Work.objects.update_or_create(
        kind=kind,
        design_id=design,
        defaults={
            "digest": digest,
            "asked": asked,
            "results": found,
            "asked_by_id": by,
            "asked_at": timezone.now(),
            "done_at": None,
            "stopped_at": None,
            "fault": "",
        },
    )
    _enqueue([work])
    return work


def stop_for_design(kind: str, *, design: int) -> bool:
    """Stop the work on a design. Returns whether any was waiting.

    Results so far stay. The worker writes only into a row that waits, and ends where it cannot.
    """
    now = timezone.now()
    waits = Work.objects.filter(kind=kind, design_id=design, done_at__isnull=True)
    return bool(waits.update(stopped_at=now, done_at=now))


@transaction.atomic
def ask_for_run(kind: str, *, run: int, asked: Iterable[object], by: int | None) -> None:
    """Ask for the parts of a run over all sites, each a task of its own."""
    now = timezone.now()
    parts = [
        Work(
            kind=kind,
            run_id=run,
            place=place,
            digest=digest_of(part),
            asked=part,
            asked_by_id=by,
            asked_at=now,
        )
        for place, part in enumerate(asked)
    ]
    _enqueue(Work.objects.bulk_create(parts))


@transaction.atomic
def ask_for_rest_of_run(run: int) -> int:
    """Queue again the parts of a run that are not done. Returns how many."""
    parts = list(Work.objects.filter(run=run, done_at__isnull=True).only("key", "digest"))
    _enqueue(parts)
    return len(parts)


def _enqueue(rows: Iterable[Work]) -> None:
    for row in rows:
        work_out.enqueue(str(row.key), row.digest)
