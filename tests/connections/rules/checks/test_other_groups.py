"""Balance, fault level, service, quality, protection and DC; arithmetic beside each."""

from decimal import Decimal
from typing import Any

import pytest

from tests.connections.rules.checks.checking import added, check, checks, sentences
from tests.site_files import ALL, L2, cells, file, limit, unit

THREE = [
    # 3.68 kW on L1, 5 kW on L2, 10 kW on all: 7.0133, 8.3333, 3.3333 kVA a phase
    unit("a", 3680),
    unit("b", 5000, phases=L2),
    unit("c", 10_000, phases=ALL),
]


# --- balance and neutral


def test_the_neutral_of_three_phases():
    # All together root(16^2 + 21.739^2 - 16 x 21.739) = 19.513 A; the 5 kW alone are worse.
    found = check(file(*THREE, phases=3, supply={"cutout_a": 100}), "neutral-current")
    assert "All together: neutral 19.513 A" in found.workings
    assert found.value == Decimal("21.740")
    assert found.result == "keeps"
    assert found.plot is not None


def test_export_and_import_at_once_are_worse():
    plant = [unit("a", 3680), cells("b", 3680, phases=L2)]
    parts = [{"unit_id": "b", "charge_w": 3680, "charges_from_grid": True}]
    found = check(file(*plant, phases=3, storage=parts, supply={"cutout_a": 60}), "neutral-current")
    # a sends 16 A out on L1 while b takes 16 A in on L2: root(256 + 256 + 256) = 27.713 A.
    assert found.value == Decimal("27.713")
    assert any(line.startswith("storage alone") for line in found.workings)


def test_single_phase_supplies_have_no_balance():
    assert {one.group for one in checks(file())} >= {"voltage", "service"}
    assert "balance" not in {one.group for one in checks(file())}


def test_the_balance_of_the_voltages():
    # The loop of 0.4717 ohm, all taken as resistance, 0.4 of it the neutral's. On L1 alone the
    # current is P / V with V = (E + sqrt(E^2 + 4 P R)) / 2; the neutral's drop is the same on each
    # phase and cancels, so negative over positive sequence is I Rp / (3 E + I Rp).
    supply = {"line_neutral_uohm": 471_700}
    found = check(file(unit(), phases=3, supply=supply), "voltage-unbalance")
    e = 400 / 3**0.5
    drop = 0.6 * 0.4717 * 3680 / ((e + (e**2 + 4 * 3680 * 0.4717) ** 0.5) / 2)
    assert float(found.value or 0) == pytest.approx(100 * drop / (3 * e + drop), abs=2e-3)
    assert (found.limit, found.result) == (Decimal("1.3"), "keeps")
    over = check(file(unit(rated_w=8000), phases=3, supply=supply), "voltage-unbalance")
    assert over.result == "over"


# --- fault level


@pytest.mark.parametrize(
    # k 1.2: one unit of 16 A adds 19.2 A, 17 kVA on three phases at 230 V 1.2 x 24.638 A, and both
    # on L1 1.2 x 40.638 A.
    ("plant", "phases", "adds"),
    [
        ([unit()], 1, "19.200 A"),
        ([unit(rated_w=17_000, phases=ALL)], 3, "29.565 A"),
        ([unit(), unit("inv-2", rated_w=17_000, phases=ALL)], 3, "48.765 A"),
    ],
)
def test_what_inverters_add(plant, phases, adds):
    found = check(file(*plant, phases=phases), "fault-level")
    assert any(adds in line for line in found.workings)


def test_the_largest_current_against_the_declared_one():
    content = file(supply={"prospective_fault_a": 2000})
    found = check(content, "fault-level")
    # 2000 + 19.2 A, rounded outwards, said in one line and without a margin.
    assert (found.value, found.limit, found.margin) == (Decimal(2020), None, None)
    assert "2000 A and 19.200 A: 2020 A of up to 16000 A." in found.workings
    measured = {"prospective_fault_a": 24_990, "fault_measured": True}
    three = check(file(phases=3, supply=measured), "fault-level")
    assert (three.limit, three.result) == (Decimal(25_000), "over")


@pytest.mark.parametrize("facts", [{}, {"fault_measured": False}])
def test_a_declared_current_is_not_above_itself(facts):
    content = file(supply={"prospective_fault_a": 16_000, **facts})
    assert check(content, "fault-level").result == "listed"


