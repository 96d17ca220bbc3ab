"""Whether the database answers, and whether its file is whole."""

import time
from concurrent.futures import Future, ThreadPoolExecutor

from django import db
from msgspec import Struct

# A check of the whole file takes a second for some hundreds of megabytes.
LOOKED_AT_EVERY_S = 300.0
ANSWERS_WITHIN_S = 1.5
"""Below the 2 s after which a watch takes a server for dead; our own choice."""


class Health(Struct, frozen=True):
    """Findings of the check, in lines of plain text."""

    well: bool
    lines: tuple[str, ...]


AWAY = Health(False, ("database: does not answer",))


class _Looked(Struct):
    """Time of this process's last check of the file, by a clock that only goes forward."""

    at: float = -LOOKED_AT_EVERY_S
    fault: str = ""


_looked = _Looked()


_alone = ThreadPoolExecutor(max_workers=1, thread_name_prefix="health")
_asked: list[Future[Health]] = []


def health_in_time() -> Health:
    """Health of the database, within ANSWERS_WITHIN_S.

    A server that is away keeps its asker waiting. So one thread asks, and nobody waits longer; as
    long as it waits, everybody else is told so at once. A file is asked directly.
    """
    if db.connection.vendor == "sqlite":
        return health_of_database()
    if _asked and not _asked[0].done():
        return AWAY
    _asked[:] = [_alone.submit(_health_on_a_line_of_its_own)]
    try:
        return _asked[0].result(timeout=ANSWERS_WITHIN_S)
    except TimeoutError:
        return AWAY


def _health_on_a_line_of_its_own() -> Health:
    try:
        return health_of_database()
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
        return Health(False, ("database: answers", f"database file: damaged ({fault})"))
    if connection.vendor == "sqlite":
        return Health(True, ("database: answers", "database file: whole"))
    return Health(True, ("database: answers",))


def _fault_of_file() -> str:
    now = time.monotonic()
    if now - _looked.at >= LOOKED_AT_EVERY_S:
        with db.connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            (found,) = cursor.fetchone()
        _looked.fault = "" if found == "ok" else str(found)[:200]
        _looked.at = now
    return _looked.fault
