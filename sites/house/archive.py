"""One archive of a backup: a zip file whose last member holds the digests of all others.

A cut archive has no list of members and is refused; so is one with a changed member.
"""

import contextlib
import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

FORMAT = "meterside-backup/1"
_MANIFEST = "manifest.json"
_CHUNK = 1 << 20


class ArchiveError(Exception):
    """An archive can't be written or taken; the text says why and what to do."""


class NewArchive:
    """An archive that is being written."""

    def __init__(self, to: zipfile.ZipFile) -> None:
        self._to = to
        self.digests: dict[str, str] = {}

    def add(self, name: str, chunks: Iterable[bytes | memoryview]) -> None:
        """Add a member."""
        seen = hashlib.sha256()
        with self._to.open(name, "w", force_zip64=True) as member:
            for chunk in chunks:
                seen.update(chunk)
                member.write(chunk)
        self.digests[name] = seen.hexdigest()

    def add_file(self, name: str, path: Path) -> None:
        """Add a file; raises FileNotFoundError before anything is added."""
        with path.open("rb") as file:
            self.add(name, _chunks(file))

    def end(self, about: dict[str, Any]) -> None:
        """Write the last member; without it the archive is refused."""
        manifest = {"format": FORMAT, "about": about, "sha256": self.digests}
        self._to.writestr(_MANIFEST, json.dumps(manifest, indent=1))


@contextmanager
def new_archive(to: Path) -> Iterator[NewArchive]:
    """Write an archive aside, readable by its owner alone, and rename it once it is whole.

    Raises ArchiveError where the file is there already or can't be written.
    """
    if to.exists():
        raise ArchiveError(f"{to} is there already. Give another name.")
    aside = ""
    try:
        handle, aside = tempfile.mkstemp(dir=to.parent, prefix=f".{to.name}.")
        with os.fdopen(handle, "w+b") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as made:
                yield NewArchive(made)
            file.flush()
            os.fsync(file.fileno())
        os.replace(aside, to)
    except OSError as fault:
        raise ArchiveError(f"{to} can't be written: {fault.strerror or fault}.") from None
    finally:
        if aside:
            with contextlib.suppress(FileNotFoundError):
                os.unlink(aside)


class Archive:
    """A whole archive, every digest of which was checked."""

    def __init__(self, of: zipfile.ZipFile, about: dict[str, Any], names: tuple[str, ...]) -> None:
        self._of = of
        self.about = about
        self.names = names

    def chunks(self, name: str) -> Iterator[bytes]:
        """The content of a member."""
        with self._of.open(name) as member:
            yield from _chunks(member)


@contextmanager
def whole_archive(path: Path) -> Iterator[Archive]:
    """Open an archive and check each member. Raises ArchiveError."""
    try:
        opened = zipfile.ZipFile(path)
    except OSError as fault:
        raise ArchiveError(f"{path} can't be read: {fault.strerror}.") from None
    except zipfile.BadZipFile:
        raise ArchiveError(f"{path} is cut or is no backup. Take another one.") from None
    with opened:
        try:
            manifest = json.loads(opened.read(_MANIFEST))
            if manifest["format"] != FORMAT:
                raise ArchiveError(f"{path} has the format {manifest['format']}, not {FORMAT}.")
            digests: dict[str, str] = manifest["sha256"]
            if {*opened.namelist()} != {_MANIFEST, *digests}:
                raise ArchiveError(f"{path} does not hold the files that it lists.")
            for name, sha256 in digests.items():
                with opened.open(name) as member:
                    if _digest(member) != sha256:
                        raise ArchiveError(f"{path} was changed: {name} is not what was written.")
        except (zipfile.BadZipFile, KeyError, ValueError, EOFError) as fault:
            raise ArchiveError(f"{path} is damaged ({fault}). Take another one.") from None
        yield Archive(opened, manifest["about"], tuple(digests))


def _digest(member: IO[bytes]) -> str:
    seen = hashlib.sha256()
    for chunk in _chunks(member):
        seen.update(chunk)
    return seen.hexdigest()


def _chunks(file: IO[bytes]) -> Iterator[bytes]:
    while chunk := file.read(_CHUNK):
        yield chunk
