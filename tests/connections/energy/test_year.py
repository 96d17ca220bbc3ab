"""A design's year: what it says, what it refuses, and what it shows."""

import json
import math

import msgspec
import numpy as np
import pytest
from msgspec.structs import replace

from connections.energy.efficiencies import Efficiencies
from connections.energy.energy_errors import EnergyError
from connections.energy.options import Options, Prices, Window
from connections.energy.plant import Cells, Plant, PvArray, PvInverter, StorageUnit
from connections.energy.weather.pv import dc_w_per_kwp
from connections.energy.weather.regions import region
from connections.energy.weather.sunshine import sun_of_weather, typical_sun, with_yield
from connections.energy.year import each_limit, energy_year
from tests.connections.energy.plain_inputs import level_load
from tests.connections.energy.weather_years import GREENSBORO, weather_year

PLAIN = Options(cases=False, finer=False)
KINDS = ("panels", "separate", "shared")
SUMMED = (
    "made", "on_site", "exported", "imported", "clipped", "lost", "used", "bought", "on_the_way",
)  # fmt: skip


@pytest.fixture(scope="module")
def years(plants, sun, use):
    return {kind: energy_year(plants[kind](), sun, use) for kind in KINDS}


@pytest.mark.parametrize("kind", KINDS)
def test_months_add_up_to_the_year(years, kind):
    year = years[kind]
    assert year.months[0].name == "January"
    for name in SUMMED:
        total = sum(getattr(month, name) for month in year.months)
        assert total == pytest.approx(getattr(year.figures, name)), name


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("options", [PLAIN, replace(PLAIN, cheap=Window(1320, 330))])
def test_what_is_made_is_used_exported_lost_on_the_way_or_left(plants, sun, use, kind, options):
    """Of the year and of each month; the window fills the cells in the last hours of the year."""
    year = energy_year(plants[kind](), sun, use, options)
    each = year.figures
    out = each.on_site + each.exported + each.on_the_way + each.left
    assert each.made + each.bought == pytest.approx(out)
    for month in year.months:
        out = month.on_site + month.exported + month.on_the_way + month.kept
        assert month.made + month.bought == pytest.approx(out), month.name
    assert sum(month.kept for month in year.months) == pytest.approx(each.left, abs=1e-6)
    if kind == "panels":
        assert each.on_the_way == pytest.approx(0, abs=1e-6)
        return
    assert each.on_the_way > 100
    assert (each.left > 1) is (options is not PLAIN)


@pytest.mark.parametrize("kind", KINDS)
def test_the_house_gets_what_it_uses(years, kind):
    figures = years[kind].figures
    assert figures.used == pytest.approx(4000)
    assert figures.direct + figures.from_cells + figures.imported == pytest.approx(4000)
    assert figures.potential == pytest.approx(figures.made + figures.clipped + figures.lost)
    assert figures.lost_percent == pytest.approx(100 * figures.lost / figures.potential)
    assert figures.most_exported_kw == pytest.approx(3.68)


def test_a_year_by_hand_without_cells(plants, use):
    """The hours of a weather year taken one by one, in plain numbers."""
    sun = sun_of_weather(weather_year(GREENSBORO))
    chosen = Options(step_minutes=60, efficiencies=Efficiencies(part_load=False), cases=False)
    found = energy_year(plants["panels"](), sun, level_load(4380), chosen).figures
    lost = exported = imported = 0.0
    for watts in dc_w_per_kwp(weather_year(GREENSBORO), 35, 180).tolist():
        over = min(6 * watts / 1000 * 0.96, 5.0) - 0.5
        imported += max(-over, 0.0)
        exported += min(max(over, 0.0), 3.68)
        lost += max(over - 3.68, 0.0)
    assert (found.lost, found.exported, found.imported) == pytest.approx((lost, exported, imported))
    # Computed apart from this room, kWh: 66.624, 6132.778, 2417.774.
    assert (lost, exported, imported) == pytest.approx((66.624, 6132.778, 2417.774), rel=1e-3)


