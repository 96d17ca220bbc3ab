"""Costs of designs, worked by hand beside each case. Prices are invented."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from connections.facts.site import Array, Cable, Storage
from connections.prices.costing import amount_words, cost_of, money_words, share
from connections.prices.price_list import WORDS, Price, PriceList
from connections.rulebook.load import load_books, resolve
from connections.ways.asked import Asked
from connections.ways.making import ways_of

ON = dt.date(2026, 11, 30)
BOOK = resolve(load_books(), on=ON, area="", nation=None, local=())

SMALL = Price("pv-inverter", "Small inverter", 690_00, "zero", size=3_680)
LARGE = Price("pv-inverter", "Large inverter", 980_00, "zero", size=6_000)
BATTERY_INVERTER = Price("battery-inverter", "Battery inverter", 1_040_00, "zero", size=3_680)
HYBRID = Price("hybrid-inverter", "Hybrid", 1_580_00, "zero", size=6_000)
BATTERY = Price("battery", "Battery", 2_690_00, "zero", size=10_000)
PANEL = Price("panel", "Panel", 164_00, "zero", size=430)
LIMITER = Price("limiter", "Scheme", 310_00, "zero")
CABLE = Price("cable", "Cable", 6_40, "zero", usual=18_00)
LABOUR = Price("labour", "Labour", 540_00, "standard", usual=2_50)
SCAFFOLD = Price("scaffold", "Scaffold", 680_00, "standard", usual=1_00)
FEE = Price("operator-fee", "Operator’s fee", 250_00, "outside", usual=1_00)
TEST = Price("inspection-fee", "Inspection", 95_01, "standard", usual=1_00)
EVERY = (SMALL, LARGE, BATTERY_INVERTER, HYBRID, BATTERY, PANEL, LIMITER, CABLE, LABOUR, SCAFFOLD,
         FEE, TEST)  # fmt: skip
RATES = {"standard": 2_000, "zero": 0}


def way(key, **answers):
    site = next(w.site for w in ways_of(Asked(**answers), BOOK, ON) if w.key == key)
    assert site is not None
    return site


def cost(site, *prices, waits=True, amounts=None, rates=RATES):
    return cost_of(site, waits=waits, amounts=amounts or {}, prices=PriceList(prices, rates))


def lines(found):
    return {line.what: (line.amount, line.minor) for line in found.lines}


class TestLines:
    def test_separate_inverters_by_hand(self):
        found = cost(way("separate"), *EVERY)
        # 5.2 kWp / 430 Wp = 12.09: 13 panels; 4 kW needs the larger inverter.
        assert lines(found) == {
            "Large inverter": (100, 980_00),
            "Battery inverter": (100, 1_040_00),
            "Battery": (100, 2_690_00),
            "Panel": (13_00, 13 * 164_00),
            "Cable": (18_00, 115_20),  # 18 x 6.40
            "Labour": (2_50, 1_350_00),  # 2.5 x 540
            "Scaffold": (100, 680_00),
            "Operator’s fee": (100, 250_00),
            "Inspection": (100, 95_01),
        }
        # 980 + 1040 + 2690 + 2132 + 115.20 + 1350 + 680 + 250 + 95.01
        assert found.net_minor == 9_332_21
        # 20 % of 1350 + 680 + 95.01 = 2125.01 is 425.002, so 425.00.
        assert [(line.vat, line.minor) for line in found.vat] == [
            ("zero", 0),
            ("standard", 425_00),
        ]
        assert found.gross_minor == 9_757_21

    def test_a_hybrid_counts_once(self):
        found = lines(cost(way("hybrid"), *EVERY))
        assert found["Hybrid"] == (100, 1_580_00)
        assert not {"Large inverter", "Battery inverter"} & set(found)

    def test_micro_inverters_are_counted(self):
        micro = Price("pv-inverter", "Micro", 118_00, "zero", size=450)
        # 4 kW of 400 W each: ten.
        found = lines(cost(way("separate", roof_kind="micro"), *EVERY, micro))
        assert found["Micro"] == (10_00, 1_180_00)

    def test_the_scheme_stands_only_where_export_is_limited(self):
        assert lines(cost(way("limited"), *EVERY))["Scheme"] == (100, 310_00)
        assert "Scheme" not in lines(cost(way("separate"), *EVERY))

    def test_what_is_there_costs_nothing(self):
        before = lines(cost(way("separate"), *EVERY))
        after = lines(cost(way("separate", there_w=3_600, there_peak_w=4_000), *EVERY))
        assert after == before

    @pytest.mark.parametrize("waits", [False, None])
    def test_the_operators_fee_is_due_only_where_its_answer_is_waited_for(self, waits):
        found = cost(way("battery"), *EVERY, waits=waits)
        assert "Operator’s fee" not in lines(found)
        assert any("procedure is not known" in each for each in found.not_counted) is (
            waits is None
        )

    def test_a_model_of_the_catalogue_goes_before_its_size(self):
        site = way("hybrid")
        unit = structs.replace(site.units[0], maker="Invented Works", model="h4 ")
        own = Price("hybrid-inverter", "H4", 1_290_00, "zero", maker="INVENTED works", model="H4")
        found = lines(cost(structs.replace(site, units=(unit,)), *EVERY, own))
        assert found["H4"] == (100, 1_290_00)
        assert "Hybrid" not in found

    def test_counted_panels_are_taken_as_counted(self):
        site = way("separate")
        array = Array(unit_id=site.arrays[0].unit_id, peak_w=4_800, panels=12)
        small = Price("panel", "Panel of 400 Wp", 150_00, "zero", size=400)
        found = lines(cost(structs.replace(site, arrays=(array,)), *EVERY, small))
        assert found["Panel of 400 Wp"] == (12_00, 1_800_00)


class TestAmounts:
    def test_a_surveyed_length_goes_before_the_usual_one(self):
        site = way("battery")
        run = Cable(from_="board", to="bat-1", unit_id="bat-1", length_mm=7_200)
        other = structs.replace(run, unit_id="old-1", length_mm=90_000)
        # 7.2 m is 8 whole metres at 6.40; what belongs to no new unit is not bought.
        found = lines(cost(structs.replace(site, cables=(run, other)), *EVERY))
        assert found["Cable"] == (8_00, 51_20)

    def test_a_person_goes_before_both_and_may_say_none(self):
        amounts = {"Cable": 12_50, "Scaffold": 0}
        found = lines(cost(way("battery"), *EVERY, amounts=amounts))
        assert found["Cable"] == (12_50, 80_00)
        assert "Scaffold" not in found


class TestNotCounted:
    def test_everything_without_a_price_is_named(self):
        said = " ".join(cost(way("separate"), SMALL).not_counted)
        for what in (
            "An inverter of 4 kW",
            "An inverter of 3.6 kW",
            "A battery of 9.5 kWh",
            "Panels",
            "Cable",
            "Labour",
            "Scaffold",
            "Network operator’s fee",
            "Inspection fee",
        ):
            assert f"{what}: no price is entered." in said

    def test_a_battery_larger_than_any_price_has_none(self):
        found = cost(way("battery", battery_wh=10_001), *EVERY)
        assert "Battery" not in lines(found)
        assert "A battery of 10.001 kWh: no price is entered." in found.not_counted

    def test_vat_without_a_rate_is_said_and_not_taken_as_nothing(self):
        found = cost(way("separate"), *EVERY, rates={"zero": 0})
        assert "VAT at the standard rate: no rate is entered." in found.not_counted
        assert found.gross_minor == found.net_minor

    def test_an_inverter_that_goes_is_work_that_no_line_counts(self):
        site = way("replaced", there_w=3_600, there_peak_w=4_000)
        assert "Taking out an inverter of 3.6 kW." in cost(site, *EVERY).not_counted

    def test_cells_without_their_energy(self):
        site = structs.replace(way("battery"), storage=(Storage(unit_id="bat-1"),))
        found = cost(site, *EVERY)
        assert "A battery: its size is not known." in found.not_counted


@given(st.integers(0, 10**9), st.integers(0, 10_000), st.sampled_from([100, 10_000]))
def test_a_share_is_at_most_half_a_unit_out(amount, whole, of):
    assert 2 * abs(share(amount, whole, of) * of - amount * whole) <= of


@given(st.permutations(EVERY))
def test_the_order_of_the_list_changes_no_sum(prices):
    found = cost(way("limited"), *prices)
    assert found.gross_minor == cost(way("limited"), *EVERY).gross_minor


def test_every_kind_has_its_words():
    assert all(words.name and words.each for words in WORDS.values())


def test_words():
    # 250.05: two decimals; 12 whole.
    assert money_words(250_05) == "£250.05"
    assert money_words(-12_345_00) == "-£12,345"
    assert amount_words(cost(way("battery"), LABOUR).lines[0]) == "2.5 days"
