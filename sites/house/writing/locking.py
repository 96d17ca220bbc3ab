"""One process at a time for a named job."""

import fcntl
import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection


class AlreadyRunningError(RuntimeError):
    """Another process holds the lock."""


@contextmanager
def one_at_a_time(name: str) -> Iterator[None]:
    """Hold the lock of a job. Raises AlreadyRunningError at once where another process holds it.

    On PostgreSQL the database holds it, for processes of several machines; else a file in .data.
    Both let go when the process dies.
    """
    if connection.vendor == "postgresql":
        number = int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], signed=True)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_try_advisory_lock(%s)", [number])
            found = cursor.fetchone()
            if not found or not found[0]:
                raise AlreadyRunningError(name)
            try:
                yield
            finally:
                cursor.execute("SELECT pg_advisory_unlock(%s)", [number])
        return
    with Path(settings.DATA / f"{name}.lock").open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise AlreadyRunningError(name) from None
        yield