def test_a_device_that_breaks_less_than_flows():
    device = {"kind": "circuit-breaker", "serves": "inv-1", "rating_a": 20, "breaking_a": 6000}
    said = {"prospective_fault_a": 2000}
    assert check(file(protection=[device], supply=said), "breaking-capacity").result == "keeps"
    # 6500 A: too much where it was measured; as a declared figure it proves nothing.
    said = {"prospective_fault_a": 6500}
    for measured, result in ((True, "over"), (False, "missing"), (None, "missing")):
        content = file(protection=[device], supply={**said, "fault_measured": measured})
        assert check(content, "breaking-capacity").result == result


def test_six_kiloamps_in_a_house_with_a_declared_sixteen():
    device = {"kind": "circuit-breaker", "serves": "inv-1", "rating_a": 20, "breaking_a": 6000}
    declared = check(file(protection=[device]), "breaking-capacity")
    assert declared.result == "missing"  # the declared 16 kA stands in, shown as assumed
    assert "the prospective fault current, measured, or the conditional" in declared.needs[0]
    assert ("assumed", "16000 A") in {(one.origin, one.value) for one in declared.inputs}
    # A consumer unit of BS EN 61439-3 with 16 kA behind the cut-out's fuse takes its devices along.
    for conditional_a, result in ((16_000, "keeps"), (10_000, "missing")):
        boards = [{"id": "consumer unit", "conditional_a": conditional_a}]
        content = file(protection=[device], boards=boards)
        assert check(content, "breaking-capacity", "consumer unit").result == result


def test_the_breaking_capacity_of_every_board_is_asked_for():
    boards = [{"id": "garage", "rating_a": 63}, {"id": "consumer unit"}]
    plant = [unit("a", 3000), unit("b", 3000, feeds_from="garage")]
    devices = [
        {"kind": "circuit-breaker", "serves": "a", "rating_a": 16, "breaking_a": 6000},
        {"kind": "circuit-breaker", "serves": "b", "rating_a": 16},
    ]
    said = {"prospective_fault_a": 3000, "fault_measured": True}
    found = {
        one.subject: one
        for one in checks(file(*plant, boards=boards, protection=devices, supply=said))
        if one.id == "breaking-capacity"
    }
    assert {name: one.result for name, one in found.items()} == {
        "consumer unit": "keeps",
        "garage": "missing",
    }
    assert "every device at garage" in found["garage"].needs[0]
    # 7 kA at the origin says nothing of a board at the end of a cable.
    devices[1]["breaking_a"] = 6000
    content = file(
        *plant, boards=boards, protection=devices, supply=said | {"prospective_fault_a": 7000}
    )
    assert check(content, "breaking-capacity", "consumer unit").result == "over"
    assert check(content, "breaking-capacity", "garage").result == "missing"


@pytest.mark.parametrize(
    # 0.2 ohm and 1150 A meet at 230 V; 30 % apart are 0.26 ohm at 1150 A, 299 V.
    ("uohm", "fault_a", "result"),
    [(200_000, 1150, "keeps"), (260_000, 1150, "keeps"), (261_000, 1150, "over"),
     (200_000, 800, "over"), (350_000, 16_000, "over")],
)  # fmt: skip
def test_readings_that_contradict_each_other(uohm, fault_a, result):
    said = {"earthing": "TN-C-S", "loop_impedance_uohm": uohm, "prospective_fault_a": fault_a}
    both = {"loop_measured": True, "fault_measured": True}
    assert check(file(supply=said | both), "supply-readings").result == result
    # Declared figures contradict by design; the return of a TN-S loop is another conductor; and
    # the fault current of three phases is that between them.
    for other, phases in (
        ({"loop_measured": False}, 1), ({"fault_measured": None}, 1), ({"earthing": "TN-S"}, 1),
        ({}, 3),
    ):  # fmt: skip
        content = file(phases=phases, supply=said | both | other)
        assert "supply-readings" not in {one.id for one in checks(content)}


