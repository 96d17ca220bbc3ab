"""What the rulebook sets for every site's export: transmission assessment by region.

Thresholds (secondary): 5 MW of export in England and Wales, 200 kW in mainland Scotland.
"""

import datetime as dt
from typing import Any

import pytest

from tests.connections.rules.editions import book_of, decided_under
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
