"""Settings driven by the environment: what is taken, and what is refused with a sentence."""

import os
import runpy
import secrets
import stat
import subprocess
import sys

import pytest
from django.core.exceptions import ImproperlyConfigured

from sites import settings
from sites.bootstrap.paths import ROOT

NAMES = [
    "DATABASE_URL",
    "DATABASE_POOL",
    "DATA_DIR",
    "SECRET_KEY",
    "ALLOWED_HOSTS",
    "DEBUG",
    "METERSIDE_DEMO",
    "HTTPS_ONLY",
    "TIME_ZONE",
]


@pytest.fixture
def read(monkeypatch):
    """Reads the settings file anew under these variables alone."""

    def run(**variables: str):
        for name in NAMES:
            monkeypatch.delenv(name, raising=False)
        for name, value in variables.items():
            monkeypatch.setenv(name, value)
        return runpy.run_path(str(ROOT / "sites" / "settings.py"))

    return run


def test_without_variables_it_is_sqlite_and_careful(read, tmp_path):
    found = read(DATA_DIR=str(tmp_path))
    database = found["DATABASES"]["default"]
    assert database["ENGINE"] == "django.db.backends.sqlite3"
    assert database["NAME"] == str(tmp_path / "meterside.sqlite3")
    assert found["MEDIA_ROOT"] == tmp_path / "media"
    assert database["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
    assert not found["DEBUG"]
    assert found["SECRET_KEY"] == ""
    assert found["TIME_ZONE"] == "Europe/London"
    assert "django.contrib.sites" not in found["INSTALLED_APPS"]


@pytest.mark.parametrize(
    ("pool", "options"),
    [
        (None, {"pool": {"min_size": 1, "max_size": 8, "timeout": 10}}),
        ("3", {"pool": {"min_size": 1, "max_size": 3, "timeout": 10}}),
        ("0", {}),
    ],
)
def test_the_address_alone_switches_to_postgresql(read, pool, options):
    variables = {"DATABASE_URL": "postgres://anne:pw@db.invalid:5433/meterside"}
    if pool is not None:
        variables["DATABASE_POOL"] = pool
    database = read(**variables)["DATABASES"]["default"]
    assert database["ENGINE"] == "django.db.backends.postgresql"
    assert (database["HOST"], database["PORT"], database["NAME"]) == (
        "db.invalid",
        5433,
        "meterside",
    )
    assert database["OPTIONS"] == options


@pytest.mark.parametrize(
    ("variables", "sentence"),
    [
        ({"DEBUG": "maybe"}, "DEBUG is 'maybe'; it must be on or off"),
        ({"METERSIDE_DEMO": ""}, "METERSIDE_DEMO is ''; it must be on or off"),
        ({"DATA_DIR": "data"}, "DATA_DIR is 'data'; give the whole path"),
        ({"DATABASE_URL": "mysql://h/d"}, "DATABASE_URL must begin with postgres:// or sqlite://"),
        ({"DATABASE_URL": "somewhere"}, "DATABASE_URL must begin with postgres:// or sqlite://"),
        ({"DATABASE_URL": "postgres://u:pw@h:x/d"}, "DATABASE_URL cannot be read as an address"),
        (
            {"DATABASE_URL": "postgres://h/d", "DATABASE_POOL": "-1"},
            "DATABASE_POOL is '-1'; it must be a whole number from 0 up",
        ),
    ],
)
def test_what_cannot_be_read_is_refused(read, variables, sentence):
    with pytest.raises(ImproperlyConfigured, match=sentence):
        read(**variables)


@pytest.mark.parametrize("command", [["nightly"], ["db_worker"], ["back_up", "x.zip"], ["migrate"]])
def test_no_work_in_earnest_begins_without_a_database(command):
    done = _alone("manage.py", *command)
    assert done.returncode == 1
    assert done.stderr == f"{settings.NO_DATABASE}\n"


def test_no_server_starts_without_a_database():
    assert settings.NO_DATABASE in _alone("-c", "import sites.wsgi", SECRET_KEY="x" * 50).stderr


def test_what_needs_no_database_goes_on_without_one():
    assert _alone("manage.py", "makemigrations", "--check", "--dry-run").returncode == 0
    assert _alone("manage.py", "schema").returncode == 0


def _alone(*words, **variables):
    """A program of ours in a process that knows no variable of ours but these."""
    return subprocess.run(
        [sys.executable, *words],
        cwd=ROOT,
        env={**{n: v for n, v in os.environ.items() if n not in NAMES}, **variables},
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_key_is_made_up_once_and_kept_from_others(tmp_path):
    file = tmp_path / "new" / "secret-key"
    key = settings.local_secret_key(file)
    assert len(key) >= 50
    assert settings.local_secret_key(file) == key
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [entry.name for entry in file.parent.iterdir()] == ["secret-key"]


def test_the_slower_of_two_takes_the_key_of_the_quicker(tmp_path, monkeypatch):
    file = tmp_path / "secret-key"
    file.write_text("the quicker one's")
    # As if the file had come between looking and linking.
    monkeypatch.setattr(type(file), "exists", lambda _self: False)
    assert settings.local_secret_key(file) == "the quicker one's"


def test_the_database_and_its_folder_are_its_owners_alone(read):
    file = read()["DATABASES"]["default"]["NAME"]
    assert stat.S_IMODE(os.stat(file).st_mode) == 0o600
    assert stat.S_IMODE(os.stat(ROOT / ".data").st_mode) == 0o700


def test_a_server_with_https_passes_djangos_own_check():
    """`check --deploy` of Django: HSTS, redirect, cookies, key, and no debug pages."""
    variables = {"SECRET_KEY": secrets.token_urlsafe(50), "HTTPS_ONLY": "on"}
    done = _alone("manage.py", "check", "--deploy", "--fail-level", "WARNING", **variables)
    assert done.returncode == 0, done.stderr