@pytest.mark.parametrize(
    ("earthing", "uohm", "result"),
    [
        ("TN-C-S", 340_000, "keeps"),
        ("TN-C-S", 350_000, "keeps"),
        ("TN-C-S", 360_000, "over"),
        ("TN-S", 790_000, "keeps"),
        ("TN-S", 900_000, "over"),
    ],
)
def test_the_loop_of_the_supply(earthing, uohm, result):
    content = file(supply={"earthing": earthing, "loop_impedance_uohm": uohm})
    found = check(content, "earth-loop")
    assert found.result == result
    smallest = {"TN-C-S": "624.29 A", "TN-S": "273.12 A"}[earthing]  # 0.95 x 230 / 0.35 and 0.8
    assert any(smallest in line for line in found.workings)


@pytest.mark.parametrize(
    # RA x IDn <= 50 V: up to 1666.7 ohm at 30 mA, 500 at 100, 166.67 at 300 and 100 at 500 mA.
    ("ohm", "trip_ma", "result"),
    [(90, None, "missing"), (90, 30, "keeps"), (1000, 30, "keeps"), (490, 100, "keeps"),
     (510, 100, "over"),
     (166, 300, "keeps"), (168, 300, "over"), (99, 500, "keeps"), (101, 500, "over")],
)  # fmt: skip
def test_residual_current_on_tt(ohm, trip_ma, result):
    device = {"kind": "RCD", "serves": "inv-1", "trip_ma": trip_ma, "rcd_type": "B"}
    content = file(
        supply={"earthing": "TT", "loop_impedance_uohm": ohm * 1_000_000}, protection=[device]
    )
    found = check(content, "rcd-touch")
    assert found.result == result
    assert trip_ma or "the residual current of the RCD of inv-1" in found.needs
    assert check(content, "electrode").result == ("keeps" if ohm < 200 else "over")


# --- generation against the service


def test_generation_against_the_cut_out():
    # Shares of three phases at 230 V: 30.493, 36.232 and 14.493 A.
    content = file(*THREE, phases=3, supply={"cutout_a": 60})
    found = {one.subject: one.value for one in checks(content) if one.id == "service-registered"}
    assert found == {"L1": Decimal("30.493"), "L2": Decimal("36.232"), "L3": Decimal("14.493")}


def test_a_limit_is_a_second_line_and_no_smaller_machine():
    plant = [unit("a", 9200), unit("b", 9200)]  # 80 A
    content = file(*plant, supply={"cutout_a": 60}, limits=limit(32_000, fail_safe=True))
    assert check(content, "service-registered").result == "over"
    second = check(content, "service-limited")
    assert (second.value, second.result) == (Decimal(32), "keeps")
    unsure = file(*plant, supply={"cutout_a": 60}, limits=limit(32_000))
    assert check(unsure, "service-limited").result == "listed"


def test_the_board_counts_too():
    boards = [{"id": "consumer unit", "rating_a": 63}]
    content = file(unit(rated_w=16_000), supply={"cutout_a": 100}, boards=boards)
    assert check(content, "service-registered").result == "keeps"  # 69.565 A
    assert check(content, "service-board").result == "over"


# --- power quality


@pytest.mark.parametrize(
    ("plant", "result"),
    [
        (unit(), "missing"),
        (unit(emission_standards=["BS EN IEC 61000-3-2:2019", "61000-3-3"]), "keeps"),
        (unit(emission_standards=["61000-3-2"]), "lacks"),
        (unit(rated_w=5000), "lacks"),
        (unit(rated_w=5000, emission_standards=None), "lacks"),
        (unit(rated_w=5000, emission_standards=["61000-3-12", "61000-3-11"]), "keeps"),
        (unit(rated_w=5000, emission_standards=["61000-3-2", "61000-3-3"]), "keeps"),
        (unit(rated_w=5000, status="existing", commissioned_on="2023-01-01"), "listed"),
        # 75 A is 51.96 kW on three phases.
        (unit(rated_w=60_000, phases=ALL, emission_standards=["61000-3-12"]), "lacks"),
    ],
)
def test_standards_on_harmonics_and_flicker(plant, result):
    content = file(plant, phases=len(plant["phases"]))
    assert check(content, "emissions").result == result


def test_not_declared_above_sixteen_amps_is_an_engineer_s_decision():
    assert ("decide", "check-emissions", "inv-1") in added(file(unit(rated_w=5000)))
    assert ("decide", "check-emissions", "inv-1") not in added(file(unit()))


