"""Whether database, disk and worker do their work, for a watch."""

import datetime as dt
import shutil
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from django import db
from django.conf import settings
from django.db.models import Max, Min, Q
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult, get_date_max
from msgspec import Struct

# A check of the whole file takes a second for some hundreds of megabytes.
LOOKED_AT_EVERY_S = 300.0
ANSWERS_WITHIN_S = 1.5
"""Below the 2 s after which a watch takes a server for dead; our own choice."""


class Health(Struct, frozen=True):
    """Findings of the check, in lines of plain text."""

    well: bool
    lines: tuple[str, ...]


ANSWERS = "database: answers"
LEAST_FREE_BYTES = 200_000_000
"""Room for some dozens of packs and files; our own choice."""
LONGEST_WAIT = dt.timedelta(minutes=15)
"""A task that waits longer has no worker; our own choice."""
AWAY = Health(False, ("database: does not answer",))


class _Looked(Struct):
    """Time of this process's last check of the file, by a clock that only goes forward."""

    at: float = -LOOKED_AT_EVERY_S
    fault: str = ""


_looked = _Looked()


_alone = ThreadPoolExecutor(max_workers=1, thread_name_prefix="health")
_asked: list[Future[Health]] = []


def health_in_time() -> Health:
    """Health of everything, within ANSWERS_WITHIN_S.

    A server that is away keeps its asker waiting. So one thread asks, and nobody waits longer; as
    long as it waits, everybody else is told so at once. A file is asked directly.
    """
    if db.connection.vendor == "sqlite":
        return health_of_all()
    if _asked and not _asked[0].done():
        return AWAY
    _asked[:] = [_alone.submit(_health_on_a_line_of_its_own)]
    try:
        return _asked[0].result(timeout=ANSWERS_WITHIN_S)
    except TimeoutError:
        return AWAY


def _health_on_a_line_of_its_own() -> Health:
    try:
        return health_of_all()
    finally:
        db.connection.close()


def health_of_database() -> Health:
    """Query the database, and check a SQLite file now and then.

    SQLite before 3.51.3 can, very rarely, damage a file that several connections write
    (https://www.sqlite.org/wal.html#walresetbug); this check would show it.
    """
    connection = db.connection
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
            cursor.fetchone()
        fault = _fault_of_file() if connection.vendor == "sqlite" else ""
    except db.Error:
        return AWAY
    if fault:
        return Health(False, (ANSWERS, f"database file: damaged ({fault})"))
    file = ("database file: whole",) if connection.vendor == "sqlite" else ()
    return Health(True, (ANSWERS, *file))


def health_of_all() -> Health:
    """Health of the database, the disk, and the queue that the worker empties."""
    database = health_of_database()
    if not database.well:
        return database
    parts = (database, _disk(), _queue())
    return Health(all(each.well for each in parts), tuple(line for p in parts for line in p.lines))


def _disk() -> Health:
    """Whether the folder of files has room for more."""
    place = Path(settings.MEDIA_ROOT)
    while not place.exists():
        place = place.parent
    free = shutil.disk_usage(place).free
    return Health(free >= LEAST_FREE_BYTES, (f"disk: {free // 1_000_000} MB free",))


def _queue() -> Health:
    """How long the oldest task has been waiting, and when the worker took one up last."""
    now = timezone.now()
    waits = Q(status=TaskResultStatus.READY) & (Q(run_after=get_date_max()) | Q(run_after__lte=now))
    try:
        found = DBTaskResult.objects.aggregate(
            oldest=Min("enqueued_at", filter=waits), taken=Max("started_at")
        )
    except db.Error:
        return Health(False, ("queue: can't be read",))
    age = now - found["oldest"] if found["oldest"] else dt.timedelta()
    taken = found["taken"].isoformat(timespec="seconds") if found["taken"] else "never"
    queue = f"queue: oldest waits {age // dt.timedelta(minutes=1)} min" if age else "queue: empty"
    return Health(age <= LONGEST_WAIT, (queue, f"worker: took up a task last at {taken}"))


def _fault_of_file() -> str:
    now = time.monotonic()
    if now - _looked.at >= LOOKED_AT_EVERY_S:
        with db.connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            (found,) = cursor.fetchone()
        _looked.fault = "" if found == "ok" else str(found)[:200]
        _looked.at = now
    return _looked.fault
