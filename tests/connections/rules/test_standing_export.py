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


def numbers(*uses: str) -> dict[str, Any]:
    """Invented supply numbers, each with its check digit: by 11, then by 10."""
    made = []
    for n, use in enumerate(uses, 1):
        core = f"990000000{n:03d}"
        weights = (3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41, 43)
        digit = sum(int(d) * w for d, w in zip(core, weights, strict=True)) % 11 % 10
        made.append({"use": use, "scheme": "gb13", "value": f"{core}{digit}"})
    return {"premises": {"supply_numbers": made}}


@pytest.mark.parametrize(
    ("uses", "watts", "limits", "told"),
    [
        # EREC G99, 7.8: at most 32 A a phase for each customer; 32 A x 230 V = 7360 W.
        (("import", "import"), 7361, {}, True),
        (("import", "import"), 7360, {}, False),
        (("import", "export"), 7361, {}, False),
        (("import",), 7361, {}, False),
        # 30 A with a limit that counts.
        (("import", "import"), 7361, limit(30_000), False),
    ],
)
def test_one_generator_for_several_customers(
    uses: tuple[str, ...], watts: int, limits: dict[str, Any], told: bool
) -> None:
    facts = numbers(*uses) | ({"limits": limits} if limits else {})
    answer = decided_under(book_of("england", ON), unit("a", watts), **facts)
    assert found(answer, "shared-generation") == ([("decide", "export")] if told else [])


def test_the_shared_export_names_its_figures() -> None:
    # 10 kW / 230 V = 43.478 A; 32 - 43.478 = -11.478 A.
    one = unit("a", 10_000, standard="G99")
    answer = written_under(book_of("england", ON), one, **numbers("import", "import"))
    [about] = [each for each in answer.findings if each.id == "shared-generation"]
    assert (about.margin, about.margin_unit) == (-11_478, "mA")
    assert "L1 can export 43.48 A, and 2 import numbers" in about.sentence
    assert "each may export 32 A a phase" in about.sentence