@pytest.mark.parametrize("kind", KINDS)
def test_low_and_high_lie_around_the_year(years, kind):
    year = years[kind]
    for name in ("made", "dc", "exported", "lost", "on_site"):
        low, middle, high = (
            getattr(each, name) for each in (year.low.figures, year.figures, year.high.figures)
        )
        assert low < middle < high, name
    assert year.low.figures.imported > year.figures.imported > year.high.figures.imported
    # 0.95 x (1 - 0.18) / (1 - 0.140757) = 0.90661; 1.05 x 0.90 / 0.859243 = 1.09980.
    assert year.low.figures.dc / year.figures.dc == pytest.approx(0.90661, abs=1e-5)
    assert year.high.figures.dc / year.figures.dc == pytest.approx(1.09980, abs=1e-5)
    assert "our choice" in year.low.says


def test_what_half_hours_hid_is_told_in_figures(years):
    year = years["panels"]
    assert year.finer.figures.lost > year.figures.lost
    hidden = 100 * (1 - year.figures.lost / year.finer.figures.lost)
    assert f"show {hidden:.1f} % less" in year.finer.sentence
    assert "modelled, not measured" in year.finer.sentence
    assert any(year.finer.sentence in sentence for sentence in year.method)


def test_longer_steps_show_less_of_what_a_limit_takes(plants, sun, use):
    lost = [
        energy_year(
            plants["panels"](), sun, use, Options(step_minutes=step, cases=False, finer=False)
        ).figures.lost
        for step in (15, 30, 60)
    ]
    assert lost[0] > lost[1] > lost[2] > 0


def test_the_shortest_step_says_so_and_runs_nothing_finer(plants, sun, use):
    finer = energy_year(plants["panels"](), sun, use, Options(step_minutes=15, cases=False)).finer
    assert finer.figures is None
    assert "shortest step" in finer.sentence


def test_hourly_sun_cannot_be_run_finer_and_says_so(plants):
    sun = sun_of_weather(weather_year(GREENSBORO))
    finer = energy_year(plants["panels"](), sun, level_load(4000), Options(step_minutes=60)).finer
    assert finer.figures is None
    assert "known in steps of 60 minutes" in finer.sentence
    assert "3.9 % less" in finer.sentence


def test_the_two_days_are_those_of_the_sun(years):
    shown = {(year.summer.name, year.winter.name) for year in years.values()}
    assert len(shown) == 1
    summer, winter = next(iter(shown))
    assert summer.split()[1] in ("June", "July", "August")
    assert winter.split()[1] in ("December", "January", "February")
    year = years["shared"]
    for day in (year.summer, year.winter):
        assert len(day.hours) == len(day.sun_kw) == len(day.cells_kwh) == 48
        assert day.hours[0] == 0.25
        assert day.why
    # By the clock on the wall the summer sun is highest near one o'clock.
    brightest = year.summer.hours[int(np.argmax(year.summer.sun_kw))]
    assert 11.5 < brightest < 15


def test_the_sunniest_day_has_the_most_light(sun):
    from connections.energy.steps.sums import days_to_show

    summer, winter = days_to_show(sun.ghi_by_day())
    light = sun.ghi_by_day()
    assert light[summer] == light[151:243].max()
    cold = sorted([*light[:59], *light[334:]])
    assert light[winter] == cold[44]


def test_prices_turn_energy_into_money(plants, sun, use):
    night = Window(30, 330)
    prices = Prices(import_pence=25, export_pence=12, cheap_pence=8)
    year = energy_year(
        plants["separate"](), sun, use,
        Options(cases=False, finer=False, cheap=night, prices=prices),
    )  # fmt: skip
    assert year.money.import_cost is not None
    # At most all at 25 pence, at least all at 8.
    assert 0.08 * year.figures.imported < year.money.import_cost < 0.25 * year.figures.imported
    assert year.money.export_value == pytest.approx(0.12 * year.figures.exported)
    assert year.money.lost_value == pytest.approx(0.12 * year.figures.lost)


