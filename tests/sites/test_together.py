"""Several at once, in threads and processes of their own, on a database that all of them see: two
engineers on one button, and a worker that is killed in the middle of a print."""

from sites.house import storage
from tests.sites import processes


def test_pressed_by_eight_at_once_one_revision_is_issued(own):
    found = own.run(processes.issue_at_once, 8)
    assert found["ends"] == ["issued 1", *["was issued as 1"] * 7]
    assert found["revisions"] == [1]
    assert found["events"] == ["pack.issued"]
    assert found["tasks"] == ["READY"]


def test_what_is_issued_beside_a_save_is_never_half_of_it(own):
    found = own.run(processes.save_and_issue)
    assert found["issued"] > 0
    assert found["halves"] == 0
    assert set(found["ends"]) <= {"issued", "FactsChangedError", "ObstructedError"}


def test_a_print_of_a_killed_worker_is_done_by_the_next(own, settings):
    own.run(processes.issue_one)
    worker = own.start(processes.work)
    begun = own.run(processes.wait_until_running)
    assert begun["pdfs"] == [""]
    worker.kill()
    worker.join(20)
    left = own.run(processes.counts)
    assert (left["tasks"], left["pdfs"]) == (["RUNNING"], [""])

    own.run(processes.work)  # by itself the next worker finds nothing to do
    assert own.run(processes.counts)["pdfs"] == [""]

    own.run(processes.reap)
    own.run(processes.work)
    done = own.run(processes.counts)
    assert done["tasks"] == ["SUCCESSFUL"]
    assert done["events"] == ["pack.issued", "pack.printed"]
    settings.MEDIA_ROOT = own.media
    (sha256,) = done["pdfs"]
    assert storage.stored(sha256).startswith(b"%PDF-")


def test_two_workers_on_one_print_leave_one(own):
    own.run(processes.issue_one)
    first = own.start(processes.work)
    own.run(processes.wait_until_running)
    own.run(processes.reap)  # taken for dead while it is only slow
    own.run(processes.work)
    first.join(60)
    done = own.run(processes.counts)
    assert done["tasks"] == ["SUCCESSFUL"]
    assert done["events"] == ["pack.issued", "pack.printed"]
