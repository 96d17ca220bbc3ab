"""Several engineers at once on one local entry, on a database that all of them see."""

from tests.sites import processes


def test_of_six_at_once_one_enters_and_the_others_are_told(own):
    found = own.run(processes.enter_at_once, 6)
    assert found["ends"] == [*["RulebookError"] * 5, "entered"]
    assert (found["rows"], found["parts"], found["events"]) == (1, 1, 1)
