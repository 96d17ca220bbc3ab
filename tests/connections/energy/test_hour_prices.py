"""Prices by hour of day: against a loop of its own, by the clock of a time zone file."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from connections.energy.energy_errors import EnergyError
from connections.energy.options import HourPrice, Options, Prices, Window
from connections.energy.year import _flows, energy_year

LONDON = ZoneInfo("Europe/London")
PEAK, NIGHT, LATE = Window(16 * 60, 19 * 60), Window(30, 330), Window(22 * 60, 90)
OPTIONS = Options(
    cheap=NIGHT,
    prices=Prices(
        import_pence=27,
        export_pence=12,
        cheap_pence=9,
        import_hours=(HourPrice(PEAK, 38.5),),
        export_hours=(HourPrice(PEAK, 21), HourPrice(LATE, 4)),
        standing_pence=54,
    ),
    cases=False,
    finer=False,
)


def clock(step):
    """Time on the wall when a half hour of 2023 begins, in minutes after midnight."""
    utc = dt.datetime(2023, 1, 1, tzinfo=dt.UTC) + dt.timedelta(minutes=30 * step)
    local = utc.astimezone(LONDON)
    return local.hour * 60 + local.minute


def price(minute, common, *hours):
    for first, last, pence in hours:
        inside = first <= minute < last if first < last else minute >= first or minute < last
        if inside:
            return pence
    return common


@pytest.mark.parametrize("kind", ["separate", "shared"])
def test_a_year_costs_what_a_loop_over_its_half_hours_says(plants, sun, use, kind):
    plant = plants[kind]()
    flows = _flows(plant, sun, use, OPTIONS, 30, None)
    bought = sold = peak_kwh = 0.0
    for step, (into, out) in enumerate(zip(flows.imported, flows.exported, strict=True)):
        minute = clock(step)
        bought += into / 2 * price(minute, 27, (30, 330, 9), (960, 1140, 38.5))
        sold += out / 2 * price(minute, 12, (960, 1140, 21), (1320, 90, 4))
        peak_kwh += into / 2 if 960 <= minute < 1140 else 0
    money = energy_year(plant, sun, use, OPTIONS).money
    assert money.import_cost == pytest.approx(bought / 100)
    assert money.export_value == pytest.approx(sold / 100)
    assert {each.hours: each.kwh for each in money.bought}["16:00 to 19:00"] == pytest.approx(
        peak_kwh
    )
    # 365 days of 54 p
    assert money.standing_cost == pytest.approx(197.10)


def test_parts_add_up_to_what_is_bought_and_sold(plants, sun, use):
    year = energy_year(plants["separate"](), sun, use, OPTIONS)
    for parts, kwh, pounds in (
        (year.money.bought, year.figures.imported, year.money.import_cost),
        (year.money.sold, year.figures.exported, year.money.export_value),
    ):
        assert sum(part.kwh for part in parts) == pytest.approx(kwh)
        assert sum(part.pounds for part in parts) == pytest.approx(pounds)


@pytest.mark.parametrize(
    ("hours", "says"),
    [
        ((HourPrice(PEAK, 30), HourPrice(Window(1139, 1200), 40)), "two prices at 18:59"),
        ((HourPrice(Window(300, 400), 30),), "two prices at 05:00: from 00:30 to 05:30"),
        ((HourPrice(PEAK, 1001),), "1001 pence a kWh cannot be"),
        ((HourPrice(Window(60, 60), 3),), "begins and ends at the same time"),
    ],
)
def test_hours_that_cannot_be(plants, sun, use, hours, says):
    prices = Prices(import_pence=27, cheap_pence=9, import_hours=hours)
    with pytest.raises(EnergyError, match=says):
        energy_year(plants["separate"](), sun, use, Options(cheap=NIGHT, prices=prices))


def test_each_assumption_alone_moves_the_money_its_way(plants, sun, use):
    plain = Options(prices=Prices(import_pence=27, export_pence=12), finer=False)
    year = energy_year(plants["separate"](), sun, use, plain)
    varied = {each.what: each for each in year.varied}
    assert set(varied) == {"what the panels make", "what the house uses", "what the cells pass on"}

    def net(money):
        return money.import_cost - money.export_value

    middle = net(year.money)
    # More sun and better cells make the year cheaper, more use makes it dearer.
    for what, turn in (("what the panels make", -1), ("what the cells pass on", -1),
                       ("what the house uses", 1)):  # fmt: skip
        low, high = net(varied[what].low), net(varied[what].high)
        assert turn * low < turn * middle < turn * high, what


def test_without_both_prices_nothing_is_varied(plants, sun, use):
    only = Options(prices=Prices(import_pence=27), finer=False)
    assert energy_year(plants["separate"](), sun, use, only).varied == ()
