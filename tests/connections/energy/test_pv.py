"""Panels against reference figures of pvlib's weather years, worked out by its own recipe."""

import numpy as np
import pvlib
import pytest

from connections.energy.weather import sky
from connections.energy.weather.pv import LOSS, dc_w_per_kwp, share_let_through
from connections.energy.weather.sky import sun_over
from tests.connections.energy.plain_inputs import ac_w
from tests.connections.energy.weather_years import GREENSBORO, SAND_POINT, weather_year

# Worked out once with pvlib 0.16.1 by a recipe written out apart from this room: read_tmy3, solar
# position (pvlib's slower one) and extraterrestrial irradiance half an hour before the stamps,
# get_total_irradiance (albedo 0.2), IAM "physical" on the beam, sapm_cell open_rack_glass_glass,
# pvwatts_dc with -0.0035, losses 14.0757 %, inverter.pvwatts of 1000 / 0.96.
#   file, tilt, model, DC and AC kWh/kWp
REFERENCE = [
    (GREENSBORO, 20, "haydavies", 1401.38, 1337.80),
    (GREENSBORO, 35, "haydavies", 1416.99, 1352.70),
    (GREENSBORO, 35, "isotropic", 1385.62, 1322.43),
    (GREENSBORO, 35, "perez", 1443.82, 1379.26),
    (SAND_POINT, 20, "haydavies", 829.77, 782.82),
    (SAND_POINT, 35, "haydavies", 873.59, 825.08),
    (SAND_POINT, 35, "isotropic", 845.74, 798.12),
    (SAND_POINT, 35, "perez", 890.69, 841.75),
]


@pytest.mark.parametrize(("name", "tilt", "model", "dc", "ac"), REFERENCE)
def test_yield_of_a_weather_year(name, tilt, model, dc, ac):
    made = dc_w_per_kwp(weather_year(name), tilt, 180, model)
    assert made.sum() / 1000 == pytest.approx(dc, rel=1e-3)
    assert ac_w(made, 1000).sum() / 1000 == pytest.approx(ac, rel=1e-3)


def test_yield_beside_pvlibs_own_chain():
    """ModelChain.with_pvwatts, which takes Perez, has 1379.27 kWh/kWp for Greensboro at 35."""
    made = dc_w_per_kwp(weather_year(GREENSBORO), 35, 180, "perez")
    assert ac_w(made, 1000).sum() / 1000 == pytest.approx(1379.27, rel=1e-3)


def test_the_quicker_solar_position_moves_a_year_by_less_than_a_ten_thousandth(monkeypatch):
    weather = weather_year(SAND_POINT)
    quick = dc_w_per_kwp(weather, 35, 180).sum()
    monkeypatch.setattr(sky, "SUN_POSITION", "nrel_numpy")
    slow_sun = sun_over(
        weather.middles(), weather.latitude_deg, weather.longitude_deg, weather.height_m
    )
    monkeypatch.setattr("connections.energy.weather.pv.sun_of", lambda _: slow_sun)
    slow = dc_w_per_kwp.__wrapped__(weather, 35, 180).sum()
    assert quick != slow
    assert quick == pytest.approx(slow, rel=1e-4)


def test_losses_are_those_of_pvwatts():
    """pvlib's own product of its defaults: 14.0757 %."""
    ours = 100 * LOSS
    assert ours == pytest.approx(pvlib.pvsystem.pvwatts_losses(), rel=1e-9)
    assert ours == pytest.approx(14.0757, abs=5e-5)


# PVWatts version 5, from pvlib's documentation of inverter.pvwatts: DC power in, AC power out, of
# an inverter that takes 1000 W.
@pytest.mark.parametrize(
    ("dc", "ac"),
    [(10, 3.9412), (50, 43.183), (100, 92.163), (250, 238.62), (500, 481.10), (750, 721.56),
     (1000, 960.00), (1200, 960.00)],
)  # fmt: skip
def test_part_load_curve(dc, ac):
    assert ac_w(np.array([float(dc)]), 960.0)[0] == pytest.approx(ac, abs=5e-3)


def test_share_of_an_inverter_is_its_nominal_one_from_its_rating_on():
    share = share_let_through(np.array([0.0, 100.0, 1000.0, 1200.0]), 960.0, 0.96)
    assert share.tolist() == pytest.approx([0.0, 0.92163, 0.96, 0.96], abs=1e-5)


def test_series_of_a_roof_are_kept_and_cannot_be_written_to():
    weather = weather_year(GREENSBORO)
    made = dc_w_per_kwp(weather, 35, 180)
    assert dc_w_per_kwp(weather, 35, 180) is made
    with pytest.raises(ValueError, match="read-only"):
        made[0] = 1.0
