"""Licence areas by the first two digits of a supply number.

Source: public descriptions of the supply number and tables of distributor ids (secondary).
"""

import pytest

from connections.facts.supply_number import read_core
from connections.rulebook.book import Rulebook


@pytest.mark.parametrize(
    ("prefix", "area", "name"),
    [
        ("10", "gb-10", "Eastern England"),
        ("12", "gb-12", "London"),
        ("13", "gb-13", "Merseyside, Cheshire and North Wales"),
        ("17", "gb-17", "North Scotland"),
        ("23", "gb-23", "Yorkshire"),
    ],
)
def test_a_prefix_names_its_area(book: Rulebook, prefix: str, area: str, name: str) -> None:
    found = book.area_by_prefix(prefix)
    assert found is not None
    assert (found.id, found.name, found.independent) == (area, name, False)


def test_fourteen_areas_and_fifteen_independent_prefixes(book: Rulebook) -> None:
    regional = [int(area.prefix) for area in book.areas if not area.independent and area.prefix]
    independent = [int(area.prefix) for area in book.areas if area.independent]
    assert regional == list(range(10, 24))
    assert independent == list(range(24, 39))
    assert all(area.id == f"gb-{area.prefix}" for area in book.areas if area.prefix)


def test_northern_ireland_and_ireland_have_one_area_each(book: Rulebook) -> None:
    # One operator each (public guidance); their numbers of 11 digits tell no area.
    others = [(area.id, area.nation, area.nations) for area in book.areas if not area.prefix]
    assert others == [
        ("ni-1", "northern_ireland", ("northern_ireland",)),
        ("ie-1", "ireland", ("ireland",)),
    ]
    assert book.areas[0].nations == ("england", "wales", "scotland")


def test_an_independent_prefix_tells_no_region(book: Rulebook) -> None:
    found = book.area_by_prefix("24")
    assert found is not None
    assert (found.name, found.independent) == ("Independent network operator (prefix 24)", True)


def test_an_id_that_is_not_allocated(book: Rulebook) -> None:
    # 9912345678906 is an invented number with a right check digit; 99 is no allocated id.
    assert book.area_by_prefix(read_core("9912345678906").prefix) is None
