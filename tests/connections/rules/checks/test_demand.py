"""Demand and import: the worked examples of the household table (secondary), and headroom."""

from decimal import Decimal
from typing import Any

import pytest

from tests.connections.rules.checks.checking import added, check
from tests.site_files import ALL, cells, file, unit

HOUSE = [
    # 3.96 + 25.696 + 41.304 + 13.043 + 44.8 = 128.803 A
    {"name": "lighting", "w": 1380, "kind": "lighting"},
    {"name": "cooker", "w": 10_500, "kind": "cooker-with-socket"},
    {"name": "shower", "w": 9500, "kind": "instant-water"},
    {"name": "immersion heater", "w": 3000, "kind": "stored-water"},
    {"name": "ring one", "w": 7360, "kind": "circuit"},
    {"name": "ring two", "w": 7360, "kind": "circuit"},
]
PLANT = cells("bat-1", 3680)
CHARGES = [{"unit_id": "bat-1", "charge_w": 3680, "charges_from_grid": True}]
HEAT_PUMP = {"name": "heat pump", "w": 3000, "controllable": False}
CHARGER = {"name": "charge point", "w": 7360, "controllable": True}


def home(cutout_a: int | None, **facts: Any) -> dict[str, Any]:
    """40 A of ordinary demand, a heat pump (13.043 A), a charge point (32 A), storage (16 A)."""
    loads = {"assessed_demand_va": 9200, "measured": False, "items": [HEAT_PUMP, CHARGER]}
    return file(
        PLANT,
        supply={"cutout_a": cutout_a, "looped": False},
        storage=CHARGES,
        **({"loads": loads} | facts),
    )


def test_a_house_by_the_table():
    content = file(unit(), supply={"cutout_a": 100}, loads={"items": HOUSE})
    found = check(content, "demand")
    assert found.value == Decimal("128.804")  # 128.803, rounded outwards
    assert found.result == "over"
    # With an assessed figure its ordinary loads are in it already.
    assessed = file(
        unit(), supply={"cutout_a": 100}, loads={"assessed_demand_va": 9200, "items": HOUSE}
    )
    assert check(assessed, "demand").value == Decimal(40)


@pytest.mark.parametrize(("cutout", "room"), [(100, "46.957"), (80, "26.957"), (60, "6.957")])
def test_headroom(cutout, room):
    found = check(home(cutout), "demand")
    assert found.value == Decimal("53.044")  # 53.043, rounded outwards
    assert f"{room} A" in found.workings[-1]
    assert found.plot is not None
    [series] = [s for s in found.plot.series if s.name == "headroom"]
    assert series.points[0].y == pytest.approx(float(room), abs=5e-4)


def test_an_import_limit_is_needed_and_to_what():
    found = check(home(80), "import-limit")
    assert (found.value, found.result) == (Decimal("101.044"), "over")
    assert "An import limit of 80 A a phase is needed" in " ".join(found.workings)
    assert "26.957 A (6.200 kVA)" in " ".join(found.workings)
    assert ("decide", "check-import-limit", "L1") in added(home(80))


@pytest.mark.parametrize(
    ("limit", "result"),
    [
        ({"value": 80_000, "basis": "ma_per_phase", "type_tested": True}, "keeps"),
        ({"value": 70_000, "basis": "ma_per_phase", "type_tested": True}, "keeps"),
        ({"value": 90_000, "basis": "ma_per_phase", "type_tested": True}, "over"),
        ({"value": 16_000, "basis": "w_total", "type_tested": True}, "keeps"),
        ({"value": 80_000, "basis": "ma_per_phase", "type_tested": None}, "over"),
    ],
)
def test_an_import_limit_answers_it(limit, result):
    assert check(home(80, limits={"import": limit}), "import-limit").result == result


def test_no_limit_answers_what_nobody_controls():
    loads = {"assessed_demand_va": 23_000, "items": [HEAT_PUMP, CHARGER]}
    found = check(home(80, loads=loads), "import-limit")
    assert "No import limit answers this" in " ".join(found.workings)


@pytest.mark.parametrize(
    # 40 A of ordinary demand and the heat pump are 53.043 A; with 3.68 kW charging 69.043 A.
    ("facts", "told"),
    [
        ({}, True),
        ({"loads": {"assessed_demand_va": 2300, "items": [HEAT_PUMP]}}, False),
        ({"loads": {"assessed_demand_va": 9200, "items": []}}, None),
    ],
)
def test_when_the_operator_is_told(facts, told):
    names = {id for _, id, _ in added(home(100, **facts))}
    assert ("load-notice" in names) is bool(told)


def test_a_looped_service_asks_first():
    content = home(100, loads={"assessed_demand_va": 2300, "items": [HEAT_PUMP]})
    content["supply"]["looped"] = True
    assert ("inform", "load-notice", "L1") in added(content)


