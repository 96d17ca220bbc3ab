"""A database of a test's own, that several processes can use at once.

Its tables are made once and copied for each test. Its processes are forked from one that has
loaded our code.
"""

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from typing import Any
from uuid import uuid4

from django import db
from django.conf import settings

_forking = get_context("forkserver")
_forking.set_forkserver_preload(["tests.sites.loaded"])


class OwnDatabase:
    """Runs scripts in processes of their own, on one database and one store of files."""

    def __init__(self, name: str, folder: Path) -> None:
        self.name = name
        self.media = folder / "media"

    def start(self, script: Callable[..., Any], *args: Any) -> ForkServerProcess:
        """Start a script without waiting for its end."""
        return self._start(None, script, args)

    def run(self, script: Callable[..., Any], *args: Any) -> Any:
        """Run a script to its end; what it returns."""
        answer, told = _forking.Pipe(duplex=False)
        started = self._start(told, script, args)
        told.close()
        found = answer.recv() if answer.poll(120) else None
        started.join(20)
        assert started.exitcode == 0
        return found

    def _start(
        self, told: Connection | None, script: Callable[..., Any], args: tuple[Any, ...]
    ) -> ForkServerProcess:
        started = _forking.Process(target=_run, args=(self.name, self.media, told, script, args))
        started.start()
        return started


def _run(
    name: str,
    media: Path,
    told: Connection | None,
    script: Callable[..., Any],
    args: tuple[Any, ...],
) -> None:
    """Run a script in a process of its own, and tell what it returns where somebody waits."""
    database: Any = settings.DATABASES["default"]
    database["NAME"] = name
    database.get("OPTIONS", {}).pop("pool", None)
    settings.MEDIA_ROOT = media
    settings.SECRET_KEY = "for tests alone, where nothing signed outlives the test"
    found = script(*args)
    db.connection.close()
    if told is not None:
        told.send(found)


@contextmanager
def template(folder: Path) -> Iterator[str]:
    """The name of a database with our tables and what `set_up` writes, to be copied."""
    from tests.sites.processes import set_up

    with _database(folder, copy_of=None) as name:
        OwnDatabase(name, folder).run(set_up)
        yield name


@contextmanager
def own_database(folder: Path, *, copy_of: str) -> Iterator[OwnDatabase]:
    """A copy of a template; gone afterwards."""
    with _database(folder, copy_of=copy_of) as name:
        yield OwnDatabase(name, folder)


@contextmanager
def _database(folder: Path, *, copy_of: str | None) -> Iterator[str]:
    if db.connection.vendor == "sqlite":
        file = folder / "own.sqlite3"
        if copy_of is not None:
            shutil.copy(copy_of, file)
        yield str(file)
        return
    import psycopg
    from psycopg import sql

    where = db.connection.settings_dict
    name = f"own_{uuid4().hex[:12]}"
    with psycopg.connect(
        host=where["HOST"],
        port=where["PORT"] or 5432,
        user=where["USER"],
        password=where["PASSWORD"] or None,
        dbname="postgres",
        autocommit=True,
    ) as admin:
        new, old = (sql.Identifier(each) for each in (name, copy_of or "template1"))
        admin.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(new, old))
        try:
            yield name
        finally:
            admin.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(new))
