"""A backup puts back what was there at its moment, on each database."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.database


def rows() -> Counter[str]:
    """How many rows each of our tables holds."""
    from django.apps import apps

    return Counter(
        {
            model.__name__: model._base_manager.count()
            for model in apps.get_app_config("sites").get_models()
        }
    )


def taken(to: Path) -> Counter[str]:
    """Store a file, take a backup, then change both; what was there before."""
    from sites.house import storage
    from sites.house.writing.backing_up import back_up
    from tests.sites.making import make_person, make_premises

    storage.store(b"kept")
    before = rows()
    about = back_up(to)
    assert about["files"] == 1
    storage.remove(storage.digest_of(b"kept"))
    make_premises()
    make_person("office")
    return before


def put_back(path: Path, over: bool) -> Any:
    """Restore; the rows then there, or the words of the refusal."""
    from sites.house import storage
    from sites.house.archive import ArchiveError
    from sites.house.writing.restoring import restore
    from tests.sites.making import make_person

    try:
        restore(path, over=over)
    except ArchiveError as refused:
        return str(refused)
    assert storage.stored(storage.digest_of(b"kept")) == b"kept"
    found = rows()
    make_person("office")  # new rows are numbered above those that came back
    return found


def emptied() -> None:
    """A database without any table."""
    from django.db import connection

    with connection.cursor() as cursor, connection.constraint_checks_disabled():
        for table in connection.introspection.table_names(cursor):
            cursor.execute(
                f'DROP TABLE "{table}"' + (" CASCADE" if connection.vendor == "postgresql" else "")
            )


def back_to(name: str) -> None:
    """The tables of an earlier version."""
    from django.core.management import call_command

    call_command("migrate", "sites", name, verbosity=0)


def taken_plainly(to: Path) -> None:
    from sites.house import storage
    from sites.house.writing.backing_up import back_up

    storage.store(b"kept")
    back_up(to)


def test_over_something_only_where_asked(own, tmp_path):
    archive = tmp_path / "it.zip"
    before = own.run(taken, archive)
    assert before["Premises"] == 1
    assert "Add --over" in own.run(put_back, archive, False)
    assert own.run(put_back, archive, True) == before


def test_over_nothing(own, tmp_path):
    archive = tmp_path / "it.zip"
    before = own.run(taken, archive)
    own.run(emptied)
    assert own.run(put_back, archive, False) == before


def test_from_an_earlier_state_of_the_tables(own, tmp_path):
    """Taken under the tables of 0003, put back under those of today."""
    archive = tmp_path / "it.zip"
    own.run(back_to, "0003")
    own.run(taken_plainly, archive)
    own.run(emptied)
    found = own.run(put_back, archive, False)
    assert (found["Premises"], found["Person"]) == (1, 2)
