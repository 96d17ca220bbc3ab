"""Use of the house: level, of the standard shape, by the clock on the wall."""

import datetime as dt
import tomllib
from importlib.resources import files

import numpy as np
import pytest

from connections.energy.energy_errors import EnergyError
from connections.energy.load import household_by_clock, household_load, kwh_of_loads
from connections.energy.steps.clock import YEAR, local_minutes_ahead, summer_steps, summer_time
from tests.site_files import site

# From demandlib 0.2.2, `bdew.ElecSlp(2023).get_profiles("h0", "h0_dyn")`, times 4, scaled to a year
# of 1000 kWh [W]: a quarter hour of each season and kind of day, without and with the smoothing.
PUBLISHED = [
    ((1, 10, 19, 0), 185.02448139468483, 232.03725374874212),  # winter, Tuesday
    ((1, 14, 7, 15), 77.19033895812029, 96.96727705049654),  # winter, Saturday
    ((4, 2, 12, 30), 207.29631764829917, 220.13652279634802),  # transition, Sunday
    ((4, 3, 0, 0), 77.87131236875237, 82.54885697138392),  # transition, Monday
    ((7, 12, 18, 45), 151.69684153316115, 119.47091189039322),  # summer, Wednesday
    ((7, 15, 20, 0), 179.53663685017912, 141.16186728862576),  # summer, Saturday
    ((10, 29, 3, 0), 45.585161252901345, 46.68447923530864),  # the night of the change of time
    ((12, 31, 23, 45), 73.3448420510214, 92.64297264305948),  # the year's last
]


@pytest.mark.parametrize(("moment", "plain", "smoothed"), PUBLISHED)
def test_the_standard_shape_is_as_published(moment, plain, smoothed):
    begin, then = dt.datetime(YEAR, 1, 1), dt.datetime(YEAR, *moment)  # noqa: DTZ001 - on the wall
    place = (then - begin) // dt.timedelta(minutes=15)
    for seasons, expected in ((False, plain), (True, smoothed)):
        assert 1e6 * household_by_clock(seasons)[place] == pytest.approx(expected, rel=1e-9)


# From the same table: what a day of each kind uses, for about 1000 kWh a year [kWh].
@pytest.mark.parametrize(
    ("season", "weekday", "saturday", "sunday"),
    [
        ("winter", 2.55606, 2.88645, 2.68553),
        ("transition", 2.6959, 3.01375, 2.76992),
        ("summer", 2.81411, 3.03300, 2.85405),
    ],
)
def test_each_day_of_the_table_adds_up(season, weekday, saturday, sunday):
    text = files("connections.energy").joinpath("data/household.toml").read_text("utf-8")
    table = tomllib.loads(text)
    for kind, kwh in (("weekday", weekday), ("saturday", saturday), ("sunday", sunday)):
        quarters = table[season][kind]
        assert len(quarters) == 96
        assert sum(quarters) / 100 / 4 / 1000 == pytest.approx(kwh, abs=1e-9)
    assert table["source"]["document"]
    assert table["source"]["edition"]


def test_peaks_of_the_standard_shape():
    """From demandlib 0.2.2: 4000 kWh in 2023 peak at 0.856104 kW in quarter hours, 0.841683 in
    hours."""
    load = 4000 * household_by_clock(with_seasons=False)
    assert load.max() == pytest.approx(0.856104, abs=1e-6)
    assert load.reshape(-1, 4).mean(axis=1).max() == pytest.approx(0.841683, abs=1e-6)


def test_in_summer_the_house_is_an_hour_earlier_by_the_sun():
    shape = household_load(4000).kw
    clock = household_by_clock(True)
    january, july = 10 * 96 + 40, 190 * 96 + 40
    scale = shape[january] / clock[january]
    assert scale == pytest.approx(4000, rel=1e-3)
    assert shape[july] == pytest.approx(scale * clock[july + 4])


def test_a_load_has_its_yearly_use_in_every_step():
    load = household_load(3500)
    for step in (15, 30, 60):
        assert load.in_steps(step).sum() * step / 60 == pytest.approx(3500)


def test_a_load_says_that_its_shape_is_german():
    assert "German households" in household_load(3500).told[0]
    assert "no library ships one of Great Britain" in household_load(3500).told[0]


@pytest.mark.parametrize("used", [-1, 2e7, float("nan")])
def test_a_use_that_cannot_be(used):
    with pytest.raises(EnergyError, match="yearly use"):
        household_load(used)


# Dates of summer time as published for Great Britain.
@pytest.mark.parametrize(
    ("year", "forward", "back"),
    [(2022, (3, 27), (10, 30)), (2023, (3, 26), (10, 29)), (2024, (3, 31), (10, 27)),
     (2025, (3, 30), (10, 26)), (2026, (3, 29), (10, 25))],
)  # fmt: skip
def test_summer_time(year, forward, back):
    assert summer_time(year) == tuple(
        dt.datetime(year, month, day, 1, tzinfo=dt.UTC) for month, day in (forward, back)
    )


def test_summer_time_is_that_of_the_time_zone_data():
    from zoneinfo import ZoneInfo

    begin = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
    for hour in range(0, 8760, 7):
        utc = begin + dt.timedelta(hours=hour)
        there = utc.astimezone(ZoneInfo("Europe/London"))
        assert there.utcoffset() == dt.timedelta(minutes=local_minutes_ahead(utc))


def test_steps_of_summer_time():
    """26 March is day 84 and 29 October day 301 of 2023, days counted from 0; at 01:00."""
    assert summer_steps(60) == (84 * 24 + 1, 301 * 24 + 1)
    assert summer_steps(15) == ((84 * 24 + 1) * 4, (301 * 24 + 1) * 4)
    assert np.diff(summer_steps(30)) == 217 * 48


def test_what_heat_pumps_and_charge_points_commonly_use():
    """Common practice, no source: 1,200 hours at full power; 2,000 kWh for a car."""
    items = [
        {"name": "heat pump", "w": 3000},  # 3 kW x 1,200 h = 3,600 kWh
        {"name": "charge point", "w": 7360},  # whatever its power
        {"name": "second heat pump"},  # its power is not known
        {"name": "shower", "w": 9000},
    ]
    used = {"heat pump": 3600, "charge point": 2000}
    assert kwh_of_loads(site(loads={"items": items})) == used
    assert kwh_of_loads(site()) == {}
