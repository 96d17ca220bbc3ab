"""Several people in the same moment, in threads on a database that all of them see."""

from tests.sites.premises import at_once


def test_of_eight_saves_one_counts_and_the_others_are_told(own):
    found = own.run(at_once.save)
    assert found["ends"] == [*["StaleSheetError"] * 7, "saved"]
    assert (found["version"], found["events"]) == (2, 1)


def test_one_reference_is_given_to_one_premises(own):
    found = own.run(at_once.create)
    assert found["ends"] == ["One", *["ReferenceTakenError"] * 7]
    assert (found["premises"], found["applications"]) == (1, 1)


def test_drafts_of_one_page_are_one_row_whoever_comes_first(own):
    found = own.run(at_once.keep)
    assert found["ends"].count("dropped") == 1
    assert set(found["ends"]) <= {"dropped", "kept", "late"}
    assert found["drafts"] <= 1
