"""Do work asked under a digest, in the worker: the life cycle that all kinds share.

Each kind has a module of its own, named in `WORK_KINDS` of the settings. It is looked up when it is
needed, so that this module knows no kind.
"""

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.module_loading import import_string

from sites.house.models import Work

PROGRAM_FAILED = "Something in the program failed; its log says what."


@dataclass(frozen=True)
class WorkKind:
    """Functions of the worker for one kind.

    `work_out` gets a row that waits. It stores results with `keep`, ends with `finish` or
    `note_fault`, and returns whether all of it is done now. It may be begun twice and killed at any
    point, and goes on from the row. `failed` is called in the transaction that notes a fault of a
    row.
    """

    work_out: Callable[[Work], bool]
    failed: Callable[[Work], None] | None = None


def kind_of(work: Work) -> WorkKind:
    """The functions for the kind of a row."""
    found = import_string(settings.WORK_KINDS[work.kind])
    assert isinstance(found, WorkKind)
    return found


def waiting(key: str | UUID, digest: str) -> QuerySet[Work]:
    """The row with this key while it waits for the answer with this digest.

    The condition is on one table alone, so that an update under it never answers a newer request.
    Where the update has to wait for a requester, PostgreSQL looks at the row again, but not at what
    another table led to.
    """
    return Work.objects.filter(key=key, digest=digest, done_at__isnull=True)


def work_out(key: str, digest: str) -> bool:
    """Do the work asked of a row (its key) under this digest. Returns whether all is done now.

    The worker may run it any number of times. It does nothing where the work is done or stopped, or
    where something else was asked for since. A failure of the program is noted and raised.
    """
    work = waiting(key, digest).first()
    if work is None:
        return False
    try:
        return kind_of(work).work_out(work)
    except Exception:
        note_fault(key, digest, PROGRAM_FAILED)
        raise


def keep(work: Work, results: object) -> bool:
    """Store the results so far. False where the row waits no more; the work is then to end."""
    return bool(waiting(work.key, work.digest).update(results=results))


def finish(work: Work, results: object) -> bool:
    """Store the final results. False where the row waits no more, and nothing was stored."""
    return bool(
        waiting(work.key, work.digest).update(results=results, done_at=timezone.now(), fault="")
    )


@transaction.atomic
def note_fault(key: str | UUID, digest: str, says: str) -> None:
    """Note for the page why there is no answer, unless the row waits no more."""
    work = waiting(key, digest).first()
    if work is None:
        return
    noted = waiting(key, digest).update(done_at=timezone.now(), fault=says[:500])
    failed = kind_of(work).failed
    if noted and failed is not None:
        failed(work)
