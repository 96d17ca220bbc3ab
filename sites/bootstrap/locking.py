"""One set-up at a time."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sites.bootstrap.tools import say


@contextmanager
def only_one(lock_file: Path) -> Iterator[int]:
    """Hold `lock_file` while the block runs; yields its file descriptor.

    If another process holds it, says so and waits. The system releases the lock when the last
    process with this open file ends.
    """
    lock_file.parent.mkdir(parents=True, exist_ok=True)
    with lock_file.open("a") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Another set-up is at work here; waiting for it ...")
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield lock.fileno()
