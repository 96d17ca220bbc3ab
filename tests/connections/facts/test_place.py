"""Postcodes to their sectors, and names of feeders."""

import pytest

from connections.facts.place import as_sector, folded_feeder, sector_of


@pytest.mark.parametrize(
    ("typed", "sector"),
    [
        ("EX1 1AA", "EX1 1"),
        ("ex11aa", "EX1 1"),  # EX1 1AA without its blank: the inward code has three signs
        ("EX11 1AA", "EX11 1"),
        ("W1A  0AX", "W1A 0"),
        ("M1 1AE", "M1 1"),
        ("BT1 5GS", "BT1 5"),
        ("EX1 1", None),
        ("EX1 1A", None),
        ("D02 X285", None),  # of Ireland: there are no sectors
        ("", None),
        ("not known", None),
    ],
)
def test_the_sector_of_a_postcode(typed, sector):
    assert sector_of(typed) == sector


@pytest.mark.parametrize(
    ("typed", "sector"),
    [("EX1 1", "EX1 1"), ("ex11", "EX1 1"), ("EX11 1", "EX11 1"), ("EX1", None), ("EX1 1AA", None)],
)
def test_a_sector_in_its_plain_spelling(typed, sector):
    assert as_sector(typed) == sector


def test_a_feeder_is_compared_whatever_its_case_and_blanks():
    assert folded_feeder(" north   7 ") == folded_feeder("North 7") == "NORTH 7"
