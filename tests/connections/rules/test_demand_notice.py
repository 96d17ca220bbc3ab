"""The notice of demand: what is told of charge points, heat pumps and charging, and when.

Public notice of the networks' trade association (secondary): up to 60 A and inside the cut-out a
home tells the operator afterwards, within 28 days; above either, on a looped service, or where the
cut-out is not known, it asks first. Currents at 230 V: a heat pump of 3 kW takes 13.043 A, a charge
point of 7.36 kW 32 A, cells that charge with 3.68 kW 16 A.
"""

from typing import Any

import pytest

from connections.facts.decision import Decision, Step
from connections.pack.build import kind_of
from connections.rules.decide import decide
from connections.rules.engineering import with_checks
from connections.rules.writing import write_decision
from tests.connections.rules.editions import book_of
from tests.site_files import ALL, ON, book, cells, limit, site, unit

PUMP = {"name": "heat pump", "w": 3000}
CHARGER = {"name": "charge point", "w": 7360, "controllable": True}
CHARGES = [{"unit_id": "bat-1", "charge_w": 3680, "charges_from_grid": True}]


def decision(*units: dict[str, Any], area: str = "gb-14", **facts: Any) -> Decision:
    """A decision with its checks, on a supply of 100 A that is not looped unless said otherwise."""
    supply = {"cutout_a": 100, "looped": False, **facts.pop("supply", {})}
    made = site(*units, supply=supply, **facts)
    return write_decision(with_checks(decide(made, book(area))))


def loads(amps: int | None, *items: dict[str, Any], va: int = 0) -> dict[str, Any]:
    """Ordinary demand of so many amps and VA on one phase, and large loads."""
    return {"assessed_demand_va": None if amps is None else amps * 230 + va, "items": list(items)}


def notices(answer: Decision) -> list[Step]:
    return [step for step in answer.steps if step.what == "demand-notice"]


def when(answer: Decision) -> list[str]:
    return [step.when for step in notices(answer)]


BEFORE, AFTER = ["before-work"], ["after-commissioning"]


@pytest.mark.parametrize(
    ("said", "supply", "told"),
    [
        (loads(40, PUMP), {}, AFTER),  # 53.043 A
        (loads(47, PUMP), {}, BEFORE),  # 60.043 A
        (loads(28, CHARGER), {}, AFTER),  # 60 A: not above
        (loads(28, CHARGER, va=1), {}, BEFORE),  # 6441 VA: 28.004 A + 32 A
        (loads(8, CHARGER), {"cutout_a": 40}, AFTER),  # 40 A: not above the cut-out
        (loads(9, CHARGER), {"cutout_a": 40}, BEFORE),  # 41 A
        (loads(10, PUMP), {"looped": True}, BEFORE),
        (loads(10, PUMP), {"looped": None}, BEFORE),
        (loads(10, PUMP), {"cutout_a": None}, BEFORE),
        (loads(None, PUMP), {}, BEFORE),
        (loads(10, {"name": "heat pump", "w": None}), {}, BEFORE),
        (loads(90), {}, []),  # neither of the loads that are told of
    ],
)
def test_charge_points_and_heat_pumps(said, supply, told):
    assert when(decision(unit(), loads=said, supply=supply)) == told


@pytest.mark.parametrize(
    ("amps", "charging", "status", "told"),
    [
        (45, CHARGES, "proposed", BEFORE),  # 45 A + 16 A
        (44, CHARGES, "proposed", []),  # 60 A: not above; the generation's own papers tell of it
        (45, CHARGES, "existing", []),
        (45, [{"unit_id": "bat-1", "charges_from_grid": False}], "proposed", []),
        # What is not known adds nothing here, or every battery would be applied for as a load.
        (None, CHARGES, "proposed", []),
    ],
)
def test_charging_alone(amps, charging, status, told):
    dated = {"commissioned_on": "2021-05-01"} if status == "existing" else {}
    plant = cells("bat-1", 3680, status=status, **dated)
    assert when(decision(plant, storage=charging, loads=loads(amps))) == told


@pytest.mark.parametrize(("status", "told"), [("proposed", AFTER), (None, AFTER), ("existing", [])])
def test_only_new_loads_are_told_of(status, told):
    assert when(decision(unit(), loads=loads(10, {**PUMP, "status": status}))) == told


