"""What counts and what does not: each sentence of how the Great Britain table reads.

Source of the sentences: EREC G99 Issue 2, 6.2.2.1 to 6.2.2.4 and section 4, in the reading that
the format of the site file publishes; where a reading is ours it says so.
"""

from typing import Any

import pytest

from tests.site_files import ALL, L2, cells, decided, decision, found, limit, procedure, unit

OLD: dict[str, Any] = {"status": "existing", "commissioned_on": "2015-06-01"}

# counted: existing and proposed, times quantity, at the rating entered


@pytest.mark.parametrize(
    ("second", "total_w"),
    [
        (cells("b", 1000), 3000),
        (cells("b", 1000, status="proposed"), 3000),
        (cells("b", 1000, **OLD), 3000),
        (cells("b", 1000, status=None), 3000),  # unknown counts
        (cells("b", 1000, status="removed"), 2000),
        (cells("b", 1000, operating_mode="switched"), 2000),
        (cells("b", 1000, operating_mode="short-term-parallel"), 3000),
        (cells("b", 1000, operating_mode=None), 3000),
        (cells("b", 1000, quantity=3), 5000),
        (cells("b", 1000, quantity=0), 2000),
        (cells("b", 1000, limited_by="software", design_w=3000), 3000),
    ],
)
def test_what_is_counted(second, total_w):
    assert decision(unit("a", 2000), second).total_w == total_w


def test_a_smaller_array_does_not_lower_the_rating():
    small = decided(unit("a", 4000), arrays=[{"unit_id": "a", "peak_w": 3000}])
    assert small.procedure == "sgi-3"
    assert found(small, "array-smaller") == [("inform", "a")]
    enough = decided(unit("a", 4000), arrays=[{"unit_id": "a", "peak_w": 4000}])
    assert found(enough, "array-smaller") == []


def test_arrays_of_one_inverter_are_added_before_they_are_compared():
    two = [{"unit_id": "a", "peak_w": 2000, "azimuth_deg": way} for way in (90, 270)]
    assert found(decided(unit("a", 4000), arrays=two), "array-smaller") == []
    assert found(decided(unit("a", 4001), arrays=two), "array-smaller") == [("inform", "a")]


@pytest.mark.parametrize("peak", [0, None])
def test_an_array_of_unknown_size_is_not_smaller(peak):
    arrays = [{"unit_id": "a", "peak_w": peak}]
    assert found(decided(unit("a", 4000), arrays=arrays), "array-smaller") == []


@pytest.mark.parametrize(("exports", "told"), [(False, 1), (True, 0), (None, 0)])
def test_cells_that_do_not_export_count_in_full(exports, told):
    answer = decided(cells("b", 4000), storage=[{"unit_id": "b", "exports": exports}])
    assert answer.procedure == "sgi-3"
    assert len(found(answer, "does-not-export")) == told


def test_a_limit_does_not_lower_what_is_counted():
    answer = decision(unit("a", 5000), cells("b", 5000), limits=limit(0))
    assert answer.total_w == 10_000
    assert answer.per_phase_ma == {"L1": 43_478}
    assert (answer.export_per_phase_ma, answer.export_w) == ({"L1": 0}, 0)


# g98: any kind, long-term parallel only, none can island -------------------------------------


@pytest.mark.parametrize("kind", ["inverter", "synchronous", "asynchronous"])
def test_g98_takes_any_kind(kind):
    assert procedure(unit("a", kind=kind)) == "g98-single"


@pytest.mark.parametrize(
    ("kind", "wanted"),
    [
        ("inverter", "sgi-1"),
        ("synchronous", "g99-short"),
        ("asynchronous", "g99-short"),
        (None, "g99-short"),  # unknown: read as no inverter
    ],
)
def test_small_installations_take_inverters_alone(kind, wanted):
    assert procedure(unit("a", standard="G99", kind=kind)) == wanted


@pytest.mark.parametrize(
    ("mode", "wanted"),
    [
        ("long-term-parallel", "g98-single"),
        ("short-term-parallel", "g99-short"),
        (None, "g99-short"),
    ],
)
def test_nothing_is_connected_and_notified_but_long_term_parallel_plant(mode, wanted):
    assert procedure(unit("a", operating_mode=mode)) == wanted
    assert procedure(unit("a", standard="G99", operating_mode=mode)) == wanted.replace(
        "g98-single", "sgi-1"
    )


