"""An import limit is a remedy where all demand is above the cut-out and a limit there holds it.

The site is that of the demand check: 9.2 kVA / 230 V = 40 A of ordinary demand, a heat pump of
3000 W / 230 V = 13.043 A that nobody controls, a charge point of 7360 W = 32 A and cells that
charge with 3680 W = 16 A, both of which can be turned down: 101.043 A in all, 53.043 A at least.
"""

import json
from typing import Any

import pytest

from connections.facts.decision import Remedy
from connections.pack.build import pack_hindrances
from connections.pack.case import EngineerDecision
from connections.remedies.applying import applied
from connections.remedies.search import search
from connections.rules.decide import decide
from connections.rules.engineering import with_checks
from connections.rules.writing import write_decision
from tests.connections.pack.cases import ON
from tests.connections.rules.checks.checking import added
from tests.connections.rules.checks.test_demand import CHARGER, HEAT_PUMP, home
from tests.site_files import book, read


def offered(content: dict[str, Any]) -> list[Remedy]:
    site = read(content)
    found = search(site, decide(site, book()), book()).remedies
    return [remedy for remedy in found if remedy.kind == "import-limit"]


def over(content: dict[str, Any]) -> bool:
    return any(id == "check-import-limit" for _, id, _ in added(content))


@pytest.mark.parametrize("cutout_a", [60, 80, 100])
def test_the_limit_is_the_cut_out(cutout_a: int) -> None:
    content = home(cutout_a)
    assert over(content)
    (remedy,) = offered(content)
    assert [(change.path, change.to) for change in remedy.change] == [
        ("limits.import.value", cutout_a * 1000),
        ("limits.import.basis", "ma_per_phase"),
        ("limits.import.type_tested", True),
    ]
    assert remedy.clears == ("check-import-limit",)
    assert remedy.name == f"Import limit {cutout_a} A"
    assert not over(applied(content, remedy.change))


OTHER = {
    # 101.043 A stay below 125 A.
    "large cut-out": home(125),
    "cut-out not known": home(None),
    # 100 A of ordinary demand alone are above 80 A: no limit turns that down.
    "uncontrolled alone": home(
        80, loads={"assessed_demand_va": 23_000, "items": [HEAT_PUMP, CHARGER]}
    ),
    "limit there": home(
        80,
        limits={"import": {"value": 80_000, "basis": "ma_per_phase", "type_tested": True}},
    ),
}


@pytest.mark.parametrize("content", OTHER.values(), ids=OTHER)
def test_where_none_is_offered(content: dict[str, Any]) -> None:
    assert offered(content) == []


def test_facts_of_an_untested_scheme_stay() -> None:
    scheme = {"value": 70_000, "basis": "ma_per_phase", "response_ms": 5000, "type_tested": False}
    content = home(80, limits={"import": scheme})
    (remedy,) = offered(content)
    made = read(applied(json.loads(json.dumps(content)), remedy.change))
    limits: Any = made.limits
    assert (limits.import_.value, limits.import_.response_ms) == (80_000, 5000)


@pytest.mark.parametrize(
    ("way", "counts"),
    [("", False), ("anything", False), ("other-fuse", True), ("measured", True)],
)
def test_a_decision_counts_only_by_one_of_the_ways(way: str, counts: bool) -> None:
    site = read(home(80))
    decided = write_decision(with_checks(decide(site, book())))
    (finding,) = (each for each in decided.findings if each.id == "check-import-limit")
    assert [each.key for each in finding.ways] == ["import-limit", "other-fuse", "measured"]
    decision = EngineerDecision(
        finding.id, finding.subject, finding.basis, "Free words.", "Bea Example", ON, way=way
    )
    found = pack_hindrances(site, decided, book(), prepared_on=ON, decisions=(decision,))
    assert ("findings.check-import-limit" in [h.path for h in found]) is not counts


def test_demand_that_nobody_controls_has_no_import_limit_among_its_ways() -> None:
    content = OTHER["uncontrolled alone"]
    decided = write_decision(with_checks(decide(read(content), book())))
    (finding,) = (each for each in decided.findings if each.id == "check-demand")
    assert [each.key for each in finding.ways] == ["other-fuse", "measured"]
