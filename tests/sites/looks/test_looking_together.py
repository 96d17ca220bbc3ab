"""A look at all cases with several at once, in processes of their own: begun twice in one moment,
two workers, and workers that are killed."""

from tests.sites import processes


def test_begun_by_six_at_once_it_is_one_run(own):
    found = own.run(processes.begin_screening, 3, 6)
    assert len(found["ends"]) == 6
    assert len(set(found["ends"])) == 1
    assert "(" not in found["ends"][0]
    assert (found["runs"], found["begun"], found["tasks"]) == (1, 1, {"READY": 3})


def test_what_a_killed_worker_left_is_done_by_the_next(own):
    own.run(processes.begin_screening, 8, 1)
    worker = own.start(processes.screen_slowly, 2, 60)
    begun = own.run(processes.wait_until_screening, 2)
    worker.kill()
    worker.join(20)
    left = own.run(processes.screened)
    assert begun["done"] == left["done"] == 2
    assert left["rows"] == left["done"]  # a part is noted whole or not at all
    assert left["tasks"]["RUNNING"] == 1

    own.run(
        processes.work
    )  # a restart: what waits is done, and the part of the dead worker is left
    assert own.run(processes.screened)["ended"] is False

    own.run(processes.reap)
    own.run(processes.work)
    done = own.run(processes.screened)
    assert (done["done"], done["total"], done["rows"], done["cases"]) == (8, 8, 8, 8)
    assert done["ended"] is True
    assert done["tasks"] == {"SUCCESSFUL": 8}


def test_a_part_of_a_worker_that_was_only_slow_is_noted_once(own):
    own.run(processes.begin_screening, 5, 1)
    slow = own.start(processes.screen_slowly, 1, 8)
    own.run(processes.wait_until_screening, 1)
    own.run(processes.reap)  # taken for dead while it is only slow
    own.run(processes.work)
    slow.join(60)
    done = own.run(processes.screened)
    assert (done["done"], done["rows"], done["cases"], done["ended"]) == (5, 5, 5, True)


def test_two_workers_share_the_parts(own):
    own.run(processes.begin_screening, 8, 1)
    workers = [own.start(processes.screen_slowly, 1, 1) for _ in range(2)]
    for worker in workers:
        worker.join(60)
        assert worker.exitcode == 0
    done = own.run(processes.screened)
    assert (done["done"], done["rows"], done["ended"]) == (8, 8, True)
    assert done["tasks"] == {"SUCCESSFUL": 8}