def test_short_term_parallel_plant_has_settings_of_its_own():
    answer = decision(unit("a", operating_mode="short-term-parallel"))
    told = next(f for f in answer.findings if f.id == "short-term-parallel")
    # EREC G99 Issue 2, Table 10.2: -10 % and +14 % of 230 V, 49.5 Hz and 50.5 Hz, each 0.5 s.
    for setting in ("undervoltage 207 V", "overvoltage 262.2 V", "49.5 Hz", "50.5 Hz"):
        assert setting in told.workings
    assert told.workings.count("within 500 ms") == 4
    assert any("Table 10.2" in source for source in told.sources)


@pytest.mark.parametrize(
    ("island", "wanted", "told"),
    [(False, "g98-single", []), (True, "sgi-1", ["decide"]), (None, "sgi-1", ["decide"])],
)
def test_plant_that_can_island_is_outside_g98(island, wanted, told):
    answer = decided(unit("a", can_island=island))
    assert answer.procedure == wanted
    assert [severity for severity, _ in found(answer, "can-island")] == told


@pytest.mark.parametrize("standard", ["G99", "G59", "other"])
def test_one_unit_of_another_standard_takes_the_site_out_of_g98(standard):
    assert procedure(unit("a", 1000), cells("b", 1000)) == "g98-single"
    assert procedure(unit("a", 1000), cells("b", 1000, standard=standard)) != "g98-single"


# voltage level


@pytest.mark.parametrize(
    ("watts", "wanted"),
    [(3000, "g99-full-a"), (1_000_000, "g99-full-b"), (10_000_000, "beyond")],
)
def test_high_voltage_starts_at_the_full_application(watts, wanted):
    assert (
        procedure(unit("a", watts, phases=ALL), phases=3, supply={"voltage_level": "HV"}) == wanted
    )


def test_a_level_given_as_unknown_is_read_as_low_voltage():
    answer = decided(unit(), supply={"voltage_level": None})
    assert answer.procedure == "g98-single"
    assert found(answer, "level-not-known") == [("decide", "supply")]
    assert found(decided(unit()), "level-not-known") == []


# full type tests and capped ratings


@pytest.mark.parametrize(("design_w", "told"), [(50_000, []), (50_001, [("decide", "a")])])
def test_full_ends_at_a_design_capacity_of_50_kw(design_w, told):
    answer = decided(unit("a", 40_000, phases=ALL, design_w=design_w), phases=3)
    assert found(answer, "full-test-too-large") == told
    forms = [step.form for step in answer.steps]
    assert ("A2-3" in forms) is bool(told)  # read as partly tested: its test form is sent


# design 21.7 A held to 16 A: counts as 16 A from `sgi-1` up.
@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"limited_by": "maker"}, []),
        ({"limited_by": "software"}, [("decide", "a")]),
        ({"limited_by": None}, [("decide", "a")]),
        ({"limited_by": "none"}, [("decide", "a")]),
        ({}, [("decide", "a")]),
    ],
)
def test_a_capped_rating_counts_and_is_told_unless_the_maker_caps_it(facts, told):
    answer = decided(unit("a", 3680, design_w=5000, **facts))
    assert answer.procedure == "sgi-1"
    assert found(answer, "software-cap") == told


def test_an_uncapped_rating_has_no_such_finding():
    assert (
        found(decided(unit("a", 3680, design_w=3680, limited_by="software")), "software-cap") == []
    )


@pytest.mark.parametrize(
    ("reference", "told"),
    [("invented 0001", []), ("", [("decide", "a")]), (None, [("decide", "a")])],
)
def test_full_without_a_reference_counts_with_a_finding(reference, told):
    answer = decided(unit("a", type_test_reference=reference))
    assert answer.procedure == "g98-single"
    assert found(answer, "no-register-reference") == told


# sums use the rulebook's voltage


@pytest.mark.parametrize(("volts", "told"), [(230, 0), (240, 1), (0, 1), (None, 1)])
def test_procedure_currents_are_at_230_v_whatever_the_supply(volts, told):
    answer = decided(unit(), supply={"nominal_v": volts})
    assert answer.procedure == "g98-single"
    assert answer.case.sums.phases["L1"] == (3680 * 6_000_000,) * 2
    assert len(found(answer, "nominal-voltage")) == told


# facts that never make a site undetermined


