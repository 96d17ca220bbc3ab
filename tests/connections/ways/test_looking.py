"""Ways to go, with the arithmetic of each. Limits of EREC G98 and G99: 16, 32 and 60 A a phase at
230 V, so 3.68, 7.36 and 13.8 kW."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from connections.facts.defaults import quantity_of, registered_w
from connections.rulebook.load import load_books, resolve
from connections.rules.decide import decide
from connections.ways.asked import Asked
from connections.ways.looking import look, sweep, under_cap
from connections.ways.making import ways_of

ON = dt.date(2026, 11, 30)
BOOK = resolve(load_books(), on=ON, area="", nation=None, local=())


def seen(**answers):
    return {each.way.key: each for each in look(Asked(**answers), BOOK, ON)}


def facts(key, **answers):
    found = seen(**answers)[key].facts
    assert found is not None
    return found


class TestPower:
    # Common practice, no source: separate inverters add, a hybrid is capped by its rating.
    def test_separate_inverters_of_4_and_3_kw_give_7(self):
        assert facts("separate", pv_w=4000, battery_w=3000).power_w == 7000

    def test_a_hybrid_of_4_kw_gives_4(self):
        assert facts("hybrid", pv_w=4000, battery_w=3000, hybrid_w=4000).power_w == 4000

    def test_without_a_rating_the_hybrid_takes_the_larger(self):
        assert facts("hybrid", pv_w=4000, battery_w=5000).power_w == 5000

    def test_an_export_limit_lowers_no_sum(self):
        limited = facts("limited", pv_w=4000, battery_w=3000)
        # 7000 W / 230 V = 30.4348 A, rounded up to whole mA.
        assert limited.per_phase_ma["L1"] == 30_435
        assert limited.power_w == 7000
        # 16 A x 230 V
        assert limited.export_w == 3680


class TestProcedure:
    def test_one_battery_of_3680_w_is_notified(self):
        assert seen(battery_w=3680)["battery"].facts.title == "Connect and notify"

    def test_one_watt_more_is_asked_first(self):
        assert seen(battery_w=3681)["battery"].facts.title != "Connect and notify"

    def test_more_room_ends_at_16_a(self):
        room = seen(battery_w=3600)["battery"].room
        assert room.more_w == 3680 - 3600

    def test_three_phases_carry_three_times_as_much(self):
        # 11,040 W / 3 / 230 V = 16 A
        battery = seen(phases=3, battery_w=11_040)["battery"]
        assert battery.facts.title == "Connect and notify"
        assert battery.facts.per_phase_ma == {"L1": 16_000, "L2": 16_000, "L3": 16_000}
        assert battery.room.more_w == 0


class TestLeftOut:
    @pytest.mark.parametrize(
        ("answers", "left_out"),
        [
            ({}, {"replaced"}),
            ({"battery_wh": 0}, {"hybrid", "replaced", "battery"}),
            ({"panels_w": 0}, {"hybrid", "replaced", "battery"}),
            ({"there_w": 3600, "there_kind": "micro"}, {"replaced"}),
            ({"there_w": 3600, "panels_w": 0}, {"hybrid", "battery"}),
            (
                {"panels_w": 0, "battery_wh": 0},
                {"separate", "hybrid", "limited", "replaced", "battery"},
            ),
        ],
    )
    def test_each_says_why(self, answers, left_out):
        found = seen(**answers)
        assert {key for key, each in found.items() if each.facts is None} == left_out
        assert all(found[key].way.left_out for key in left_out)

    def test_an_old_inverter_that_goes_counts_no_more(self):
        replaced = facts("replaced", there_w=3600, there_peak_w=4000, panels_w=0, hybrid_w=5000)
        assert replaced.power_w == 5000

    def test_micro_inverters_share_the_rating(self):
        # 4000 W / 400 W = 10 of them
        site = next(w.site for w in ways_of(Asked(roof_kind="micro"), BOOK, ON) if w.site)
        assert (site.units[0].quantity, site.units[0].rated_w) == (10, 400)


class TestCaps:
    def test_a_limit_answers_a_cap_on_export(self):
        site = seen(pv_w=4000, battery_w=3000)["separate"].way.site
        assert under_cap(site, 6000, "export", BOOK).answer == "limit"
        assert under_cap(site, 7000, "export", BOOK).answer == "fits"

    def test_nothing_but_less_plant_answers_a_cap_on_capacity(self):
        site = seen(pv_w=4000, battery_w=3000)["limited"].way.site
        found = under_cap(site, 6000, "installed", BOOK)
        assert (found.answer, found.over_w) == ("no", 1000)

    def test_what_fits_under_a_cap_fits_under_a_higher_one(self):
        order = ("no", "limit", "fits")
        for way in ways_of(Asked(there_w=3600, there_peak_w=4000), BOOK, ON):
            for on in ("export", "installed") if way.site else ():
                assert way.site is not None
                answers = [order.index(each.answer) for each in sweep(way.site, on, BOOK)]
                assert answers == sorted(answers)


asked = st.builds(
    Asked,
    phases=st.sampled_from([1, 3]),
    there_w=st.sampled_from([0, 2500, 3680]),
    there_kind=st.sampled_from(["string", "micro"]),
    there_test=st.sampled_from(["G98", "G99", "G83", "none"]),
    panels_w=st.sampled_from([0, 5200]),
    roof_kind=st.sampled_from(["string", "micro"]),
    pv_w=st.integers(1, 20_000),
    battery_wh=st.sampled_from([0, 9500]),
    battery_w=st.integers(1, 20_000),
    backup=st.booleans(),
    heat_pump_w=st.sampled_from([0, 3000]),
    on_all_phases=st.booleans(),
)


@given(asked)
def test_every_way_is_decided_and_its_room_is_exact(answers):
    for each in look(answers, BOOK, ON):
        if each.facts is None:
            assert each.way.left_out
            continue
        site = each.way.site
        assert site is not None
        assert each.decided is not None
        assert each.facts.title == each.facts.title.strip() != ""
        if each.room is None or each.room.more_w is None:
            continue
        unit = site.units[-1]
        rated_w = registered_w(unit)
        assert rated_w is not None
        step = each.room.more_w // (quantity_of(unit) or 1)
        for more, stays in ((step, True), (step + 1, False)):
            larger = structs.replace(unit, rated_w=rated_w + more)
            changed = structs.replace(site, units=(*site.units[:-1], larger))
            assert (decide(changed, BOOK).procedure == each.decided.procedure) is stays
