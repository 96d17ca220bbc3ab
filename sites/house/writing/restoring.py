"""Put a backup back: files first, then the database, which changes whole or not at all."""

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.db import Error, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from sites.house import storage
from sites.house.archive import Archive, ArchiveError, whole_archive
from sites.house.writing.backing_up import DATABASE, FILES, TABLES

Node = tuple[str, str]


def restore(path: Path, *, over: bool) -> dict[str, Any]:
    """Put the database and the files of an archive back, then bring the tables up to date.

    Returns what the archive says about itself. Without `over` it refuses a database that holds
    people. Raises ArchiveError, and then the database is as it was.
    """
    with whole_archive(path) as archive:
        kind = archive.about["database"]
        if kind != connection.vendor:
            raise ArchiveError(
                f"{path} is of {kind}, and DATABASE_URL names {connection.vendor}. Name the same."
            )
        if not over and _holds_people():
            raise ArchiveError("The database holds people already. Add --over to replace it all.")
        applied = [(app, name) for app, name in archive.about["migrations"]]
        _refuse_later(applied)
        for name in archive.names:
            if name.startswith(FILES):
                storage.store(b"".join(archive.chunks(name)))
        try:
            if kind == "sqlite":
                _put_sqlite(archive)
            else:
                _put_postgresql(archive, applied)
        except (Error, sqlite3.Error) as fault:
            raise ArchiveError(
                f"The database refused the backup: {str(fault).strip()}. Stop web and worker first."
            ) from None
        return archive.about


def _holds_people() -> bool:
    with connection.cursor() as cursor:
        if "sites_person" not in connection.introspection.table_names(cursor):
            return False
        cursor.execute("SELECT count(*) FROM sites_person")
        return bool(cursor.fetchone() != (0,))


def _refuse_later(applied: list[Node]) -> None:
    known = MigrationLoader(None).disk_migrations
    if strange := [f"{app}.{name}" for app, name in applied if (app, name) not in known]:
        raise ArchiveError(
            f"The backup is of a later version, which has {', '.join(strange)}. Update first."
        )


def _put_sqlite(archive: Archive) -> None:
    with tempfile.TemporaryDirectory(dir=settings.DATA, prefix="restore-") as folder:
        file = Path(folder) / DATABASE
        with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
            out.writelines(archive.chunks(DATABASE))
        with closing(sqlite3.connect(file)) as copy:
            (found,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
            if found != "ok":
                raise ArchiveError(f"The database of the backup is damaged ({found}).")
        with _as_database(file):
            call_command("migrate", interactive=False, verbosity=0)
        connection.ensure_connection()
        with closing(sqlite3.connect(file)) as copy:
            # Into the file that is there, so that a server that has it open sees the new content.
            copy.backup(connection.connection)
    connection.close()


@contextmanager
def _as_database(file: Path) -> Iterator[None]:
    """Have the connection use this file for a while."""
    before = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = str(file)
    try:
        yield
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        connection.close()
        connection.settings_dict["NAME"] = before


def _put_postgresql(archive: Archive, applied: list[Node]) -> None:
    quoted = connection.ops.quote_name
    columns: dict[str, list[str]] = archive.about["columns"]
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET LOCAL lock_timeout = '10s'")
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"DROP TABLE {quoted(table)} CASCADE")
        # Checked at once: a table with checks left over can't be altered in the same transaction.
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        executor = MigrationExecutor(connection)
        executor.migrate(_last_of(applied, executor))
        # Rows come in any order of their tables.
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")
        there = sorted(connection.introspection.table_names(cursor))
        cursor.execute(f"TRUNCATE {', '.join(map(quoted, there))}")
        for table, names in columns.items():
            listed = ", ".join(map(quoted, names))
            with cursor.copy(f"COPY {quoted(table)} ({listed}) FROM STDIN") as copy:
                for chunk in archive.chunks(f"{TABLES}{table}"):
                    copy.write(chunk)
        _go_on_counting(cursor)
    call_command("migrate", interactive=False, verbosity=0)


def _last_of(applied: list[Node], executor: MigrationExecutor) -> list[Node]:
    """Of each app the last of these migrations."""
    graph = executor.loader.graph
    there = [node for node in applied if node in graph.nodes]
    inner = {
        parent.key
        for node in there
        for parent in graph.node_map[node].parents
        if parent.key[0] == node[0]
    }
    return [node for node in there if node not in inner]


def _go_on_counting(cursor: Any) -> None:
    """Let each table number new rows above those that it holds."""
    cursor.execute(
        "SELECT table_name, column_name FROM information_schema.columns "
        "WHERE table_schema = current_schema() AND is_identity = 'YES'"
    )
    for table, column in cursor.fetchall():
        name = connection.ops.quote_name(column)
        of = connection.ops.quote_name(table)
        cursor.execute(
            f"SELECT setval(pg_get_serial_sequence(%s, %s), max({name})) FROM {of} "
            f"HAVING max({name}) IS NOT NULL",
            [of, column],
        )
