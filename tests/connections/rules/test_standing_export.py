"""What the rulebook sets for every site's export: transmission assessment by region.

Thresholds (secondary): 5 MW of export in England and Wales, 200 kW in mainland Scotland, 50 kW on
the islands of North Scotland.
"""

import datetime as dt
from typing import Any

import pytest

from tests.connections.rules.editions import book_of, decided_under, written_under
from tests.site_files import ALL, found, limit, unit

ON = dt.date(2026, 11, 24)


@pytest.mark.parametrize(
    ("nation", "area", "watts", "limits", "told"),
    [
        ("england", "gb-12", 4_999_999, {}, False),
        ("england", "gb-12", 5_000_000, {}, True),
        ("scotland", "gb-18", 199_999, {}, False),
        ("scotland", "gb-18", 200_000, {}, True),
        # A limit lowers the export, and with it what is assessed.
        ("scotland", "gb-18", 250_000, limit(199_999, "w_total", nets_phases=False), False),
        # Without an area the region is not known, and nothing is said.
        ("scotland", "", 250_000, {}, False),
    ],
)
def test_transmission_assessment(
    nation: str, area: str, watts: int, limits: dict[str, Any], told: bool
) -> None:
    facts = {"limits": limits} if limits else {}
    one = unit("a", watts, phases=ALL, standard="G99")
    answer = decided_under(book_of(nation, ON, area), one, phases=3, **facts)
    assert found(answer, "transmission-assessment") == ([("inform", "site")] if told else [])


MAINLAND = "from 200 kW on, its effect on the transmission system is assessed in this area"
ISLAND = "from 50 kW on, its effect on the transmission system is assessed on the islands"
OPEN = "Cannot tell whether the site's effect on the transmission system is assessed: needs whether"


@pytest.mark.parametrize(
    ("area", "watts", "island", "says"),
    [
        ("gb-17", 49_999, True, ""),
        ("gb-17", 50_000, True, ISLAND),
        ("gb-17", 199_999, False, ""),
        ("gb-17", 200_000, False, MAINLAND),
        # Not known: below both amounts there is nothing to say, and from both on it is the same.
        ("gb-17", 49_999, None, ""),
        ("gb-17", 50_000, None, OPEN),
        ("gb-17", 199_999, None, OPEN),
        ("gb-17", 200_000, None, MAINLAND),
        # The source names the islands of North Scotland alone.
        ("gb-18", 60_000, True, ""),
        ("gb-18", 200_000, True, MAINLAND),
    ],
)
def test_islands_of_scotland(area: str, watts: int, island: bool | None, says: str) -> None:
    one = unit("a", watts, phases=ALL, standard="G99")
    book = book_of("scotland", ON, area)
    answer = written_under(book, one, phases=3, premises={"island": island})
    told = [f for f in answer.findings if f.id == "transmission-assessment"]
    assert [says in f.sentence for f in told] == ([True] if says else [])
    # A decision on it lapses when somebody says where the site lies.
    assert ["premises.island" in f.facts for f in told] == ([area == "gb-17"] if says else [])
    if says == OPEN:
        assert "assessed from 50 kW on, elsewhere in this area from 200 kW on" in told[0].workings
        assert told[0].margin is None