@pytest.mark.parametrize(
    ("units", "facts"),
    [
        ([unit("a", kind=None)], {}),
        ([unit("a", operating_mode=None)], {}),
        ([unit("a", can_island=None)], {}),
        ([unit("a", status=None)], {}),
        ([unit("a", limited_by=None, design_w=5000)], {}),
        ([unit("a", rated_ma=None, rated_va=None, type_test_reference=None)], {}),
        ([unit("a")], {"supply": {"cutout_a": None, "earthing": None, "looped": None}}),
        ([unit("a")], {"supply": {"voltage_level": None, "nominal_v": None}}),
        ([unit("a")], {"nearby": {"premises": None}}),
        ([unit("a", 5000), cells("b", 5000)], {"limits": limit(32_000, type_tested=None)}),
        ([unit("a", 5000), cells("b", 5000)], {"limits": limit(None)}),
        (
            [unit("a", 5000), cells("b", 5000)],
            {"limits": limit(10_000, "w_total", nets_phases=None)},
        ),
        ([unit("a", status="existing", commissioned_on=None)], {}),  # tested to G98
        ([unit("a", 60_000, status="existing", commissioned_on=None, source="storage")], {}),
    ],
)
def test_only_deciding_facts_make_a_site_undetermined(units, facts):
    assert decided(*units, **facts).procedure != "undetermined"


@pytest.mark.parametrize(
    ("changed", "path"),
    [
        ({"type_tested": None}, "units[0].standards[0].type_tested"),
        ({"standard": None}, "units[0].standards[0].standard"),
        ({"rated_w": None}, "units[0].rated_w"),
        ({"design_w": None}, "units[0].design_w"),
        ({"quantity": None}, "units[0].quantity"),
        ({**OLD, "standard": "G83", "commissioned_on": None}, "units[0].commissioned_on"),
        ({**OLD, "standard": "G59", "commissioned_on": None}, "units[0].commissioned_on"),
        # The day from which older tests no longer count, 27 April, lies within the month.
        ({**OLD, "standard": "G83", "commissioned_on": "2019-04"}, "units[0].commissioned_on"),
    ],
)
def test_deciding_facts_do(changed, path):
    answer = decided({**unit("a", 3000), **changed})
    assert answer.procedure == "undetermined"
    assert answer.case.possible.unknown == (path,)


def test_a_month_that_ends_before_the_day_is_in_time_and_a_later_one_is_not():
    old = {**unit("a", 3000), **OLD, "standard": "G83"}
    assert decided({**old, "commissioned_on": "2019-03"}).procedure == "g98-single"
    # 3 kW tested to what no longer counts: neither tested to G98 nor to G99.
    assert decided({**old, "commissioned_on": "2019-05"}).procedure == "g99-short"


def test_a_fact_that_is_open_but_changes_nothing_leaves_the_site_determined():
    # 9 kW on one phase is 39 A: above every limit but that of the short form, tested or not.
    answer = decision(unit("a", 9000, type_tested=None, standard=None))
    assert answer.procedure.key == "g99-short"
    assert answer.possible == ("g99-short",)
    assert answer.unknown == ()


# phases


# EREC G99 Issue 2, 7.6.3 speaks of single-phase units: 60 kW of three-phase ones is 20 kW a phase.
def test_three_phase_units_neither_raise_the_cap_of_a_phase_nor_count_for_it():
    wide = unit("w", 60_000, phases=ALL)
    assert found(decided(wide, phases=3), "phase-cap") == []
    assert found(decided(wide, unit("a", 17_000, phases=L2), phases=3), "phase-cap") == []
    over = decided(wide, unit("a", 17_001, phases=L2), phases=3)
    assert found(over, "phase-cap") == [("decide", "L2")]


def test_the_cap_of_a_phase_is_of_low_voltage():
    high = {"voltage_level": "HV"}
    assert found(decided(unit("a", 20_000), phases=3, supply=high), "phase-cap") == []
    assert found(decided(unit("a", 20_000), phases=3), "phase-cap") == [("decide", "L1")]


@pytest.mark.parametrize(("watts", "told"), [(17_000, []), (17_001, [("decide", "L2")])])
def test_more_than_17_kw_on_one_phase_is_told_and_changes_no_form(watts, told):
    answer = decided(unit("a", watts, phases=L2), phases=3)
    assert answer.procedure == "g99-short"
    assert found(answer, "phase-cap") == told


@pytest.mark.parametrize("phases", [1, 2, 3])
def test_the_decision_has_exactly_the_phases_of_the_supply(phases):
    answer = decision(unit(), phases=phases)
    assert list(answer.per_phase_ma) == ["L1", "L2", "L3"][:phases]
    assert list(answer.per_phase_exact) == ["L1", "L2", "L3"][:phases]
