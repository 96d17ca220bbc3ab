"""Sites that nobody draws up, and the findings that say so: never a traceback, never a guess."""

import pytest

from connections.facts.canonical import canonical
from connections.facts.site import LARGEST
from connections.rules.writing import write_decision
from tests.site_files import ALL, L2, cells, decided, decision, found, unit


def test_a_phase_that_the_supply_has_not_stops_the_site():
    answer = decided(unit("a", phases=L2))
    assert answer.stops == {("phase-not-on-supply", "a")}
    made = write_decision(answer)
    assert made.per_phase_ma == {"L1": 0}
    assert made.total_w == 3680  # what is connected still counts
    told = next(f for f in made.findings if f.id == "phase-not-on-supply")
    assert told.values == {"unit": "a", "phases": ["L2"], "supply": ["L1"]}


def test_a_missing_phase_hides_nothing_from_the_procedure():
    assert decided(unit("a", 9000, phases=L2)).procedure == "g99-short"


@pytest.mark.parametrize("part", ["arrays", "storage"])
def test_panels_and_cells_behind_an_inverter_that_is_not_there(part):
    answer = decided(unit("a"), **{part: [{"unit_id": "inv-9"}]})  # type: ignore[arg-type]
    assert answer.stops == {("behind-nothing", f"{part}[0]")}
    told = next(f for f in write_decision(answer).findings if f.id == "behind-nothing")
    assert "inv-9, which is not there" in told.sentence


def test_the_largest_numbers_are_decided_exactly():
    answer = decision(unit("a", LARGEST, phases=ALL, quantity=LARGEST), phases=3)
    assert answer.procedure.key == "beyond"
    assert answer.total_w == 10**18
    assert answer.per_phase_exact["L1"] == (10**20, 69)
    assert canonical(answer)


def test_the_smallest_numbers_are_decided_exactly():
    answer = decision(unit("a", 1, phases=ALL), phases=3)
    assert answer.procedure.key == "g98-single"
    # 1 / 690 A = 1000 / 690 mA = 100 / 69 mA.
    assert answer.per_phase_exact["L1"] == (100, 69)
    assert answer.modules[0].size_class == "below A"


@pytest.mark.parametrize(
    "facts",
    [
        {"design_w": LARGEST},
        {"rated_ma": LARGEST},
        {"rated_va": LARGEST},
        {"q_var": -LARGEST},
        {"quantity": LARGEST},
        {"commissioned_on": "0001-01-01", "status": "existing"},
        {"commissioned_on": "9999-12-31", "status": "existing"},
        {"planned_on": "9999-12-31"},
    ],
)
def test_absurd_facts_are_decided_and_written(facts):
    made = decision(unit("a", **facts))
    assert made.procedure.key != "undetermined"
    assert canonical(made)


@pytest.mark.parametrize(
    "site",
    [
        {"limits": {"export": {"value": LARGEST, "basis": "w_total", "type_tested": True}}},
        {"limits": {"export": {"value": LARGEST, "basis": "ma_per_phase", "type_tested": True}}},
        {"caps": [{"on": "installed", "value": 0, "basis": "w_total"}]},
        {"supply": {"export_capacity_va": LARGEST, "nominal_v": LARGEST}},
        {"nearby": {"premises": LARGEST}},
        {"arrays": [{"unit_id": "a", "azimuth_deg": LARGEST, "peak_w": LARGEST}] * 50},
    ],
)
def test_absurd_sites_are_decided_and_written(site):
    assert canonical(decision(unit("a"), **site))


def test_a_site_from_which_everything_goes():
    answer = decided(unit("a", status="removed"), cells("b", status="removed"))
    made = write_decision(answer)
    assert answer.procedure == "nothing-parallel"
    assert found(answer, "taken-out") == [("inform", "a"), ("inform", "b")]
    assert (made.total_w, made.modules) == (0, ())
    assert made.per_phase_ma == {"L1": 0}


def test_only_switched_plant_is_nothing_in_parallel():
    answer = decided(unit("a", 20_000, operating_mode="switched"))
    assert answer.procedure == "nothing-parallel"
    assert answer.steps == ()  # nothing that ran in parallel goes, so nobody is told
    assert found(answer, "supply-cap") == []


def test_a_thousand_lines_are_decided():
    made = decision(*[unit(f"u{i}", 3) for i in range(1000)])
    assert made.total_w == 3000
    assert made.procedure.key == "g98-single"
