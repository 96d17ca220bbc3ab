"""Output of panels from the weather, after pvlib's PVWatts chain, cached for each roof.

Source: facts of the PVWatts model (version 5) as pvlib 0.16 has it: transposition, reflection, cell
temperature, DC power, losses. The transposition is Hay and Davies unless another is named; the
choice alone moves a year's yield by 4 to 5 %.
"""

import functools
import math
from typing import TYPE_CHECKING, Literal

from connections.energy.weather.sky import sun_of

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from connections.energy.weather.series import Weather

    Series = npt.NDArray[np.float64]

Transposition = Literal["haydavies", "isotropic", "perez"]

LOSSES = {
    "soiling": 0.02,
    "shading": 0.03,
    "mismatch": 0.02,
    "wiring": 0.02,
    "connections": 0.005,
    "light-induced degradation": 0.015,
    "nameplate": 0.01,
    "availability": 0.03,
}
"""Losses ahead of the inverter. Source: pvlib's documentation of `pvwatts_losses`, its defaults."""

LOSS = 1 - math.prod(1 - part for part in LOSSES.values())
"""All of them together: 14.0757 %."""

POWER_PER_KELVIN = -0.0035
"""Change of panel power with cell temperature. Source: facts of 6.3, common practice."""

ALBEDO = 0.2
"""Share of light that the ground reflects. Source: pvlib's default."""


@functools.lru_cache(maxsize=64)
def dc_w_per_kwp(
    weather: "Weather",
    tilt_deg: float,
    azimuth_deg: float,
    transposition: Transposition = "haydavies",
) -> "Series":
    """DC power of one kilowatt peak in each step of the weather [W], after losses.

    Args: tilt from the horizontal and azimuth clockwise from north [degrees]. The array is cached
    and read-only.
    """
    import numpy as np
    import pvlib

    sun = sun_of(weather)
    power = np.zeros(len(weather.ghi))
    # At night there is nothing to transpose, and some models divide by 0 there.
    lit = np.flatnonzero((weather.ghi > 0) | (weather.dni > 0) | (weather.dhi > 0))
    if len(lit):
        zenith, azimuth = sun.apparent_zenith[lit], sun.azimuth[lit]
        on_plane = pvlib.irradiance.get_total_irradiance(
            tilt_deg,
            azimuth_deg,
            zenith,
            azimuth,
            weather.dni[lit],
            weather.ghi[lit],
            weather.dhi[lit],
            dni_extra=sun.extraterrestrial[lit],
            airmass=sun.air_mass[lit],
            albedo=ALBEDO,
            model=transposition,
        )
        angle = pvlib.irradiance.aoi(tilt_deg, azimuth_deg, zenith, azimuth)
        through = pvlib.iam.physical(angle)
        effective = np.nan_to_num(on_plane["poa_direct"] * through + on_plane["poa_diffuse"])
        mounting = pvlib.temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["open_rack_glass_glass"]
        cells = pvlib.temperature.sapm_cell(
            np.nan_to_num(on_plane["poa_global"]),
            weather.temperature_c[lit],
            weather.wind_m_s[lit],
            **mounting,
        )
        power[lit] = pvlib.pvsystem.pvwatts_dc(effective, cells, 1000.0, POWER_PER_KELVIN) * (
            1 - LOSS
        )
    power.setflags(write=False)
    return power


def share_let_through(dc_w: "Series", rated_w: float, nominal: float) -> "Series":
    """Efficiency of an inverter in each step, after its part-load curve.

    Above its rating it is the nominal efficiency; clipping is counted apart. Source: pvlib's
    `inverter.pvwatts` (PVWatts version 5).
    """
    import numpy as np
    import pvlib

    most = rated_w / nominal
    taken = np.minimum(dc_w, most)
    made = np.maximum(pvlib.inverter.pvwatts(taken, most, eta_inv_nom=nominal), 0.0)
    share: Series = np.divide(made, taken, out=np.zeros(len(taken)), where=taken > 0)
    return share
