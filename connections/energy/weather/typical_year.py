"""A typical year made from monthly means: no day of it is a real day.

How: the clear sky of the place (pvlib) gives the shape of each day. Each day gets a share of its
clear sky between 3 and 109.5 %. A month's shares follow the flattest spread with the month's mean
(an exponential one), in an order that a fixed seed draws. Within a day the share wanders, most on
half-clear days, and each month is scaled to its mean. Diffuse and direct light are told apart after
Erbs. Air temperature is the month's mean, with a swing over the day.

The numbers below are calibrated on the two weather years that pvlib ships in this form (723170TYA
and 703165TY). Rebuilt from their own monthly means, they give the year's yield to 0.2 and 1.9 %,
and the loss of 6 kWp at an export limit of 3.68 kW (hourly, level use of 0.5 kW) to 21 and 6 %. Six
German reference years of measured irradiance, which took no part, come to 1.2 % and 33 % at worst.
"""

import functools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from connections.energy.steps.clock import DAYS, YEAR
from connections.energy.weather.regions import Region
from connections.energy.weather.series import Weather
from connections.energy.weather.sky import clear_sky_w_m2, sun_over

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]

STEP_MINUTES = 15
"""Step of the year as made [minutes]; longer steps are means of these."""

_PER_DAY = 24 * 60 // STEP_MINUTES

# Calibrated, see above.
SEED = 2026
LEAST_CLEAR, MOST_CLEAR = 0.03, 1.095
"""Bounds of a day's share of its clear sky."""
_DAY_TO_NEXT = 0.3
"""Correlation of the ranks of two days in a row."""
_WANDERING = 0.2
"""Standard deviation of the share within a half-clear day."""
_WANDERING_HOURS = 2.0
"""Time that the share stays on one side [hours]."""

SWING_K = 3.5
"""Half of the daily range of temperature [K]. Our choice."""
_WARMEST_HOUR = 15.0
"""Warmest time of the day, by the sun [h]. Our choice."""


@functools.lru_cache(maxsize=22)
def typical_year(region: Region) -> Weather:
    """The typical year of a region, in steps of 15 minutes, cached for the next design."""
    return rebuilt_year(
        latitude_deg=region.latitude_deg,
        longitude_deg=region.longitude_deg,
        height_m=region.height_m,
        ghi_w_m2=region.ghi_w_m2,
        temperature_c=region.temperature_c,
        wind_m_s=region.wind_m_s,
        told=(
            f"Sun: a typical year of the region {region.name}, made from the published monthly "
            "means of global irradiance (Standard Assessment Procedure, Appendix U, Table U3, read "
            "in transcriptions). A published model shapes a clear day; the spread by day is "
            "drawn from a fixed seed and calibrated on two measured years; it reproduced a "
            "year's yield to 2.5 % and the loss at a tight export limit to 30 %.",
            "Air temperature and wind: monthly means of Tables U1 and U2, read in transcriptions, "
            f"with a daily swing of {SWING_K:g} K either way (our choice).",
        ),
    )


