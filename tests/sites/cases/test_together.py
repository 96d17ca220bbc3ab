"""Many people on the same cases at once: nothing is lost, and moves alone give every state."""

import pytest

from tests.sites import processes


def test_random_acts_of_many_people_lose_nothing(own, night):
    people, cases, acts = (20, 50, 1000) if night else (5, 6, 100)
    found = own.run(processes.move_at_once, people, cases, acts)
    assert found["wrong"] == []
    # An answer may move a case by itself, so there are at least as many moves as acts that moved.
    assert found["moved"] >= found["done"]["moved"] > 0
    assert sum(found["done"].values()) == acts


pytestmark = pytest.mark.database