def test_the_impedance_that_a_unit_allows():
    plant = unit(max_impedance_uohm=300_000)
    for loop, result in ((290_000, "keeps"), (310_000, "over")):
        content = file(plant, supply={"earthing": "TN-C-S", "loop_impedance_uohm": loop})
        assert check(content, "supply-impedance").result == result
    assert check(file(plant), "supply-impedance").result == "missing"
    # 48 ohm through an electrode says nothing of line and neutral.
    electrode = file(plant, supply={"earthing": "TT", "loop_impedance_uohm": 48_000_000})
    assert check(electrode, "supply-impedance").result == "missing"


@pytest.mark.parametrize(
    # 3 % of 230 V is 6.9 V; 3680 W on R: (V + root(V^2 + 4 P R)) / 2 - V.
    ("uohm", "result"),
    [(400_000, "keeps"), (450_000, "over")],
)
def test_the_step_when_all_trips(uohm, result):
    content = file(supply={"earthing": "TN-C-S", "loop_impedance_uohm": uohm})
    found = check(content, "voltage-step")
    rise = (230 + (230**2 + 4 * 3680 * uohm / 1e6) ** 0.5) / 2 - 230
    assert float(found.value or 0) == pytest.approx(rise / 230 * 100, abs=2e-3)
    assert found.result == result


@pytest.mark.parametrize(
    ("facts", "ohm"),
    [
        # As stated; the TN-C-S loop; else 230 V over a measured current, 230 / 1150 = 0.2.
        ({"earthing": "TN-S", "line_neutral_uohm": 300_000, "loop_impedance_uohm": 700_000}, 0.3),
        ({"earthing": "TN-C-S", "loop_impedance_uohm": 250_000}, 0.25),
        ({"earthing": "TN-S", "prospective_fault_a": 1150, "fault_measured": True}, 0.2),
        ({"earthing": "TT", "prospective_fault_a": 1150, "fault_measured": True}, 0.2),
        (
            {
                "earthing": "TN-C-S", "loop_impedance_uohm": 350_000, "loop_measured": False,
                "prospective_fault_a": 1150, "fault_measured": True,
            },
            0.2,
        ),
    ],
)  # fmt: skip
def test_which_loop_the_power_flows_through(facts, ohm):
    found = check(file(supply=facts), "voltage-step")
    rise = (230 + (230**2 + 4 * 3680 * ohm) ** 0.5) / 2 - 230
    assert float(found.value or 0) == pytest.approx(rise / 230 * 100, abs=2e-3)


def test_the_earth_loop_of_tn_s_raises_no_voltage():
    # 0.8 ohm to earth. IEC TR 60725 has 0.4 + j0.25 ohm of line and neutral: 3680 W on it raise
    # 6.1990 V, 2.6952 % (pandapower). That keeps 3 %; 5 kW do not, and prove nothing.
    tn_s = {"earthing": "TN-S", "loop_impedance_uohm": 800_000}
    found = check(file(supply=tn_s), "voltage-step")
    assert (found.value, found.result) == (Decimal("2.696"), "keeps")
    assert {one.where for one in found.inputs if one.origin == "assumed"} >= {
        "voltage_rise.reference_resistance", "voltage_rise.reference_reactance",
    }  # fmt: skip
    larger = check(file(unit(rated_w=5000), supply=tn_s), "voltage-step")
    assert larger.result == "missing"
    assert larger.needs[0].startswith("the loop of line and neutral, measured (at worst")
    # Three phases: their fault current says nothing of the neutral.
    three = file(phases=3, supply=tn_s | {"prospective_fault_a": 1150, "fault_measured": True})
    assert any(one.origin == "assumed" for one in check(three, "voltage-step").inputs)
    # An engineer's figure stands for the loop itself.
    own = [{"key": "voltage_rise.reference_resistance", "value": 500_000, "reason": "as told"}]
    assert (
        check(file(unit(rated_w=5000), supply=tn_s, overrides=own), "voltage-step").result == "over"
    )


# --- protection schedule

BREAKER: dict[str, Any] = {"kind": "circuit-breaker", "serves": "inv-1", "rating_a": 20}
ISOLATOR: dict[str, Any] = {"kind": "isolator", "serves": "inv-1", "rating_a": 20}