def test_loads_that_are_there_count_beside_charging_that_is_new():
    # 30 A + 32 A = 62 A with the charge point that is there; 16 A of charging make it 78 A.
    there = {**CHARGER, "status": "existing"}
    assert when(decision(unit(), loads=loads(30, there))) == []
    both = decision(cells("bat-1", 3680), storage=CHARGES, loads=loads(30, there))
    assert when(both) == BEFORE


def test_charging_and_a_charge_point_count_together():
    # 20 A + 32 A = 52 A; with 16 A of charging 68 A.
    assert when(decision(unit(), loads=loads(20, CHARGER))) == AFTER
    both = decision(cells("bat-1", 3680), storage=CHARGES, loads=loads(20, CHARGER))
    assert when(both) == BEFORE


def test_the_steps_name_form_days_and_source():
    [notice] = notices(decision(unit(), loads=loads(40, PUMP)))
    assert notice.limit is not None
    assert (notice.limit.n, notice.limit.unit, notice.limit.from_) == (28, "days", "commissioning")
    assert (notice.wait, notice.certainty) == (False, "secondary")
    [application] = notices(decision(unit(), loads=loads(47, PUMP)))
    assert (application.wait, application.limit) == (True, None)
    assert notice.form == application.form != ""
    told = "Networks' trade association, pages on vehicle charging points and heat pumps"
    assert application.sources == notice.sources == (told,)


def test_one_operator_wants_it_on_the_day():
    # Engineering design standard of London, South East and Eastern England, section 10.
    [notice] = notices(decision(unit(), area="gb-12", loads=loads(40, PUMP)))
    assert notice.limit is not None
    assert notice.limit.n == 0


@pytest.mark.parametrize(
    ("supply", "item", "because"),
    [
        ({"cutout_a": None}, PUMP, "the rating of the cut-out is not known."),
        ({"looped": None}, PUMP, "whether the service is looped is not known."),
        (
            {"looped": None},
            {"name": "heat pump", "w": None},
            "the power of heat pump and whether the service is looped are not known.",
        ),
    ],
)
def test_what_is_not_known_is_read_strictly_and_said(supply, item, because):
    answer = decision(unit(), loads=loads(10, item), supply=supply)
    [found] = [each for each in answer.findings if each.id == "load-notice"]
    assert found.severity == "inform"
    assert found.sentence == (
        f"Before the work the network operator is asked about the demand on L1: {because}"
    )
    assert answer.procedure.key == "g98-single"


@pytest.mark.parametrize(
    ("units", "facts", "key"),
    [
        ([unit()], {}, "g98-single"),
        ([unit()], {"nearby": {"premises": 1}}, "g98-several"),
        ([unit(standard="G99")], {}, "sgi-1"),
        ([unit("a", 2990), unit("b", 2990)], {"limits": limit(16_000)}, "sgi-2"),
        ([unit("a", 5000)], {}, "sgi-3"),
        ([unit("a", 9000)], {}, "g99-short"),
        ([unit("a", 60_000, phases=ALL)], {"phases": 3}, "g99-full-a"),
        ([unit("a", 1_000_000, phases=ALL)], {"phases": 3}, "g99-full-b"),
        (
            [unit("a", status="existing", commissioned_on="2021-05-01")],
            {"arrays": [{"unit_id": "a", "status": "proposed", "peak_w": 1000}]},
            "dc-side",
        ),
        ([unit("a", status="removed")], {}, "nothing-parallel"),
        (
            [unit("a", 800, plugged_in=True)],
            {"arrays": [{"unit_id": "a", "peak_w": 800, "panels": 2, "strings": 1}]},
            "plug-in",
        ),
    ],
)
def test_it_comes_with_every_outcome_of_generation(units, facts, key):
    three = {"phases": ALL} if facts.get("phases") == 3 else {}
    answer = decision(*units, loads=loads(10, {**PUMP, **three}), **facts)
    assert (answer.procedure.key, when(answer)) == (key, AFTER)


def test_a_notice_of_demand_makes_no_application_of_a_notification():
    assert kind_of(decision(unit(), loads=loads(47, PUMP))) == "notification"


def test_a_rulebook_without_the_rule_has_no_such_step():
    made = site(unit(standard="G98/NI"), loads=loads(47, PUMP))
    answer = write_decision(decide(made, book_of("northern_ireland", ON)))
    assert notices(answer) == []
