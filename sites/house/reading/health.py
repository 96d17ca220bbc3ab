"""Whether the database answers, and whether its file is whole."""

import time

from django import db
from msgspec import Struct

# A check of the whole file takes a second for some hundreds of megabytes.
LOOKED_AT_EVERY_S = 300.0


class Health(Struct, frozen=True):
    """Findings of the check, in lines of plain text."""

    well: bool
    lines: tuple[str, ...]


class _Looked(Struct):
    """Time of this process's last check of the file, by a clock that only goes forward."""

    at: float = -LOOKED_AT_EVERY_S
    fault: str = ""


_looked = _Looked()


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
        return Health(False, ("database: does not answer",))
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
