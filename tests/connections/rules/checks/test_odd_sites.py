"""Whatever stands in a site file, checks say it in words: no traceback, no figure that is none."""

import datetime as dt
import json
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given

from connections.facts.site import Site
from connections.rulebook.load import load_books, resolve
from connections.rules.checks.basis.types import GROUPS, result_words
from connections.rules.decide import decide
from connections.rules.engineering import checks_of, with_checks
from connections.rules.writing import write_decision
from tests.connections.rules.any_site import sites
from tests.connections.rules.checks.checking import BOARD, added, cable, check, checks, sentences
from tests.site_files import ALL, DEMO, book, cells, file, limit, read, unit

FULL: dict[str, Any] = {
    "supply": {
        "cutout_a": 80, "earthing": "TN-C-S", "looped": False, "loop_impedance_uohm": 250_000,
        "prospective_fault_a": 900,
    },
    "network": {"assumed_voltage_mv": 242_000},
    "loads": {"assessed_demand_va": 9200, "items": [{"name": "charge point", "w": 7360}]},
    "protection": [{"kind": "RCBO", "serves": "inv-1", "rating_a": 20, "breaking_a": 6000}],
    "boards": [{"id": BOARD, "rating_a": 100}],
}  # fmt: skip


def full(*units: dict[str, Any], **facts: Any) -> dict[str, Any]:
    return file(*units, **(FULL | {"cables": [cable()]} | facts))


def supply(**facts: Any) -> dict[str, Any]:
    return {**FULL["supply"], **facts}


HUGE = 10**9
ODD = {
    "nothing known": file(unit(rated_w=None, quantity=None)),
    "zero everywhere": file(
        unit(rated_w=0, rated_va=0, rated_ma=0, dc_input_w=0, max_impedance_uohm=0),
        cables=[cable(metres=0)],
        supply=supply(loop_impedance_uohm=0, prospective_fault_a=0, cutout_a=0, nominal_v=0),
        boards=[{"id": BOARD, "rating_a": 0, "incoming_a": 0}],
    ),
    "a nominal of 1 V": full(supply=supply(nominal_v=1)),
    "everything huge": full(
        unit(rated_w=HUGE, rated_ma=HUGE, q_var=HUGE, standard="G99"),
        supply=supply(loop_impedance_uohm=HUGE, prospective_fault_a=HUGE, cutout_a=HUGE),
        network={"assumed_voltage_mv": HUGE},
        cables=[cable(metres=HUGE / 1000)],
        loads={"assessed_demand_va": HUGE, "items": [{"name": "x", "w": HUGE}]},
    ),
    "a million units": full(unit(quantity=HUGE)),
    "no such size": full(cables=[cable(size="7.3")]),
    "a size that is no number": full(cables=[cable(size="thick")]),
    "an empty size": full(cables=[cable(size="")]),
    "no such conductor": full(cables=[cable(material="steel")]),
    "an absurd length": full(cables=[cable(metres=900_000)]),
    "a length left out": full(cables=[cable() | {"length_mm": None}]),
    "hot past all cables": full(
        overrides=[{"key": "cable.temperature", "value": 900, "reason": "invented"}]
    ),
    "a power factor of nothing": full(
        overrides=[{"key": "voltage_rise.power_factor", "value": 0, "reason": "invented"}]
    ),
    "a neutral that is all of the loop": full(
        unit(phases=ALL),
        phases=3,
        overrides=[{"key": "voltage_rise.neutral_share", "value": 5000, "reason": "invented"}],
    ),
    "a phase that is not there": full(unit(phases=["L3"])),
    "a load on a phase that is not there": full(
        loads={"items": [{"name": "shower", "w": 9000, "phases": ["L2"]}]}
    ),
    "boards in a circle": full(
        unit(feeds_from="a"),
        cables=[
            {"from": "a", "to": "b", "length_mm": 1000, "csa_mm2": "6"},
            {"from": "b", "to": "a", "length_mm": 1000, "csa_mm2": "6"},
            cable() | {"from": "a"},
        ],
    ),
    "two cables to one unit": full(cables=[cable(), cable(metres=3)]),
    "a cable from a unit to itself": full(cables=[cable() | {"from": "inv-1"}]),
    "a cable to a board that nothing feeds": full(cables=[cable() | {"from": "garage"}]),
    "a cable of a unit that is not there": full(cables=[cable("ghost")]),
    "a cable of a unit that goes": full(
        unit("old", status="removed", commissioned_on="2012-01-01"), unit(), cables=[cable("old")]
    ),
    "a unit called like the board": full(
        unit(BOARD), cables=[cable(BOARD) | {"from": "meter"}]
    ),
    "split supply": full(unit(phases=["L1", "L2"]), unit("b", phases=["L2"]), phases=2),
    "a two-phase unit on three": full(unit(phases=["L1", "L2"]), phases=3),
    "nothing left": full(unit(status="removed", commissioned_on="2012-01-01")),
    "a machine": full(unit(kind="synchronous", source="chp", q_var=-4000)),
    "limits of nothing": full(limits={"export": {"value": 0, "basis": "w_total"},
                                      "import": {"value": None, "basis": "va_total"}}),
    "words for everything unknown": full(loads=None, network=None, boards=None, overrides=None),
    "silly readings": full(protection=[{
        "kind": "?", "serves": "inv-1", "rcd_type": "?", "direction": "", "trip_ma": 0,
        "settings": [{"function": "overvoltage", "value": 0, "unit": "bananas"}],
    }]),
    "strings of nothing": full(unit(dc_inputs=[]), arrays=[
        {"unit_id": "inv-1", "peak_w": 0, "strings": [], "panel": {}}]),
    "strings of absurd panels": full(
        unit(dc_inputs=[{"tracker": 1, "max_mv": 10**9, "window_min_mv": 1, "window_max_mv": 0,
                         "max_operating_ma": None, "max_short_circuit_ma": 1}]),
        arrays=[{"unit_id": "inv-1", "peak_w": None,
                 "strings": [{"in_series": 10**9, "in_parallel": 10**9}],
                 "panel": {"voc_mv": 10**9, "vmp_mv": 1, "isc_ma": 10**9, "imp_ma": 10**9,
                           "voc_ppm_k": -(10**9)}}],
        overrides=[{"key": "string.coldest", "value": -(10**9), "reason": "Absurd."}]),
}  # fmt: skip