def test_each_case_has_its_money(plants, sun, use):
    """Pounds are kWh x pence / 100 in each of them."""
    prices = Prices(import_pence=25, export_pence=12)
    year = energy_year(plants["separate"](), sun, use, Options(finer=False, prices=prices))
    costs = []
    for case in (year.low, year, year.high):
        assert case is not None
        assert case.money.import_cost == pytest.approx(0.25 * case.figures.imported)
        assert case.money.export_value == pytest.approx(0.12 * case.figures.exported)
        assert case.money.lost_value == pytest.approx(0.12 * case.figures.lost)
        costs.append(case.money.import_cost or 0.0)
    assert costs == sorted(costs, reverse=True)


def test_a_cheap_price_holds_in_a_house_without_cells_too(plants, sun):
    """0.5 kW at every hour: 5 of 24 hours at 8 pence, 19 at 25, without sun at all (panels of 1 W).

    4380 kWh a year: 912.5 x 0.08 + 3467.5 x 0.25 = 939.88 pounds.
    """
    tiny = Plant(pv=(PvInverter("inv-1", 1, (PvArray(1, 35, 180),)),))
    prices = Prices(import_pence=25, cheap_pence=8)
    year = energy_year(
        tiny, sun, level_load(4380),
        Options(cases=False, finer=False, cheap=Window(30, 330), prices=prices),
    )  # fmt: skip
    assert year.money.import_cost == pytest.approx(939.88, abs=0.5)
    assert any("no cells; prices hold in them" in sentence for sentence in year.method)


@pytest.mark.parametrize(
    ("from_minute", "to_minute", "hours"),
    [(30, 330, 5), (1380, 300, 6), (1410, 30, 1), (720, 0, 12), (0, 1410, 23.5), (1, 0, 23.5)],
)
def test_hours_of_windows_across_midnight(plants, sun, from_minute, to_minute, hours):
    """Steps that begin inside it: 0.5 kW all year at 100 pence inside and nothing outside."""
    tiny = Plant(pv=(PvInverter("inv-1", 1, (PvArray(1, 35, 180),)),))
    year = energy_year(
        tiny, sun, level_load(4380),
        Options(
            cases=False, finer=False, cheap=Window(from_minute, to_minute),
            prices=Prices(import_pence=0, cheap_pence=100),
        ),
    )  # fmt: skip
    assert year.money.import_cost == pytest.approx(0.5 * hours * 365, abs=1.5)


def test_without_prices_nothing_is_said_of_money(years):
    money = years["shared"].money
    assert (money.import_cost, money.export_value, money.lost_value) == (None, None, None)


def test_what_is_lost_in_the_selling_window_is_worth_its_price(plants, sun):
    """Panels alone, nothing used, no export let out: all is lost. 10 pence a kWh, 30 in the window,
    so that what the window loses is worth thrice."""
    whole, window = (
        energy_year(
            plants["panels"](0), sun, level_load(0),
            Options(
                cases=False, finer=False, sell=Window(720, 780),
                prices=Prices(export_pence=common, sell_pence=inside),
            ),
        )
        for common, inside in ((10, 30), (0, 10))
    )  # fmt: skip
    assert window.money.lost_value is not None
    assert window.money.lost_value > 10
    in_window_kwh = window.money.lost_value * 10
    expected = (whole.figures.lost - in_window_kwh) * 0.10 + in_window_kwh * 0.30
    assert whole.money.lost_value == pytest.approx(expected)


