"""Whether database, disk, worker, nightly work and backup do their work, for a watch."""

import datetime as dt
import shutil
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from django import db
from django.conf import settings
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Max, Min, Q
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult, get_date_max
from msgspec import Struct

from sites.house.models.last_run import BACKUP, NIGHTLY, LastRun

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
LONGEST_DAY = dt.timedelta(hours=26)
"""From one night's end to the next, with two hours to spare; our own choice."""
AWAY = Health(False, ("database: does not answer",))


class _Looked(Struct):
    """Time of this process's last check of the file, by a clock that only goes forward."""

    at: float = -LOOKED_AT_EVERY_S
    fault: str = ""


_looked = _Looked()


class _Tables(Struct):
    """Whether this process has seen that no migration is missing; that does not change back."""

    known: bool = False


_tables = _Tables()


_alone = ThreadPoolExecutor(max_workers=1, thread_name_prefix="health")
_asked: list[Future[Health]] = []


def in_time(ask: Callable[[], Health]) -> Health:
    """Ask for health, within ANSWERS_WITHIN_S.

    A server that is away keeps its asker waiting. So one thread asks, and nobody waits longer; as
    long as it waits, everybody else is told so at once. A file is asked directly.
    """
    if db.connection.vendor == "sqlite":
        return ask()
    if _asked and not _asked[0].done():
        return AWAY
    _asked[:] = [_alone.submit(_on_a_line_of_its_own, ask)]
    try:
        return _asked[0].result(timeout=ANSWERS_WITHIN_S)
    except TimeoutError:
        return AWAY


def _on_a_line_of_its_own(ask: Callable[[], Health]) -> Health:
    try:
        return ask()
    finally:
        db.connection.close()


def readiness() -> Health:
    """Whether this process can serve: the database answers and has the tables of this version."""
    try:
        if not _tables.known:
            executor = MigrationExecutor(db.connection)
            left = executor.migration_plan(executor.loader.graph.leaf_nodes())
            if left:
                return Health(False, (ANSWERS, f"tables: not up to date, {len(left)} to go"))
            _tables.known = True
        with db.connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except db.Error:
        return AWAY
    return Health(True, (ANSWERS, "tables: up to date"))


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
    parts = (database, _disk(), _queue(), _runs())
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


def _runs() -> Health:
    """When the nightly work and a backup ended last.

    Once the installation is old enough, each must have ended well not long ago; the demonstration
    needs neither.
    """
    now = timezone.now()
    try:
        found = {run.name: run for run in LastRun.objects.all()}
        first = MigrationRecorder(db.connection).migration_qs.aggregate(at=Min("applied"))["at"]
    except db.Error:
        return Health(False, ("nightly and backup: can't be read",))
    well, lines = True, []
    for name in (NIGHTLY, BACKUP):
        run = found.get(name)
        ended = run.ended_at if run else first or now
        well = well and (run is None or run.well) and now - ended <= LONGEST_DAY
        told = "never" if run is None else run.ended_at.isoformat(timespec="seconds")
        lines.append(f"{name}: ended last at {told}{'' if run is None or run.well else ', failed'}")
    return Health(well or settings.DEMO, tuple(lines))


def _fault_of_file() -> str:
    now = time.monotonic()
    if now - _looked.at >= LOOKED_AT_EVERY_S:
        with db.connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            (found,) = cursor.fetchone()
        _looked.fault = "" if found == "ok" else str(found)[:200]
        _looked.at = now
    return _looked.fault
