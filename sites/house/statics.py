"""Files that a browser can fetch: our own, and the few of third parties that pages use.

The packages ship some hundreds more; a file that is not named here is not served.
"""

from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.contrib.staticfiles.finders import BaseFinder
from django.core import checks
from django.core.files.storage import FileSystemStorage

# Address under `static/`, the package that locates the file, and the path from there.
# `bootstrap_wrapper` keeps its files in a folder beside itself.
USED: tuple[tuple[str, str, str], ...] = (
    ("bootstrap/css/bootstrap.min.css", "bootstrap_wrapper", "../bootstrap/css/bootstrap.min.css"),
    (
        "bootstrap/css/bootstrap.min.css.map",
        "bootstrap_wrapper",
        "../bootstrap/css/bootstrap.min.css.map",
    ),
    (
        "django_htmx/htmx-2.min.js",
        "django_htmx",
        "static/django_htmx/htmx-2.min.js",
    ),
)


class LibraryFiles(BaseFinder):
    """Finds the files of USED in the installed packages, and no other."""

    def __init__(self, *_args: object, **_kwargs: object) -> None:
        self.files = {address: _file(package, way) for address, package, way in USED}

    def check(self, **_kwargs: object) -> list[checks.CheckMessage]:
        """An error for each file that its package no longer has."""
        return [
            checks.Error(
                f"{address} is not in the installed packages.",
                hint="Install requirements.txt again, or mend sites/house/statics.py.",
                id="sites.E003",
            )
            for address, file in self.files.items()
            if not file.is_file()
        ]

    def find(self, path: str, find_all: bool = False, **_kwargs: object) -> Any:
        """The file at an address below `static/`; an empty list where there is none."""
        file = self.files.get(path)
        if file is None or not file.is_file():
            return []
        return [str(file)] if find_all else str(file)

    def list(self, ignore_patterns: Iterable[str] | None) -> "Iterable[tuple[str, _Named]]":
        """Every address with a storage that opens it."""
        storage = _Named(self.files)
        return [(address, storage) for address, file in self.files.items() if file.is_file()]


class _Named(FileSystemStorage):
    """A storage of single files in any folder."""

    def __init__(self, files: dict[str, Path]) -> None:
        super().__init__(location="/")
        self.files = files

    def path(self, name: str) -> str:
        """Path of the file. Raises KeyError for a file that was not named."""
        return str(self.files[name])


def _file(package: str, way: str) -> Path:
    found = find_spec(package)
    if found is None or found.origin is None:
        return Path(way)
    return (Path(found.origin).parent / way).resolve()