@pytest.mark.parametrize("kind", ["separate", "shared"])
@pytest.mark.parametrize(
    ("from_network", "to_network"), [(True, True), (False, True), (True, False), (False, False)]
)
def test_windows_move_only_what_cells_may(plants, sun, use, kind, from_network, to_network):
    plant = plants[kind](None)

    def may(unit):
        cells = msgspec.structs.replace(
            unit.cells, from_network=from_network, to_network=to_network
        )
        return msgspec.structs.replace(unit, cells=cells)

    plant = msgspec.structs.replace(
        plant, storage=tuple(map(may, plant.storage)), shared=tuple(map(may, plant.shared))
    )
    options = Options(cases=False, finer=False, cheap=Window(30, 330), sell=Window(960, 1140))
    year = energy_year(plant, sun, use, options)
    assert (year.figures.bought > 100) is from_network
    assert (year.figures.sold > 100) is to_network
    told = " ".join(year.method)
    assert ("are not filled from the network" in told) is not from_network
    assert ("do not export, so they are not sold from" in told) is not to_network
    assert ("cells fill from the network up to" in told) is from_network
    if not from_network and not to_network:
        assert year.figures == energy_year(plant, sun, use, PLAIN).figures


def test_windows_go_by_the_clock_on_the_wall(sun):
    """Cells alone, which the house empties every evening: they begin to fill at 00:30 by the clock,
    in winter and in summer, when that is 23:30 UTC."""
    plant = Plant(storage=(StorageUnit("bat-1", 3000, Cells(6000, 3000, 3000)),))
    use = level_load(8760)
    year = energy_year(plant, sun, use, Options(cases=False, finer=False, cheap=Window(30, 330)))
    for day in (year.winter, year.summer):
        bought = [power > 1 + 1e-6 for power in day.imported_kw]
        assert bought[:3] == [False, True, True]
        # 6 kWh at 3 kW, less what is lost on the way in, take a little over two hours.
        assert sum(bought) == 5
    assert any("00:30 to 05:30" in sentence for sentence in year.method)


def test_standby_is_used_at_every_moment(plants, sun, use):
    """20 W are 175.2 kWh a year."""
    year = energy_year(
        plants["panels"](), sun, use, Options(cases=False, finer=False, standby_w=20)
    )
    assert year.figures.used == pytest.approx(4000 + 175.2)
    assert any("Standby: 20 W" in sentence for sentence in year.method)


def measured(yearly_kwh):
    return with_yield(typical_sun(region(3)), yearly_kwh, "the typical year of the region")


def test_a_measured_yield_is_what_the_panels_make(plants, use):
    sun = measured(5500)
    for kind in ("panels", "separate"):
        figures = energy_year(plants[kind](None), sun, use, Options(step_minutes=15)).figures
        assert figures.made == pytest.approx(5500, rel=1e-3)
    year = energy_year(plants["panels"](None), sun, use)
    assert year.low is not None
    assert year.low.figures.dc / year.figures.dc == pytest.approx(0.95)
    assert any("as measured" in sentence for sentence in year.method)


@pytest.mark.parametrize("yearly", [50, 50_000])
def test_a_measured_yield_that_cannot_be(plants, use, yearly):
    with pytest.raises(EnergyError, match="for each kWp; 100 to 1600 can be"):
        energy_year(plants["panels"](), measured(yearly), use)


def test_a_smaller_inverter_does_not_make_the_sun_stronger(plants, use):
    """6 kWp that gave 5,400 kWh: what an inverter clips is missing from what is made."""
    before = math.inf
    for rated_w in (6000, 5000, 3000, 2000, 900):
        figures = energy_year(plants["panels"](None, rated_w), measured(5400), use).figures
        assert figures.potential == pytest.approx(5400, rel=2e-3)
        assert figures.made + figures.clipped == pytest.approx(figures.potential)
        # Curves of two inverters that clip nothing differ by less than 0.5 kWh in half hours.
        assert figures.made <= before + 0.5
        before = figures.made
    assert before < 4000


def test_cells_alone_have_a_year_too(sun, use):
    plant = Plant(storage=(StorageUnit("bat-1", 3000, Cells(10_000, 3000, 3000)),))
    year = energy_year(plant, sun, use, Options(cheap=Window(30, 330)))
    assert year.figures.dc == 0
    assert year.figures.lost_percent == 0
    assert year.figures.bought > 0
    assert not any(sentence.startswith("Panels") for sentence in year.method)


