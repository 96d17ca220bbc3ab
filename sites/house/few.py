"""Heavy work of the web server: a few at once, so that the others stay quick."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

MOST_AT_ONCE = 2
"""Half of the threads that a server of ours starts with; our own choice."""
_places = threading.BoundedSemaphore(MOST_AT_ONCE)


class BusyError(Exception):
    """All places are taken; try again in a moment."""


@contextmanager
def one_of_few() -> Iterator[None]:
    """Take a place while heavy work runs: a print in the page, or a file looked through.

    Raises BusyError at once if none is free: whoever waits would hold a thread that others need.
    """
    if not _places.acquire(blocking=False):
        raise BusyError
    try:
        yield
    finally:
        _places.release()
