"""Use of the house: level, of the standard shape, by the clock on the wall."""

import datetime as dt
import warnings

import numpy as np
import pytest

from connections.energy.faults import EnergyError
from connections.energy.load import household_by_clock, household_load
from connections.energy.steps.clock import YEAR, local_minutes_ahead, summer_steps, summer_time


@pytest.mark.parametrize(("seasons", "column"), [(False, "h0"), (True, "h0_dyn")])
def test_the_standard_shape_is_demandlibs(seasons, column):
    """demandlib turns all warnings of the process into errors when it makes a profile, which is why
    the room reads its table instead."""
    from demandlib import bdew

    with warnings.catch_warnings():
        profile = bdew.ElecSlp(YEAR).get_profiles(column)[column].to_numpy() * 4
    ours = household_by_clock(seasons)
    assert ours == pytest.approx(profile / (profile.sum() / 4), rel=1e-9)


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
