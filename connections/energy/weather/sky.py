"""Position of the sun and irradiance under a clear sky, from pvlib."""

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    import pandas as pd

    from connections.energy.weather.series import Weather

    Series = npt.NDArray[np.float64]

SUN_POSITION = "ephemeris"
"""pvlib's quicker solar position; it moves a year's yield by less than 0.01 % against its slower
one (tests/connections/energy/test_pv.py)."""


@dataclass(frozen=True, eq=False)
class Sun:
    """The sun over steps: zenith, apparent zenith and azimuth [degrees], irradiance above the air
    on a plane towards the sun [W/m2], and the relative air mass (not a number below the horizon).
    """

    zenith: "Series"
    apparent_zenith: "Series"
    azimuth: "Series"
    extraterrestrial: "Series"
    air_mass: "Series"


def sun_over(
    middles: "pd.DatetimeIndex", latitude_deg: float, longitude_deg: float, height_m: float
) -> Sun:
    """Position of the sun at the middles of steps, seen from a place.

    Source: pvlib 0.16 (`solarposition`, `get_extra_radiation`, `get_relative_airmass`).
    """
    import numpy as np
    import pvlib

    place = pvlib.solarposition.get_solarposition(
        middles, latitude_deg, longitude_deg, altitude=height_m, method=SUN_POSITION
    )
    apparent = place["apparent_zenith"].to_numpy()
    with np.errstate(invalid="ignore"):
        air_mass = pvlib.atmosphere.get_relative_airmass(apparent)
    return Sun(
        zenith=place["zenith"].to_numpy(),
        apparent_zenith=apparent,
        azimuth=place["azimuth"].to_numpy(),
        extraterrestrial=pvlib.irradiance.get_extra_radiation(middles).to_numpy(),
        air_mass=air_mass,
    )


@functools.lru_cache(maxsize=8)
def sun_of(weather: "Weather") -> Sun:
    """The sun over the steps of some weather, cached for the next roof."""
    return sun_over(
        weather.middles(), weather.latitude_deg, weather.longitude_deg, weather.height_m
    )


def clear_sky_w_m2(
    sun: Sun,
    middles: "pd.DatetimeIndex",
    latitude_deg: float,
    longitude_deg: float,
    height_m: float,
) -> "Series":
    """Global horizontal irradiance under a clear sky [W/m2], zero at night.

    Source: pvlib 0.16, `clearsky.ineichen` with its table of Linke turbidity by month and place.
    """
    import numpy as np
    import pvlib

    turbidity = pvlib.clearsky.lookup_linke_turbidity(
        middles, latitude_deg, longitude_deg
    ).to_numpy()
    clear = np.zeros(len(middles))
    up = np.isfinite(sun.air_mass) & (sun.apparent_zenith < 90)
    absolute = pvlib.atmosphere.get_absolute_airmass(
        sun.air_mass[up], pvlib.atmosphere.alt2pres(height_m)
    )
    clear[up] = pvlib.clearsky.ineichen(
        sun.apparent_zenith[up], absolute, turbidity[up], height_m, sun.extraterrestrial[up]
    )["ghi"]
    return clear