def lacking(content: dict[str, Any]) -> set[str]:
    return {
        one.subject.split(": ", 1)[1]
        for one in checks(content)
        if one.id == "schedule" and one.result == "lacks"
    }


def test_without_a_schedule_nothing_is_said_to_lack():
    assert check(file(), "schedule").result == "missing"
    assert [s for s, _, _ in added(file()) if s == "decide"] == []


def test_what_the_schedule_lacks():
    assert lacking(file(protection=[BREAKER, ISOLATOR])) == set()
    assert lacking(file(protection=[BREAKER])) == {"an isolator on the AC side"}
    assert lacking(file(protection=[ISOLATOR])) == {"an over-current device"}
    dc = {"kind": "DC isolator", "serves": "inv-1"}
    assert lacking(file(protection=[BREAKER, dc])) == {"an isolator on the AC side"}


def test_tt_calls_for_a_residual_current_device_in_the_way():
    tt = {"earthing": "TT"}
    assert lacking(file(protection=[BREAKER, ISOLATOR], supply=tt)) == {"a residual-current device"}
    for serves in ("inv-1", "consumer unit", "supply"):
        rcd = {"kind": "RCD", "serves": serves, "rcd_type": "B", "direction": "both ways"}
        assert lacking(file(protection=[BREAKER, ISOLATOR, rcd], supply=tt)) == set()
    elsewhere = {"kind": "RCD", "serves": "garage", "rcd_type": "B"}
    assert lacking(file(protection=[BREAKER, ISOLATOR, elsewhere], supply=tt))


def test_plant_that_can_island_calls_for_more():
    plant = unit(can_island=True)
    devices = [BREAKER, ISOLATOR]
    assert len(lacking(file(plant, protection=devices, supply={"earthing": "TN-C-S"}))) == 3
    more = [
        {"kind": "island changeover switch", "serves": "inv-1"},
        {"kind": "neutral-earth bond relay", "serves": "inv-1"},
        {"kind": "earth electrode", "serves": "consumer unit"},
    ]
    content = file(plant, protection=[*devices, *more], supply={"earthing": "TN-C-S"})
    assert lacking(content) == set()
    earthing = check(content, "island-earthing")
    assert any("may not rely on the distributor's earth" in line for line in earthing.workings)


@pytest.mark.parametrize(
    ("facts", "result"),
    [
        ({"rcd_type": "B", "direction": "both ways"}, "keeps"),
        ({"rcd_type": "type A", "direction": "both ways"}, "keeps"),
        ({"rcd_type": "AC", "direction": "both ways"}, "lacks"),
        ({"rcd_type": "B", "direction": "one way"}, "lacks"),
        ({"rcd_type": "B", "direction": "unidirectional"}, "lacks"),
        ({"rcd_type": "B"}, "missing"),
        ({"direction": "both ways"}, "missing"),
    ],
)
def test_type_and_direction_of_a_residual_current_device(facts, result):
    device = {"kind": "RCBO", "serves": "inv-1", "rating_a": 20, **facts}
    assert check(file(protection=[device, ISOLATOR]), "schedule-rcd").result == result


def test_a_charge_point_has_its_own():
    loads = {"items": [{"name": "charge point", "w": 7360}]}
    assert lacking(file(protection=[BREAKER, ISOLATOR], loads=loads)) == {
        "a residual-current device of its own"
    }
    rcd = {"kind": "RCBO", "serves": "charge point", "rating_a": 40}
    assert lacking(file(protection=[BREAKER, ISOLATOR, rcd], loads=loads)) == set()


def reading(value: int, delay_ms: int = 1000, stage: int = 1) -> dict[str, Any]:
    setting = {
        "function": "over-voltage", "stage": stage, "value": value, "unit": "mV",
        "delay_ms": delay_ms,
    }  # fmt: skip
    return {"kind": "interface protection", "serves": "inv-1", "settings": [setting]}


