"""A database of a test's own, that several processes can use at once.

The suite's own lies in the memory of one process where it is SQLite; here it is a file, or another
database of the same PostgreSQL server.
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote
from uuid import uuid4

from django.db import connection

ROOT = Path(__file__).resolve().parents[2]


class OwnDatabase:
    """Runs our commands and scripts in processes of their own, on one database and one store."""

    def __init__(self, url: str, folder: Path) -> None:
        self.environment = {
            **{k: v for k, v in os.environ.items() if not k.startswith("DJANGO_")},
            "DJANGO_SETTINGS_MODULE": "sites.settings",
            "DATABASE_URL": url,
            "DATABASE_POOL": "0",
            "SECRET_KEY": "for tests alone, where nothing signed outlives the test",
            "PYTHONPATH": str(ROOT),
            "REVIEW_MEDIA": str(folder / "media"),
        }

    def start(self, script: str, *args: str) -> "subprocess.Popen[bytes]":
        """Start a script of `processes.py` by name; it does not wait."""
        command = [sys.executable, "-m", "tests.sites.processes", script, *args]
        return subprocess.Popen(command, env=self.environment, cwd=ROOT, stdout=subprocess.PIPE)

    def run(self, script: str, *args: str) -> Any:
        """Run a script to its end and read the JSON that it prints."""
        started = self.start(script, *args)
        out, _ = started.communicate(timeout=120)
        assert started.returncode == 0
        return json.loads(out) if out.strip() else None


@contextmanager
def own_database(folder: Path) -> Iterator[OwnDatabase]:
    """A fresh database with our tables; gone afterwards."""
    if connection.vendor == "sqlite":
        own = OwnDatabase(f"sqlite:///{folder / 'own.sqlite3'}", folder)
        own.run("set_up")
        yield own
        return
    import psycopg
    from psycopg import sql

    told = connection.settings_dict
    name = f"own_{uuid4().hex[:12]}"
    where = {"host": told["HOST"], "port": told["PORT"] or 5432, "user": told["USER"]}
    server = {**where, "password": told["PASSWORD"] or None, "dbname": "postgres"}
    with psycopg.connect(**server, autocommit=True) as admin:
        admin.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        word = f":{quote(str(told['PASSWORD']), safe='')}" if told["PASSWORD"] else ""
        host = quote(str(told["HOST"] or "localhost"), safe="")
        url = f"postgres://{quote(str(told['USER']), safe='')}{word}@{host}:{where['port']}/{name}"
        try:
            own = OwnDatabase(url, folder)
            own.run("set_up")
            yield own
        finally:
            admin.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))
