"""Serve the demonstration from a database and a folder that are made for it and removed after.

The installation's own database is neither read nor touched.
"""

import io
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout
from pathlib import Path
from threading import Thread
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler

HOST = "127.0.0.1"


@contextmanager
def scratch_demo() -> Iterator[None]:
    """Hold the demo firm, its people and premises while the context lasts."""
    from django.conf import settings
    from django.test.runner import DiscoverRunner
    from django.test.utils import override_settings

    from sites.desk.writing.demonstration import load_demo

    # Set for good, not overridden: an installation without a key has none to go back to.
    settings.SECRET_KEY = "for pages that nobody but this process opens"
    runner = DiscoverRunner(verbosity=0, interactive=False)
    with tempfile.TemporaryDirectory() as folder:
        _keep_in_a_file(Path(folder) / "scratch.sqlite3")
        # Django says there, whatever the verbosity, that our table of the cache exists already.
        with redirect_stdout(io.StringIO()):
            databases = runner.setup_databases()
        try:
            with override_settings(
                ALLOWED_HOSTS=[HOST],
                MEDIA_ROOT=f"{folder}/media",
                TASKS={"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}},
            ):
                load_demo()
                yield
        finally:
            _let_go()
            runner.teardown_databases(databases)


@contextmanager
def served() -> Iterator[str]:
    """Serve the pages on a free port; yields the address."""
    from django.core.servers.basehttp import ThreadedWSGIServer
    from django.core.wsgi import get_wsgi_application

    server = ThreadedWSGIServer((HOST, 0), _Quiet)
    server.set_app(get_wsgi_application())
    serving = Thread(target=server.serve_forever, daemon=True)
    serving.start()
    try:
        yield f"http://{HOST}:{server.server_port}"
    finally:
        server.shutdown()
        serving.join()
        server.server_close()


def session_cookie(email: str, address: str) -> dict[str, str]:
    """Session cookie of a signed-in person of the demo at this address, for a browser."""
    from django.conf import settings
    from django.test import Client

    from sites.people.models import Person

    client = Client()
    client.force_login(
        Person.objects.get(email__iexact=email),
        backend="django.contrib.auth.backends.ModelBackend",
    )
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": address}


def _keep_in_a_file(path: Path) -> None:
    """Put SQLite's test database into the scratch folder.

    It is a file, since threads of a database in memory would share one connection.
    """
    from django.db import connection

    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(path)


def _let_go() -> None:
    """Close all connections: PostgreSQL can't drop a database while a pool holds some."""
    from django.db import connection

    connection.close()
    if connection.vendor == "postgresql":
        pooled: Any = connection
        pooled.close_pool()


class _Quiet(WSGIRequestHandler):
    """Writes no line for each request."""

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""
