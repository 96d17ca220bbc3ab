"""Take a backup while the application runs: the database at one moment, then the files.

Files are never changed, and each is there before its row; so the files taken after the rows hold
all that the rows name.
"""

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path
from typing import Any

from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from sites.house import storage
from sites.house.archive import ArchiveError, NewArchive, new_archive

DATABASE = "database.sqlite3"
TABLES = "tables/"
FILES = "files/"


def back_up(to: Path) -> dict[str, Any]:
    """Write database and files into an archive. Returns what the archive says about itself.

    Raises ArchiveError where it can't be written.
    """
    with new_archive(to) as archive:
        about: dict[str, Any] = {
            "made_at": timezone.now().isoformat(timespec="seconds"),
            "database": connection.vendor,
            "left_out": ["the secret key", "the variables of the environment"],
        }
        if connection.vendor == "sqlite":
            about |= _take_sqlite(archive, to.parent)
        else:
            about |= _take_postgresql(archive)
        taken = 0
        for sha256, path in storage.all_stored():
            try:
                archive.add_file(f"{FILES}{sha256}", path)
            except FileNotFoundError:
                continue  # swept or erased this moment, so that no row names it any more
            taken += 1
            if archive.digests[f"{FILES}{sha256}"] != sha256:
                raise ArchiveError(f"The stored file {sha256[:12]} was changed on the disk.")
        about["files"] = taken
        archive.end(about)
    return about


def _take_sqlite(archive: NewArchive, beside: Path) -> dict[str, Any]:
    with tempfile.TemporaryDirectory(dir=beside, prefix=".backup-") as folder:
        file = Path(folder) / DATABASE
        connection.ensure_connection()
        with closing(sqlite3.connect(file)) as copy:
            connection.connection.backup(copy)
            listed = copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            tables = [name for (name,) in listed.fetchall() if not name.startswith("sqlite_")]
            counts = {
                name: copy.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
                for name in tables
            }
            applied = copy.execute("SELECT app, name FROM django_migrations ORDER BY id")
            about = {"rows": counts, "migrations": applied.fetchall()}
        archive.add_file(DATABASE, file)
    return about


def _take_postgresql(archive: NewArchive) -> dict[str, Any]:
    counts: dict[str, int] = {}
    columns: dict[str, list[str]] = {}
    quoted = connection.ops.quote_name
    with transaction.atomic(), connection.cursor() as cursor:
        # All tables as they were at one moment.
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        for table in sorted(connection.introspection.table_names(cursor)):
            found = connection.introspection.get_table_description(cursor, table)
            columns[table] = [column.name for column in found]
            cursor.execute(f"SELECT count(*) FROM {quoted(table)}")
            (counts[table],) = cursor.fetchone() or (0,)
            names = ", ".join(map(quoted, columns[table]))
            with cursor.copy(f"COPY {quoted(table)} ({names}) TO STDOUT") as copy:
                archive.add(f"{TABLES}{table}", copy)
        applied = [
            (row.app, row.name) for row in MigrationRecorder(connection).migration_qs.order_by("pk")
        ]
    return {"rows": counts, "columns": columns, "migrations": applied}
