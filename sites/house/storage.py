"""Files by the SHA-256 of their bytes, under MEDIA_ROOT.

A file is written aside, synced and renamed to its digest before its row commits. So a committed row
always has its file. `manage.py sweep_files` removes files that no row names.
"""

import contextlib
import hashlib
import os
import re
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings

_DIGEST = re.compile(r"[0-9a-f]{64}")


class FileGoneError(RuntimeError):
    """A file named by a row is missing, or does not match its name."""


def path_of(sha256: str) -> Path:
    """Path of the file with this digest, whether or not it exists.

    Raises ValueError for text that is no digest, so that no name can lead elsewhere.
    """
    if not _DIGEST.fullmatch(sha256):
        raise ValueError(f"{sha256!r} is not a SHA-256 in hexadecimal")
    return _root() / sha256[:2] / sha256


def digest_of(content: bytes) -> str:
    """SHA-256 in hexadecimal: the name that bytes are stored under."""
    return hashlib.sha256(content).hexdigest()


def store(content: bytes) -> str:
    """Keep these bytes; returns their digest. Storing the same bytes again changes nothing."""
    sha256 = digest_of(content)
    to = path_of(sha256)
    if to.is_file() and to.stat().st_size == len(content):
        # It may have had no row for long. With a new time it is not swept before its row commits.
        os.utime(to)
        return sha256
    to.parent.mkdir(parents=True, exist_ok=True)
    handle, aside = tempfile.mkstemp(dir=to.parent, prefix=".aside-")
    try:
        with os.fdopen(handle, "wb") as new:
            new.write(content)
            new.flush()
            os.fsync(new.fileno())
        os.replace(aside, to)
        _sync_folder(to.parent)
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise
    return sha256


def stored(sha256: str) -> bytes:
    """The bytes with this digest. Raises FileGoneError if they are not there or were changed."""
    try:
        content = path_of(sha256).read_bytes()
    except OSError:
        raise FileGoneError(f"The file {sha256[:12]} is not in the store.") from None
    if digest_of(content) != sha256:
        raise FileGoneError(f"The file {sha256[:12]} is not what was stored under that name.")
    return content


def remove(sha256: str) -> None:
    """Remove a file, if it is there."""
    path_of(sha256).unlink(missing_ok=True)


def all_stored() -> Iterator[tuple[str, Path]]:
    """Digest and path of every file in the store."""
    for path in sorted(_root().glob("*/*")):
        if _DIGEST.fullmatch(path.name):
            yield path.name, path


def unnamed_since(seconds: float, named: frozenset[str]) -> Iterator[Path]:
    """Files that no row names and that were last stored longer ago than `seconds`.

    Files left aside by a dead process count too.
    """
    before = time.time() - seconds
    for path in sorted(_root().glob("*/*")):
        if path.name not in named and path.is_file() and path.stat().st_mtime < before:
            yield path


def remove_unnamed(path: Path, seconds: float) -> None:
    """Remove a file that `unnamed_since` gave, unless it was stored again meanwhile."""
    with contextlib.suppress(FileNotFoundError):
        if path.stat().st_mtime < time.time() - seconds:
            path.unlink()


def _root() -> Path:
    return Path(settings.MEDIA_ROOT) / "files"


def _sync_folder(folder: Path) -> None:
    """Sync a folder: a rename is on disk only when its folder is."""
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