def test_each_phase_by_itself():
    loads = {
        "assessed_demand_va": 20_700,  # 30 A on each of three
        "items": [
            {"name": "charge point", "w": 7360, "phases": ["L2"]},
            {"name": "heat pump", "w": 11_040, "phases": ALL},  # 3 x 16 A x 230 V
        ],
    }
    content = file(unit(phases=["L1"]), phases=3, supply={"cutout_a": 100}, loads=loads)
    assert check(content, "demand", "L1").value == Decimal("46.000")
    assert check(content, "demand", "L2").value == Decimal("78.000")


def test_loads_of_one_and_of_three_phases_add_at_one_voltage():
    # 230 V throughout: 9 kW / 3 / 230 V = 13.043 A beside 7.36 kW / 230 V = 32 A, and none of it at
    # 400 V / root 3, which would be 12.990 A.
    loads = {
        "assessed_demand_va": 0,
        "items": [
            {"name": "charge point", "w": 7360, "phases": ["L2"]},
            {"name": "heat pump", "w": 9000, "phases": ALL},
        ],
    }
    content = file(unit(phases=["L1"]), phases=3, supply={"cutout_a": 100}, loads=loads)
    assert "45.043 A of 100 A" in " ".join(check(content, "demand", "L2").workings)
    assert "13.043 A of 100 A" in " ".join(check(content, "demand", "L1").workings)


def test_what_is_missing_is_said():
    assert "the assessed or measured demand, or its loads" in check(file(), "demand").needs
    loads = {"assessed_demand_va": 9000, "items": [{"name": "heat pump", "w": 9000}]}
    nowhere = file(unit(), phases=3, supply={"cutout_a": 100}, loads=loads)
    assert "the phases of heat pump" in check(nowhere, "demand", "L1").needs
    assert "the rating of the cut-out" in check(home(None), "demand").needs


def test_storage_that_may_charge_is_taken_to_charge_and_it_is_said():
    content = home(100)
    content["storage"] = [{"unit_id": "bat-1"}]
    found = check(content, "import-limit")
    assert found.value == Decimal("101.044")
    taken = {one.name: one.value for one in found.inputs if one.origin == "assumed"}
    assert taken["charging of bat-1 from the network"] == "yes"
    assert taken["charging power of bat-1"] == "its rating"


@pytest.mark.parametrize(
    # Asked first above 60 A, and above a cut-out that is smaller. Ordinary demand at 230 V, and the
    # heat pump's 3 kW are 13.043 A.
    ("cutout", "assessed_va", "asked"),
    [
        (40, 4600, False),  # 20 + 13.043 = 33.043 A, below 40 A and below 60 A
        (30, 4600, True),  # above the cut-out, and below 60 A
        (100, 9200, False),  # 40 + 13.043 = 53.043 A, below both
        (100, 11_500, True),  # 50 + 13.043 = 63.043 A, above 60 A and below the cut-out
    ],
)
def test_the_operator_is_asked_first_above_the_smaller_of_two(cutout, assessed_va, asked):
    loads = {"assessed_demand_va": assessed_va, "items": [HEAT_PUMP]}
    content = file(unit(), supply={"cutout_a": cutout, "looped": False}, loads=loads)
    assert (("inform", "load-notice", "L1") in added(content)) is asked


def test_what_can_be_turned_down_counts_for_the_notice():
    # 30 A and a charge point of 32 A that can be turned down: 62 A, above 60 A.
    loads = {"assessed_demand_va": 6900, "items": [CHARGER]}
    content = file(unit(), supply={"cutout_a": 100, "looped": False}, loads=loads)
    assert ("inform", "load-notice", "L1") in added(content)


def test_a_full_cutout_leaves_nothing_for_an_import_limit():
    # 18,400 VA at 230 V are the 80 A of the cut-out: no charging could be let in beside them.
    loads = {"assessed_demand_va": 18_400, "items": [CHARGER]}
    found = check(file(unit(), supply={"cutout_a": 80}, loads=loads), "import-limit")
    said = " ".join(found.workings)
    assert "No import limit answers this" in said
    assert "is needed" not in said


def test_an_import_limit_holds_nothing_that_nobody_controls():
    # 100 A of ordinary demand stay above the cut-out; a limit turns the charger down alone.
    loads = {"assessed_demand_va": 23_000, "items": [CHARGER]}
    limits = {"import": {"value": 80_000, "basis": "ma_per_phase", "type_tested": True}}
    content = file(unit(), supply={"cutout_a": 80}, loads=loads, limits=limits)
    found = check(content, "import-limit")
    assert (found.value, found.result) == (Decimal(100), "over")
