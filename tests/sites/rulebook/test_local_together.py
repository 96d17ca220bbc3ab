"""Several engineers at once on one local entry, on a database that all of them see."""

import pytest

from tests.sites.own_database import own_database


@pytest.fixture
def own(db, tmp_path):
    with own_database(tmp_path) as found:
        yield found


def test_of_six_at_once_one_enters_and_the_others_are_told(own):
    found = own.run("enter_at_once", "6")
    assert found["ends"] == [*["RulebookError"] * 5, "entered"]
    assert (found["rows"], found["parts"], found["events"]) == (1, 1, 1)
