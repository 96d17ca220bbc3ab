"""Several people in the same moment, in threads on a database that all of them see."""

import json
import subprocess
import sys

import pytest

from tests.sites.own_database import ROOT, own_database


@pytest.fixture
def at_once(db, tmp_path):
    """`at_once(name)`: what a script of at_once.py found, on a database of its own."""
    with own_database(tmp_path) as own:

        def run(name):
            command = [sys.executable, "-m", "tests.sites.premises.at_once", name]
            done = subprocess.run(
                command, env=own.environment, cwd=ROOT, capture_output=True, timeout=120
            )
            assert done.returncode == 0, done.stderr.decode()
            return json.loads(done.stdout)

        yield run


def test_of_eight_saves_one_counts_and_the_others_are_told(at_once):
    found = at_once("save")
    assert found["ends"] == [*["StaleSheetError"] * 7, "saved"]
    assert (found["version"], found["events"]) == (2, 1)


def test_one_reference_is_given_to_one_premises(at_once):
    found = at_once("create")
    assert found["ends"] == ["One", *["ReferenceTakenError"] * 7]
    assert (found["premises"], found["applications"]) == (1, 1)


def test_drafts_of_one_page_are_one_row_whoever_comes_first(at_once):
    found = at_once("keep")
    assert found["ends"].count("dropped") == 1
    assert set(found["ends"]) <= {"dropped", "kept", "late"}
    assert found["drafts"] <= 1
