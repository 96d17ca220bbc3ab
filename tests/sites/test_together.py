"""Several at once, in threads and processes of their own, on a database that all of them see: two
engineers on one button, and a worker that is killed in the middle of a print."""

import signal
from pathlib import Path

import pytest

from sites.house import storage
from tests.sites.own_database import own_database


@pytest.fixture
def own(db, tmp_path):
    with own_database(tmp_path) as found:
        yield found


def test_pressed_by_eight_at_once_one_revision_is_issued(own):
    found = own.run("issue_at_once", "8")
    assert found["ends"] == ["issued 1", *["was issued as 1"] * 7]
    assert found["revisions"] == [1]
    assert found["events"] == ["pack.issued"]
    assert found["tasks"] == ["READY"]


def test_what_is_issued_beside_a_save_is_never_half_of_it(own):
    found = own.run("save_and_issue")
    assert found["issued"] > 0
    assert found["halves"] == 0
    assert set(found["ends"]) <= {"issued", "FactsChangedError", "ObstructedError"}


def test_a_print_of_a_killed_worker_is_done_by_the_next(own, settings):
    own.run("issue_one")
    worker = own.start("work")
    begun = own.run("wait_until_running")
    assert begun["pdfs"] == [""]
    worker.send_signal(signal.SIGKILL)
    worker.communicate(timeout=20)
    left = own.run("counts")
    assert (left["tasks"], left["pdfs"]) == (["RUNNING"], [""])

    own.run("work")  # by itself the next worker finds nothing to do
    assert own.run("counts")["pdfs"] == [""]

    own.run("reap")
    own.run("work")
    done = own.run("counts")
    assert done["tasks"] == ["SUCCESSFUL"]
    assert done["events"] == ["pack.issued", "pack.printed"]
    settings.MEDIA_ROOT = Path(own.environment["REVIEW_MEDIA"])
    (sha256,) = done["pdfs"]
    assert storage.stored(sha256).startswith(b"%PDF-")


def test_two_workers_on_one_print_leave_one(own):
    own.run("issue_one")
    first = own.start("work")
    own.run("wait_until_running")
    own.run("reap")  # taken for dead while it is only slow
    own.run("work")
    first.communicate(timeout=60)
    done = own.run("counts")
    assert done["tasks"] == ["SUCCESSFUL"]
    assert done["events"] == ["pack.issued", "pack.printed"]
