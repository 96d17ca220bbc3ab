"""Findings on plant that nobody changes inform, unless the new work turns on them.

Each line: the existing unit with its trouble, new work beside it that turns on it, and new work
that does not. At 230 V 16 A are 3.68 kW on one phase, 32 A are 7.36 kW; the short form ends below
17 kW on a single-phase supply.
"""

from typing import Any

import pytest

from connections.rules.decide import decide
from tests.site_files import book, cells, decided, file, read, unit

OLD: dict[str, Any] = {"status": "existing", "commissioned_on": "2021-05-01"}


def certified(**facts: Any) -> dict[str, Any]:
    """An existing unit of 3 kW with a certificate in the list of certificates."""
    made = unit("a", 3000, **OLD)
    for name in ("standard", "type_tested", "type_test_reference"):
        del made[name]
    return {**made, "standards": [{"standard": "G98", "type_tested": "full", **facts}]}


CASES: list[tuple[str, dict[str, Any], int, int]] = [
    # 3 + 1 kW are 17.4 A: `sgi-3` takes tested units only. 3 + 20 kW are a full application anyway.
    ("not-type-tested", unit("a", 3000, type_tested="no", **OLD), 1000, 20_000),
    ("not-type-tested", unit("a", 3000, type_tested="part", **OLD), 1000, 20_000),
    # 3.6 kW connect and notify rests on both being tested as declared.
    ("no-register-reference", unit("a", 3000, type_test_reference=None, **OLD), 600, 20_000),
    # 3.6 kW would be EREC G98 but for the island; 3 + 5 kW are 34.8 A, the short form, either way.
    ("can-island", unit("a", 3000, can_island=True, **OLD), 600, 5000),
    ("can-island", unit("a", 3000, can_island=None, **OLD), 600, 5000),
    # 5 kW are 21.7 A, more than G98 covers; 5 + 1 kW are `sgi-3` as declared.
    ("standard-too-small", unit("a", 5000, standard="G98", **OLD), 1000, 20_000),
    # 3 + 0.68 kW are 16 A; lifted to 5 kW they are 24.7 A.
    ("software-cap", unit("a", 3000, design_w=5000, limited_by="software", **OLD), 680, 20_000),
    # As "no-register-reference": 3.6 kW are EREC G98 if the old certificate counted.
    ("certificate-rating", certified(rated_w=5000), 600, 20_000),
    ("certificate-run-out", certified(valid_until="2021-04-30"), 600, 20_000),
    # 3.6 kW would be EREC G98; 3 + 5 kW are 34.8 A, the short form, either way.
    (
        "short-term-parallel",
        unit("a", 3000, operating_mode="short-term-parallel", **OLD),
        600,
        5000,
    ),
    # `sgi-3` takes inverters only.
    ("fact-not-known", unit("a", 3000, kind=None, **OLD), 1000, 20_000),
]


def severities(id: str, *units: dict[str, Any], **facts: Any) -> set[str]:
    return {f.severity for f in decided(*units, **facts).findings if f.id == id}


@pytest.mark.parametrize("case", CASES, ids=[f"{case[0]}-{i}" for i, case in enumerate(CASES)])
def test_a_finding_decides_only_where_the_work_turns_on_it(case):
    id, old, turns, aside = case
    assert severities(id, old, unit("b", turns)) == {"decide"}
    assert severities(id, old, unit("b", aside)) == {"inform"}


@pytest.mark.parametrize("case", CASES, ids=[f"{case[0]}-{i}" for i, case in enumerate(CASES)])
def test_the_same_of_new_plant_decides(case):
    id, old, _, aside = case
    new = {**old, "status": "proposed"}
    assert severities(id, new, unit("b", aside)) == {"decide"}


@pytest.mark.parametrize("case", CASES, ids=[f"{case[0]}-{i}" for i, case in enumerate(CASES)])
def test_where_all_is_existing_there_is_no_work_to_set_it_aside(case):
    id, old, _, aside = case
    assert severities(id, old, unit("b", aside, **OLD)) == {"decide"}


@pytest.mark.parametrize("status", ["proposed", "removed"])
@pytest.mark.parametrize("part", ["arrays", "storage"])
def test_a_unit_whose_panels_or_cells_change_is_changed(part, status):
    old = cells("a", 3000, source="pv+storage", type_test_reference=None, **OLD)
    behind = {part: [{"unit_id": "a", "status": status}]}
    assert severities("no-register-reference", old, unit("b", 20_000), **behind) == {"decide"}
    behind = {part: [{"unit_id": "a"}, {"unit_id": "b", "status": "proposed"}]}
    assert severities("no-register-reference", old, unit("b", 20_000), **behind) == {"inform"}


def test_panels_that_nobody_changes_and_that_disagree_inform():
    """2 x 400 Wp are 800 Wp and not 900."""
    panels = {"unit_id": "a", "panels": 2, "peak_w": 900, "panel": {"peak_w": 400}}
    old = unit("a", 3000, **OLD)
    assert severities("panels-disagree", old, unit("b", 600), arrays=[panels]) == {"inform"}
    assert severities("panels-disagree", old, arrays=[panels]) == {"decide"}
    panels["status"] = "proposed"
    assert severities("panels-disagree", old, unit("b", 600), arrays=[panels]) == {"decide"}


def test_taking_plant_out_is_work():
    old = unit("a", 20_000, type_test_reference=None, **OLD)
    gone = unit("b", status="removed")
    assert severities("no-register-reference", old, gone) == {"inform"}


def test_units_that_only_together_change_the_outcome_decide_together():
    """1.5 + 1.5 + 0.6 kW are 3.6 kW: EREC G98 if neither old unit ran as an island."""
    both = [unit(id, 1500, can_island=True, **OLD) for id in ("a", "c")]
    assert severities("can-island", *both, unit("b", 600)) == {"decide"}


def test_a_new_unit_with_the_same_trouble_decides_alone():
    """The new unit can run as an island: it is outside EREC G98, whatever the old one does."""
    site = file(
        unit("a", 1500, can_island=True, **OLD), unit("b", 600, can_island=True), reference="T-1"
    )
    found = {
        f.subject: f.severity for f in decide(read(site), book()).findings if f.id == "can-island"
    }
    assert found == {"a": "inform", "b": "decide"}
