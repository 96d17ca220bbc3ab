"""Typical years against the published means, and against the years that they are calibrated on."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from connections.energy.efficiencies import Efficiencies
from connections.energy.energy_errors import EnergyError
from connections.energy.steps.clock import DAYS
from connections.energy.steps.dispatch import dispatch
from connections.energy.steps.flows import SeparatePv, StepInputs
from connections.energy.steps.stepping import in_steps
from connections.energy.weather.pv import dc_w_per_kwp
from connections.energy.weather.regions import declination_deg, region, regions, sources
from connections.energy.weather.typical_year import rebuilt_year, typical_year
from tests.connections.energy.plain_inputs import ac_w
from tests.connections.energy.weather_years import GREENSBORO, SAND_POINT, read, six_kwp

ALL = [pytest.param(each, id=each.name) for each in regions()]
AFTER = np.cumsum(np.array(DAYS) * 96)


def months(series):
    return np.array([part.mean() for part in np.split(series, AFTER[:-1])])


@pytest.mark.parametrize("place", ALL)
def test_a_typical_year_has_its_months_means(place):
    """Within 0.5 %; both counted in UTC, which no month of these regions has light to tell from."""
    made = months(typical_year(place).ghi)
    assert made == pytest.approx(np.array(place.ghi_w_m2), rel=5e-3)


# kWh/m2 a year: value x 24 h x days of the month, added up by hand for three regions.
@pytest.mark.parametrize(("number", "total"), [(0, 950.6), (3, 1107.1), (20, 818.3)])
def test_the_irradiance_of_a_year(number, total):
    made = typical_year(region(number)).ghi.sum() * 0.25 / 1000
    assert made == pytest.approx(total, rel=5e-3)


def band_of(number):
    """What a south roof at 30 to 40 degrees yields [kWh/kWp]: a rule of thumb of the trade (common
    practice, no source) for southern England and northern Scotland, and our sanity band between."""
    if 1 <= number <= 4:
        return 900, 1050
    if 16 <= number <= 20:
        return 700, 850
    return 750, 1000


@pytest.mark.parametrize("place", ALL)
def test_a_south_roof_yields_what_the_trade_expects(place):
    made = ac_w(dc_w_per_kwp(typical_year(place), 35, 180), 1000).sum() * 0.25 / 1000
    least, most = band_of(place.number)
    assert least <= made <= most


def test_it_is_warmest_in_the_afternoon_and_has_its_months_means():
    place = region(6)
    weather = typical_year(place)
    assert months(weather.temperature_c) == pytest.approx(np.array(place.temperature_c), abs=0.05)
    by_hour = weather.temperature_c.reshape(365, 96).mean(axis=0)
    assert 14 <= np.argmax(by_hour) / 4 <= 16


def test_light_is_split_without_a_rest():
    """Global = diffuse + direct x cos(zenith), where the sun is well up."""
    from connections.energy.weather.sky import sun_of

    weather = typical_year(region(6))
    sun = sun_of(weather)
    high = sun.zenith < 80
    direct = weather.dni * np.cos(np.radians(sun.zenith))
    assert np.allclose((weather.dhi + direct)[high], weather.ghi[high], atol=0.5)


def test_the_sun_of_the_table_is_pvlibs():
    """Solar declination in the middle of each month, as the table's foot prints it."""
    import pvlib

    middles = np.cumsum(DAYS) - np.array(DAYS) / 2
    declination = np.degrees(pvlib.solarposition.declination_spencer71(middles))
    assert declination == pytest.approx(np.array(declination_deg()), abs=1.0)


def test_the_same_year_comes_each_time():
    again = typical_year.__wrapped__(region(6))
    assert np.array_equal(again.ghi, typical_year(region(6)).ghi)


def rebuilt(name, seed=None):
    """A weather year made anew from its own monthly means alone."""
    data, meta = read(name)
    by_month = data.groupby((data.index - np.timedelta64(30, "m")).month).mean(numeric_only=True)
    more = {} if seed is None else {"seed": seed}
    return rebuilt_year(
        latitude_deg=meta["latitude"],
        longitude_deg=meta["longitude"],
        height_m=meta["altitude"],
        ghi_w_m2=by_month["ghi"].tolist(),
        temperature_c=by_month["temp_air"].tolist(),
        wind_m_s=by_month["wind_speed"].tolist(),
        **more,
    )


def lost_behind_the_limit(dc_kw):
    """6 kWp behind 5 kW, a level use of 0.5 kW, a limit of 3.68 kW, hours [kWh]."""
    inputs = StepInputs(
        1.0, np.full(8760, 0.5), (SeparatePv(dc_kw, 5, 0.96),), None, None,
        Efficiencies(part_load=False),
    )  # fmt: skip
    return dispatch(inputs, 3.68).lost.sum()


# Asked: the yield within 5 %, the loss within 30 %. Reached: 0.2 and 1.9 %, 21 and 6 %.
@pytest.mark.parametrize("name", [GREENSBORO, SAND_POINT])
def test_a_weather_year_rebuilt_from_its_monthly_means(name):
    made = in_steps(6 * dc_w_per_kwp(rebuilt(name), 35, 180) / 1000, 15, 60)
    assert made.sum() == pytest.approx(six_kwp(name).sum(), rel=0.025)
    assert lost_behind_the_limit(made) == pytest.approx(
        lost_behind_the_limit(six_kwp(name)), rel=0.25
    )


def test_another_seed_moves_the_yield_little():
    """The spread from day to day has the month's shares in it whatever the seed; their order is
    all that is drawn."""
    yields = [dc_w_per_kwp(rebuilt(SAND_POINT, seed), 35, 180).sum() for seed in (1, 2, 3)]
    assert max(yields) / min(yields) < 1.01


REFERENCE_YEARS = tomllib.loads(Path(__file__).with_name("reference_years.toml").read_text())[
    "year"
]


@pytest.mark.parametrize("year", REFERENCE_YEARS, ids=lambda year: year["place"])
def test_a_year_that_took_no_part_in_the_calibration(year):
    place = ("latitude_deg", "longitude_deg", "height_m", "ghi_w_m2", "temperature_c", "wind_m_s")
    again = rebuilt_year(**{name: year[name] for name in place})
    made = in_steps(6 * dc_w_per_kwp(again, 35, 180) / 1000, 15, 60)
    assert made.sum() == pytest.approx(year["made_kwh"], rel=0.015)
    assert lost_behind_the_limit(made) == pytest.approx(year["lost_kwh"], rel=0.35)


def test_every_column_has_its_source():
    told = {each.field: each for each in sources()}
    assert set(told) == {"ghi_w_m2", "declination_deg", "temperature_c", "wind_m_s",
                         "latitude_deg", "height_m", "longitude_deg"}  # fmt: skip
    assert told["ghi_w_m2"].certainty == "secondary"
    assert told["longitude_deg"].certainty == "from memory"
    assert "Borders, September is 111" in told["ghi_w_m2"].note


def test_there_are_22_regions_and_no_more():
    assert [each.number for each in regions()] == list(range(22))
    with pytest.raises(EnergyError, match="no region 22: pick one of 0 to 21"):
        region(22)
