"""Rows of what the worker is asked for a design: found while they wait, and answered once."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar

from django.db.models import QuerySet
from django.utils import timezone

from connections import storage
from connections.energy.faults import EnergyError, InvariantError
from connections.models import DesignYear, LimitSweep, RemedyYears
from sites.models import Design

Asked = TypeVar("Asked", DesignYear, LimitSweep, RemedyYears)

PROGRAM_FAILED = "Something in the program failed; its log says what."


def waiting(rows: type[Asked], design_key: str, digest: str) -> QuerySet[Asked]:
    """The row of a design (its key) while it waits for the answer with this digest.

    It is a condition on one table alone, so that an update under it answers nothing that was asked
    anew meanwhile: where the update has to wait for whoever asks, PostgreSQL looks at the row again
    and not at what another table led to.
    """
    design = Design.objects.filter(key=design_key).values_list("pk", flat=True).first()
    if design is None:
        return rows._default_manager.none()
    return rows._default_manager.filter(design_id=design, digest=digest, done_at__isnull=True)


def note_asked_fault(rows: type[Asked], design_key: str, digest: str, says: str) -> None:
    """Note why there is no answer, for the page to say."""
    waiting(rows, design_key, digest).update(done_at=timezone.now(), fault=says[:500])


@contextmanager
def noting_faults(rows: type[Asked], design_key: str, digest: str) -> Iterator[None]:
    """Note in words why the work in this block failed; a failure of the program is raised as well,
    and what the facts or files are to blame for ends the block."""
    try:
        yield
    except InvariantError as fault:
        note_asked_fault(rows, design_key, digest, str(fault))
        raise
    except (EnergyError, storage.FileGoneError) as fault:
        note_asked_fault(rows, design_key, digest, str(fault))
    except Exception:
        note_asked_fault(rows, design_key, digest, PROGRAM_FAILED)
        raise
