"""Working out, in the worker, what was asked under a digest: the life that every kind of it shares.

What is done for one kind stands in a module of its own, named in `WORK_KINDS` of the settings. It
is looked up when it is needed, so that this module knows no kind.
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
    """What the worker does for one kind.

    `work_out` is given a row that waits. It keeps what it finds with `keep`, ends with `finish` or
    `note_fault`, and says whether all of it is done now; it may be begun twice and killed at any
    point, and goes on from what the row holds. `failed` is called in the transaction that notes a
    fault of a row.
    """

    work_out: Callable[[Work], bool]
    failed: Callable[[Work], None] | None = None


def kind_of(work: Work) -> WorkKind:
    """What is done for the kind of a row."""
    found = import_string(settings.WORK_KINDS[work.kind])
    assert isinstance(found, WorkKind)
    return found


def waiting(key: str | UUID, digest: str) -> QuerySet[Work]:
    """The row with this key while it waits for the answer with this digest.

    It is a condition on one table alone, so that an update under it answers nothing that was asked
    anew meanwhile: where the update has to wait for whoever asks, PostgreSQL looks at the row again
    and not at what another table led to.
    """
    return Work.objects.filter(key=key, digest=digest, done_at__isnull=True)


def work_out(key: str, digest: str) -> bool:
    """Work out what a row (its key) was asked for under this digest; whether all is done now.

    Run by the worker, as often as need be: it does nothing where it is done or stopped, or where
    something else was asked for since. A failure of the program is noted and raised.
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
    """Keep what is found so far; False where the row waits no more, and the work is to end."""
    return bool(waiting(work.key, work.digest).update(results=results))


def finish(work: Work, results: object) -> bool:
    """Note that this is all; False where the row waits no more, and nothing was noted."""
    return bool(
        waiting(work.key, work.digest).update(results=results, done_at=timezone.now(), fault="")
    )


@transaction.atomic
def note_fault(key: str | UUID, digest: str, says: str) -> None:
    """Note why there is no answer, for the page to say, unless the row waits no more."""
    work = waiting(key, digest).first()
    if work is None:
        return
    noted = waiting(key, digest).update(done_at=timezone.now(), fault=says[:500])
    failed = kind_of(work).failed
    if noted and failed is not None:
        failed(work)