def rebuilt_year(
    *,
    latitude_deg: float,
    longitude_deg: float,
    height_m: float,
    ghi_w_m2: Sequence[float],
    temperature_c: Sequence[float],
    wind_m_s: Sequence[float],
    seed: int = SEED,
    told: tuple[str, ...] = (),
) -> Weather:
    """A year whose months have these means: irradiance [W/m2], temperature [deg C], wind [m/s].

    Months go by solar time at the place, so their means hold to rounding. The same arguments give
    the same year.
    """
    import datetime as dt

    import numpy as np
    import pandas as pd
    import pvlib

    begin = dt.datetime(YEAR, 1, 1, tzinfo=dt.UTC)
    middles = pd.date_range(
        begin + dt.timedelta(minutes=STEP_MINUTES / 2),
        periods=365 * _PER_DAY,
        freq=f"{STEP_MINUTES}min",
    )
    sun = sun_over(middles, latitude_deg, longitude_deg, height_m)
    # Steps by which the place's own midnight comes before that of UTC.
    ahead = round(longitude_deg / 15 * 60 / STEP_MINUTES)
    clear = np.roll(
        clear_sky_w_m2(sun, middles, latitude_deg, longitude_deg, height_m), ahead
    ).reshape(365, _PER_DAY)
    made = np.roll(_clouded(clear, ghi_w_m2, seed).ravel(), -ahead)

    split = pvlib.irradiance.erbs(made, sun.zenith, middles.dayofyear.to_numpy())
    month = np.roll(np.repeat(np.arange(12), np.array(DAYS) * _PER_DAY), -ahead)
    sun_hour = (np.arange(365 * _PER_DAY) + 0.5) * STEP_MINUTES / 60 + longitude_deg / 15
    swing = SWING_K * np.cos((sun_hour - _WARMEST_HOUR) / 24 * 2 * np.pi)
    return Weather(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        height_m=height_m,
        starts_utc=begin,
        step_minutes=STEP_MINUTES,
        ghi=made,
        dni=np.asarray(split["dni"], dtype=float),
        dhi=np.asarray(split["dhi"], dtype=float),
        temperature_c=np.asarray(temperature_c, dtype=float)[month] + swing,
        wind_m_s=np.asarray(wind_m_s, dtype=float)[month],
        told=told,
    )


def _clouded(clear: "Series", means: Sequence[float], seed: int) -> "Series":
    """Irradiance of each day and step [W/m2], from that of a clear sky and the months' means."""
    import numpy as np

    draw = np.random.default_rng(seed)
    order = _wandering(draw.standard_normal(365), _DAY_TO_NEXT)
    share = np.empty(365)
    first = 0
    for days, mean in zip(DAYS, means, strict=True):
        month = slice(first, first + days)
        spread = _spread_days(mean / clear[month].mean(), days)
        share[month] = spread[np.argsort(np.argsort(order[month]))]
        first += days

    between = (share - LEAST_CLEAR) / (MOST_CLEAR - LEAST_CLEAR)
    amount = _WANDERING * 4 * between * (1 - between)
    alike = math.exp(-STEP_MINUTES / 60 / _WANDERING_HOURS)
    wander = _wandering(draw.standard_normal(clear.size), alike).reshape(clear.shape)
    within = np.clip(share[:, None] + amount[:, None] * wander, LEAST_CLEAR / 2, MOST_CLEAR + 0.05)
    made: Series = clear * within
    # Scale each day to its share, then each month to its mean.
    made *= (share * clear.sum(axis=1) / np.maximum(made.sum(axis=1), 1e-9))[:, None]
    first = 0
    for days, mean in zip(DAYS, means, strict=True):
        month = slice(first, first + days)
        made[month] *= mean / made[month].mean()
        first += days
    return made


def _spread_days(mean: float, days: int) -> "Series":
    """Shares of clear sky for a month's days, least first.

    They are the middles of equal parts of a truncated exponential spread with this mean.
    """
    import numpy as np

    width = MOST_CLEAR - LEAST_CLEAR
    aim = min(max((mean - LEAST_CLEAR) / width, 0.02), 0.98)
    low, high = -60.0, 60.0
    for _ in range(60):
        rate = (low + high) / 2
        low, high = (rate, high) if _mean_of_exponential(rate) < aim else (low, rate)
    rate = (low + high) / 2
    part = (np.arange(days) + 0.5) / days
    place = part if abs(rate) < 1e-6 else np.log1p(part * math.expm1(rate)) / rate
    return LEAST_CLEAR + width * place


def _mean_of_exponential(rate: float) -> float:
    """Mean on 0 to 1 of a density proportional to exp(rate x)."""
    if abs(rate) < 1e-6:
        return 0.5
    return 1 / -math.expm1(-rate) - 1 / rate


def _wandering(noise: "Series", alike: float) -> "Series":
    """Noise of variance 1 in which neighbouring values correlate by `alike`."""
    import numpy as np

    fresh = math.sqrt(1 - alike * alike)
    value, found = 0.0, []
    for step in noise.tolist():
        value = alike * value + fresh * step
        found.append(value)
    return np.array(found)
