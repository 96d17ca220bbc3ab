"""One design as it stands beside others.

Names of tests are statements of common practice (no source) where they compare shared with
separate inverters.
"""

from typing import Any

import pytest

from connections.remedies.designs import DesignFacts, design_facts
from connections.rules.decide import decide
from tests.site_files import ALL, book, cells, file, limit, read, unit


def facts(content: dict[str, Any], load_w: int = 500) -> DesignFacts:
    site = read(content)
    return design_facts(site, decide(site, book()), backup_load_w=load_w)


def store(unit_id: str, usable_wh: int | None = 10_000, **more: Any) -> dict[str, Any]:
    return {"unit_id": unit_id, "usable_wh": usable_wh, **more}


SEPARATE = file(
    unit("pv", 5000), cells("bat", 3680),
    arrays=[{"unit_id": "pv", "peak_w": 6000}], storage=[store("bat")],
)  # fmt: skip
SHARED = file(
    unit("hyb", 5000, source="pv+storage"),
    arrays=[{"unit_id": "hyb", "peak_w": 6000}], storage=[store("hyb")],
)  # fmt: skip


def test_separate_inverters_add_and_a_shared_one_is_the_cap():
    assert facts(SEPARATE).power_w == 8680  # 5000 + 3680
    assert facts(SHARED).power_w == 5000


def test_cells_that_give_less_than_their_inverter_are_told_as_they_are():
    content = file(cells("bat", 3680), storage=[store("bat", discharge_w=2500)])
    assert facts(content).cells_w == 2500
    assert facts(SEPARATE).cells_w == 3680
    assert facts(SEPARATE).sun_w == 5000


def test_amps_and_watts_a_phase():
    found = facts(file(unit("a", 6900, phases=ALL), unit("b", 2300), phases=3))
    # 2300 W a phase is 10 A; b adds 10 A on L1.
    assert found.per_phase_ma == {"L1": 20_000, "L2": 10_000, "L3": 10_000}
    assert found.per_phase_w == {"L1": 4600, "L2": 2300, "L3": 2300}


def test_a_shared_inverter_turns_the_suns_current_fewer_times():
    def conversions(found: DesignFacts, name: str) -> int:
        route = next(r for r in found.routes if r.name == name)
        return sum("current" in step for step in route.conversions)

    # From the sun through cells: AC-coupled it becomes AC, DC, AC; DC-coupled AC once.
    separate, shared = facts(SEPARATE), facts(SHARED)
    assert conversions(separate, "sun-to-cells-to-house") == 3
    ac = [
        step
        for r in shared.routes
        if r.name == "sun-to-cells-to-house"
        for step in r.conversions
        if "alternating" in step
    ]
    assert len(ac) == 1
    assert conversions(separate, "sun-to-house") == conversions(shared, "sun-to-house") == 1


def test_what_still_works_when_one_box_fails():
    without = {box.name: box.without for box in facts(SEPARATE).boxes}
    assert without["PV inverter pv"] == "the cells by bat"
    assert without["storage inverter bat"] == "the sun by pv"
    assert without["cells behind bat"] == "the sun"
    without = {box.name: box.without for box in facts(SHARED).boxes}
    assert without["hybrid inverter hyb"] == "nothing of sun and cells"


def test_one_of_many_micro_inverters_takes_only_its_own_panels_along():
    found = facts(file(unit("m", 345, quantity=10), cells("bat")))
    [micro] = [box for box in found.boxes if box.name.startswith("micro")]
    assert (micro.count, micro.without) == (10, "the other 9 units of m and all else")
    assert found.dc_runs.startswith("No")
    assert found.box_count == 11


def test_direct_current_runs_from_panels_to_a_string_inverter():
    assert facts(SEPARATE).dc_runs == "Yes: from the panels to pv."
    assert facts(SHARED).dc_runs == "Yes: from the panels to hyb."


BACKUP = [
    (file(unit("a")), 0, "None: there are no cells"),
    (SEPARATE, 0, "None: the plant stops"),
    (file(cells("b", can_island=None), storage=[store("b")]), None, "Not known"),
    (file(cells("b", can_island=True), storage=[store("b", None)]), None, "Not known"),
    (file(cells("b", can_island=True)), None, "Not known"),
    # 10 kWh at 400 W are 25 hours; at 800 W 12.5.
    (file(cells("b", can_island=True), storage=[store("b")]), 10_000, "10 kWh when full"),
]


@pytest.mark.parametrize(("content", "wh", "words"), BACKUP)
def test_back_up(content, wh, words):
    found = facts(content)
    assert found.backup_wh == wh
    assert found.backup.startswith(words)


def test_hours_of_back_up_are_at_the_load_given():
    content = file(cells("b", can_island=True), storage=[store("b")])
    assert "25 hours at a load of 0.4 kW" in facts(content, 400).backup
    assert "12.5 hours at a load of 0.8 kW" in facts(content, 800).backup


def test_the_customer_is_told_of_waiting_limits_and_failures():
    told = " ".join(facts({**SEPARATE, "limits": limit(16_000)}).told)
    assert "can't begin before" in told
    assert "Export is held to 16 A on each phase" in told
    assert "everything stops" in told
    told = " ".join(facts(SHARED).told)
    assert "together they give at most 5 kW" in told


def test_an_undetermined_design_says_so():
    found = facts(file(unit("a", None)))
    assert (found.title, found.power_w, found.export_w) == ("Not yet determined", None, None)
    assert set(found.per_phase_ma.values()) == {None}


def test_the_customer_is_told_of_another_supply():
    content = file(unit("a", 9000, phases=ALL), phases=3, supply={"now_phases": 1})
    told = facts(content)
    assert told.told[0] == (
        "Your supply has one phase now and would get three phases. The network operator is asked "
        "for that first; it has a price and takes a time of its own."
    )
    assert told.time.startswith("You must wait for the new supply; no date is given.")
    assert "No need to wait" not in told.time
    same = facts(file(unit("a", 9000, phases=ALL), phases=3, supply={"now_phases": 3}))
    assert not any("supply has" in said for said in same.told)
    assert "new supply" not in same.time