@pytest.mark.parametrize(
    # EREC G99 Issue 2, table 10.1: over-voltage 262.2 V after 1 s, 273.7 V after 0.5 s.
    ("device", "result"),
    [
        (reading(262_200), "keeps"),
        (reading(273_700, 500, 2), "keeps"),
        (reading(260_000), "lacks"),
        (reading(262_200, 500), "lacks"),
    ],
)
def test_readings_beside_the_settings(device, result):
    content = file(protection=[BREAKER, ISOLATOR, device])
    found = check(content, "settings")
    assert found.result == result
    assert any("not read yet" in line for line in found.workings)


def test_a_limitation_scheme_stated_in_full():
    full: dict[str, Any] = {"response_ms": 5000, "fail_safe": True}
    full |= {"measured_at": "supply", "ct_position": "meter tails"}
    assert check(file(limits=limit(16_000, **full)), "limitation-scheme").result == "keeps"
    assert check(file(limits=limit(16_000)), "limitation-scheme").result == "missing"
    unsafe = file(limits=limit(16_000, **(full | {"fail_safe": False})))
    assert check(unsafe, "limitation-scheme").result == "lacks"


@pytest.mark.parametrize(
    ("clamp", "result"),
    [
        # A clamp at the supply tells where the transformers sit, as the text does.
        ({"place": "grid"}, "keeps"),
        ({"place": "grid", "serves": "export-limit"}, "keeps"),
        # One elsewhere does not, nor one whose place is not known or that the other limit reads.
        ({"place": "grid", "serves": "import-limit"}, "missing"),
        ({"place": "pv", "serves": "export-limit"}, "missing"),
        ({"serves": "export-limit"}, "missing"),
    ],
)
def test_a_clamp_tells_where_a_scheme_measures(clamp, result):
    scheme = limit(16_000, response_ms=5000, fail_safe=True, measured_at="supply")
    content = file(limits=scheme, clamps=[{"id": "ct-9", "place": "load"}, {"id": "ct-1", **clamp}])
    found = check(content, "limitation-scheme")
    assert found.result == result
    assert any("at the supply (ct-1)" in str(each) for each in found.inputs) is (result == "keeps")


@pytest.mark.parametrize(
    ("response_ms", "proved", "result"),
    [
        # Operators' guidance on EREC G100: 60 s at most; on Issue 1, before 1 May 2023: 5 s.
        (60_000, None, "keeps"),
        (60_001, None, "lacks"),
        (120_000, None, "lacks"),
        (60_000, "2023-05-01", "keeps"),
        (5000, "2023-04-30", "keeps"),
        (5001, "2023-04-30", "lacks"),
    ],
)
@pytest.mark.parametrize("which", ["export", "import"])
def test_a_scheme_comes_back_within_its_longest_time(which, response_ms, proved, result):
    full: dict[str, Any] = {"fail_safe": True, "measured_at": "supply", "ct_position": "tails"}
    one = limit(16_000, **full, response_ms=response_ms, commissioned_on=proved)["export"]
    content = file(limits={which: one})
    assert check(content, "limitation-scheme").result == result
    told = ("decide", "check-limitation-scheme", f"{which} limit") in added(content)
    assert told is (result == "lacks")


def test_a_long_response_is_told_while_other_facts_are_missing():
    # The rest of the scheme is not known, and 120 s are above 60 s all the same.
    content = file(limits=limit(16_000, response_ms=120_000))
    assert any("120 s, and 60 s is the longest" in said for said in sentences(content))


def test_labels_follow_the_plant():
    pv = check(file(), "labels").workings
    battery = check(file(cells("bat-1")), "labels").workings
    assert "live parts in daylight" in pv
    assert "live parts in daylight" not in battery
    assert any(line.startswith("battery") for line in battery)


# --- DC side


@pytest.mark.parametrize(("peak", "result"), [(5500, "keeps"), (5501, "over"), (None, "missing")])
def test_panels_against_the_input(peak, result):
    content = file(unit(dc_input_w=5500), arrays=[{"unit_id": "inv-1", "peak_w": peak}])
    assert check(content, "dc-input").result == result


def test_cells_below_their_inverter_are_told():
    parts = [{"unit_id": "bat-1", "discharge_w": 3000}]
    assert check(file(cells("bat-1", 3680), storage=parts), "dc-source").result == "listed"
    enough = [{"unit_id": "bat-1", "discharge_w": 3680}]
    content = file(cells("bat-1", 3680), storage=enough)
    assert "dc-source" not in {one.id for one in checks(content)}