@pytest.mark.parametrize("content", ODD.values(), ids=ODD)
def test_odd_sites_are_told_in_words(content):
    found = checks(content)
    assert {one.group for one in found} <= set(GROUPS)
    for one in found:
        said = [one.title, one.formula, one.says, result_words(one), *one.workings, *one.needs]
        said += [f"{shown.name} {shown.value} {shown.reason}" for shown in one.inputs]
        words = set(re.findall(r"\w+", " ".join(said)))
        assert not words & {"nan", "inf", "None", "UNSET", "Error"}, one
        if one.value is not None:
            assert one.value.is_finite()
        if one.result == "missing":
            assert one.needs, one
    sentences(content)


@pytest.mark.parametrize("content", ODD.values(), ids=ODD)
def test_odd_sites_have_one_finding_for_what_cannot_be_checked(content):
    assert [id for _, id, _ in added(content)].count("checks-not-possible") <= 1


def test_an_impossible_operating_point_is_an_engineer_s_to_look_at():
    # A thin cable of 900 m: charging 8 kW over it has no voltage.
    parts = [{"unit_id": "bat-1", "charge_w": 8000, "charges_from_grid": True}]
    content = file(cells("bat-1", 8000), cables=[cable("bat-1", 900, "1.5")], storage=parts)
    assert check(content, "charging-drop").result == "impossible"
    name = ("decide", "impossible-operating-point", "charging-drop/bat-1")
    assert name in added(content)
    assert any("beyond the most that they can carry" in said for said in sentences(content))


def test_what_is_missing_never_asks_an_engineer():
    for content in (file(), file(unit("a", 3000, phases=ALL), phases=3), file(cells())):
        assert {severity for severity, _, _ in added(content)} == {"inform"}
        assert [id for _, id, _ in added(content)] == ["checks-not-possible"]


def test_subjects_are_unique_so_that_verdicts_are():
    for path in DEMO:
        decided = with_checks(decide(read_file(path), book()))
        names = [(f.id, f.subject) for f in decided.findings if f.severity == "decide"]
        assert len(names) == len(set(names)), path.name


def read_file(path: Path) -> Site:
    return read(json.loads(path.read_bytes()))


@given(content=sites())
def test_any_site_is_checked(content):
    decided = decide(read(content), book())
    for one in checks_of(decided):
        assert one.title
        assert one.result != "missing" or one.needs
    write_decision(with_checks(decided))


def test_checks_change_nothing_of_the_decision_but_its_findings():
    for path in DEMO:
        decided = decide(read_file(path), book())
        more = with_checks(decided)
        assert more.procedure == decided.procedure
        assert more.steps == decided.steps
        # How many of the values used are unsure is counted over both.
        kept = [found for found in decided.findings if found.id != "uncertain-values"]
        assert all(found in more.findings for found in kept)
        assert more.stops == decided.stops


def test_a_verdict_s_basis_is_what_the_check_read():
    longer, same = full(cables=[cable(metres=26)]), full()
    basis = {
        n: next(
            f.basis
            for f in write_decision(with_checks(decide(read(content), book()))).findings
            if f.id == "check-voltage-rise"
        )
        for n, content in enumerate((full(), same, longer))
    }
    assert basis[0] == basis[1] != basis[2]


@pytest.mark.parametrize(("nation", "area"), [("northern_ireland", ""), ("ireland", "")])
def test_a_rulebook_without_limits_says_so(nation, area):
    held = resolve(load_books(), on=dt.date(2026, 11, 24), area=area, nation=nation)
    decided = decide(read(full()), held)
    found = [one for one in checks_of(decided) if one.id == "voltage-rise"]
    assert [one.result for one in found] == ["missing"]
    assert any("which it does not hold" in words for words in found[0].needs)
    assert [f.id for f in with_checks(decided).findings if f.id.startswith("check-voltage")] == []


def test_both_editions_of_great_britain_hold_the_same():
    keys = ("voltage_rise.", "cable.", "fault.", "quality.", "demand.", "schedule.")
    now = book("")
    then = resolve(load_books(), on=dt.date(2022, 6, 1), area="", nation="england")
    for key, value in now.values.items():
        if key.startswith(keys):
            assert then.values[key].amount == value.amount, key
            assert then.values[key].source == value.source, key


def test_a_limit_at_its_own_value_is_close():
    # 23 kW at 230 V is 100 A, the cut-out itself.
    content = file(unit(rated_w=16_100), unit("b", 6900), supply={"cutout_a": 100})
    found = check(content, "service-registered")
    assert (found.value, found.result) == (Decimal(100), "close")
    assert ("decide", "check-service-registered", "L1") in added(content)
    assert any("within one step of its limit" in said for said in sentences(content))


def test_limits_of_a_scheme_do_not_hide_the_first_line():
    content = file(unit(rated_w=16_100), limits=limit(16_000, fail_safe=True),
                   supply={"cutout_a": 60})  # fmt: skip
    assert ("decide", "check-service-registered", "L1") in added(content)