def test_roofs_to_two_sides_make_less_at_noon_and_are_clipped_less(sun, use):
    def made(*arrays):
        plant = Plant(pv=(PvInverter("inv-1", 3680, arrays),))
        return energy_year(plant, sun, use, PLAIN).figures

    south = made(PvArray(6000, 35, 180))
    sides = made(PvArray(3000, 35, 90), PvArray(3000, 35, 270))
    assert sides.clipped < south.clipped
    assert sides.dc < south.dc


def test_all_of_a_year_can_be_written_down(years):
    """It is frozen, and goes through JSON whole: no number of it is anything but a number."""
    text = msgspec.json.encode(years["shared"])
    assert msgspec.json.decode(text, type=type(years["shared"])) == years["shared"]
    assert "NaN" not in json.dumps(json.loads(text))
    with pytest.raises(AttributeError):
        years["shared"].step_minutes = 15


def test_the_method_names_its_sources_and_its_limits(years):
    text = " ".join(years["separate"].method)
    for words in (
        "Standard Assessment Procedure, Appendix U, Table U3",
        "read in transcriptions",
        "Hay and Davies",
        "a published model of the panels",
        "a published default",
        "German households",
        "Steps of 30 minutes",
        "one in a million",
        "Phases are not followed one by one",
    ):
        assert words in text, words


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (Options(step_minutes=20), "A step of 20 minutes is not offered"),
        (Options(cheap=Window(1500, 10)), "window of the cheap rate must lie between"),
        (Options(sell=Window(60, 60)), "begins and ends at the same time"),
        (Options(cheap=Window(30, 330), sell=Window(300, 400)), "overlap"),
        (Options(cheap=Window(1380, 330), sell=Window(60, 90)), "overlap"),
        (Options(cheap_to=0), "between 0 and 100 %"),
        (Options(standby_w=-1), "standby"),
        (Options(prices=Prices(import_pence=1e6)), "import_pence"),
        (Options(efficiencies=Efficiencies(cells=95)), "efficiency"),
    ],
)
def test_choices_that_cannot_be(plants, sun, use, options, says):
    with pytest.raises(EnergyError, match=says):
        energy_year(plants["separate"](), sun, use, options)


@pytest.mark.parametrize(
    ("plant", "says"),
    [
        (Plant(), "neither panels nor cells"),
        (Plant(pv=(PvInverter("inv-1", 0, ()),)), "inv-1: its AC rating is 0"),
        (Plant(pv=(PvInverter("inv-1", 5000, (PvArray(6000, 95, 180),)),)), "a tilt of 95"),
        (Plant(pv=(PvInverter("inv-1", 5000, (PvArray(6000, 35, 400),)),)), "an azimuth of 400"),
        (
            Plant(storage=(StorageUnit("bat-1", 3000, Cells(0, 1, 1)),)),
            "bat-1: its usable energy of the cells is 0",
        ),
        (Plant(pv=(PvInverter("inv-1", 5000, ()),), export_limit_w=-1), "export limit of -1 W"),
    ],
)
def test_plants_that_cannot_be(sun, use, plant, says):
    with pytest.raises(EnergyError, match=says):
        energy_year(plant, sun, use)


def test_a_sweep_is_each_year_alone(plants, sun, use):
    limits = [0, 1000, 3680, 5000, None]
    for kind in KINDS:
        found = list(each_limit(plants[kind](), sun, use, limits))
        assert [each.limit_kw for each in found] == [0, 1, 3.68, 5, None]
        for each, limit in zip(found, limits, strict=True):
            alone = energy_year(plants[kind](limit), sun, use, PLAIN).figures
            assert each.figures == alone
        assert [each.figures.lost for each in found[-2:]] == [0, 0]


def test_a_sweep_with_a_window_for_selling_follows_cells_under_each_limit(plants, sun, use):
    options = Options(sell=Window(16 * 60, 19 * 60))
    low, high = each_limit(plants["separate"](), sun, use, [1000, 5000], options)
    assert low.figures.sold < high.figures.sold
    assert low.figures.most_exported_kw <= 1
