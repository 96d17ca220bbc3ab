"""Read an uploaded CSV file of irradiance as weather."""

import datetime as dt
from typing import TYPE_CHECKING

from connections.energy.energy_errors import SeriesFileError
from connections.energy.files.series import (
    Clock,
    Reading,
    SeriesRow,
    Stamper,
    Stamps,
    Table,
    number_in,
    read_table,
    step_of,
    year_of,
)
from connections.energy.steps.clock import DAYS, YEAR
from connections.energy.weather.regions import Region
from connections.energy.weather.series import Weather
from connections.energy.weather.sky import Sun, sun_over
from connections.energy.weather.typical_year import SWING_K

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]

COLUMNS = {
    "time": ("time", "timestamp", "datetime", "date and time"),
    "ghi": ("ghi", "ghi_w_m2", "global horizontal irradiance"),
    "dni": ("dni", "dni_w_m2", "direct normal irradiance"),
    "dhi": ("dhi", "dhi_w_m2", "diffuse horizontal irradiance"),
    "temperature": ("temperature", "temperature_c", "temp_air", "temp_c"),
    "wind": ("wind", "wind_m_s", "wind_speed"),
}
"""Accepted names of each column, in small letters."""

_BOUNDS = {
    "ghi": (-20.0, 1600.0, "W/m2"),
    "dni": (-20.0, 1600.0, "W/m2"),
    "dhi": (-20.0, 1200.0, "W/m2"),
    "temperature": (-60.0, 60.0, "degrees Celsius"),
    "wind": (0.0, 80.0, "m/s"),
}
"""Possible values; a sensor may show a little less than 0 at night. Our choice."""

LONGEST_GAP_HOURS = 3.0
"""A longer gap in sunlight is refused. Our choice."""

LEAST_LIGHT_KWH, MOST_LIGHT_KWH = 500, 1500
"""Yearly light on the horizontal [kWh/m2]; a value outside counts as a slip of unit. Our choice,
round figures about the 700 to 1,250 of Great Britain and Ireland (from memory; the typical years of
the regions lie inside as well)."""

MOST_AT_NIGHT = 0.01
"""Largest share of light while the sun is down; more counts as a wrong clock or place."""

_OFF_NOON_MINUTES = 30
"""If the middle of the light lies further from the sun's noon, a sentence says so."""


def read_irradiance(data: bytes, region: Region, *, clock: Clock, stamps: Stamps) -> Weather:
    """Weather of a common year from a CSV file in steps of 15, 30 or 60 minutes.

    Columns: time and ghi [W/m2]; dni and dhi [W/m2] both or neither; temperature [deg C] and wind
    [m/s] if known. The place is that of the region. Raises SeriesFileError.
    """
    table = read_table(data)
    places = _columns(table)
    stamper = Stamper(clock)
    names = tuple(name for name in places if name != "time")
    readings = []
    for row in table.rows:
        text = row.cells[places["time"]] if places["time"] < len(row.cells) else ""
        starts = stamper.utc(text, row, table.columns[places["time"]])
        values = tuple(_bounded(table, row, places[name], name) for name in names)
        readings.append(Reading(starts, values, row.line))
    if stamps == "end":
        back = dt.timedelta(minutes=step_of(readings))
        readings = [Reading(each.starts - back, each.values, each.line) for each in readings]
    else:
        step_of(readings)
    year = year_of(readings, "between", LONGEST_GAP_HOURS, clock)
    found = dict(zip(names, year.columns, strict=True))
    return _weather(found, year.step_minutes, region, _told(clock, stamps, year.told, region))


def _columns(table: Table) -> dict[str, int]:
    """Find the position of each known column."""
    places: dict[str, int] = {}
    for name, known in COLUMNS.items():
        found = [n for n, column in enumerate(table.names) if column in known]
        if len(found) > 1:
            raise SeriesFileError(
                f"Two columns could be {name}.", "Keep one.", column=table.columns[found[1]]
            )
        if found:
            places[name] = found[0]
    for name in ("time", "ghi"):
        if name not in places:
            raise SeriesFileError(
                f"There is no column {name}.",
                f"Name one of them {' or '.join(COLUMNS[name][:2])}; there are "
                f"{', '.join(table.columns)[:200]}.",
                line=1,
            )
    if ("dni" in places) != ("dhi" in places):
        missing = "dhi" if "dni" in places else "dni"
        raise SeriesFileError(
            f"There is no column {missing}.", "Give both dni and dhi, or neither.", line=1
        )
    return places


def _bounded(table: Table, row: SeriesRow, column: int, name: str) -> float | None:
    value = number_in(table, row, column)
    if value is None:
        return None
    least, most, unit = _BOUNDS[name]
    if not least <= value <= most:
        raise SeriesFileError(
            f"{value:g} {unit} cannot be ({least:g} to {most:g} can).",
            "Check the unit of the column.",
            line=row.line,
            column=table.columns[column],
        )
    return max(value, 0.0) if unit == "W/m2" else value


def _told(clock: Clock, stamps: Stamps, done: tuple[str, ...], region: Region) -> tuple[str, ...]:
    by = "UTC" if clock == "utc" else "the clock on the wall in Great Britain"
    return (
        f"Sun: an uploaded file of irradiance, its stamps read as the {stamps} of each step by "
        f"{by} where they have no offset, at the place of the region {region.name}.",
        *done,
    )


def _weather(
    found: dict[str, "Series"], step: int, region: Region, told: tuple[str, ...]
) -> Weather:
    import numpy as np
    import pandas as pd
    import pvlib

    begin = dt.datetime(YEAR, 1, 1, tzinfo=dt.UTC)
    ghi = found["ghi"]
    middles = pd.date_range(
        begin + dt.timedelta(minutes=step / 2), periods=len(ghi), freq=f"{step}min"
    )
    sun = sun_over(middles, region.latitude_deg, region.longitude_deg, region.height_m)
    told += _fits_the_sun(ghi, sun, step, region)
    if "dni" in found:
        dni, dhi = found["dni"], found["dhi"]
    else:
        split = pvlib.irradiance.erbs(ghi, sun.zenith, middles.dayofyear.to_numpy())
        dni, dhi = np.asarray(split["dni"], dtype=float), np.asarray(split["dhi"], dtype=float)
        told += ("Direct and diffuse light were told apart after Erbs.",)
    month = np.repeat(np.arange(12), np.array(DAYS) * (1440 // step))
    if "temperature" in found:
        temperature = found["temperature"]
    else:
        hour = middles.hour.to_numpy() + middles.minute.to_numpy() / 60
        swing = SWING_K * np.cos((hour - 15) / 24 * 2 * np.pi)
        temperature = np.array(region.temperature_c)[month] + swing
        told += ("Air temperature is not in the file: monthly means of the region were taken.",)
    if "wind" in found:
        wind = found["wind"]
    else:
        wind = np.array(region.wind_m_s)[month]
        told += ("Wind is not in the file: monthly means of the region were taken.",)
    return Weather(
        region.latitude_deg, region.longitude_deg, region.height_m,
        begin, step, ghi, dni, dhi, temperature, wind, told,
    )  # fmt: skip


def _fits_the_sun(ghi: "Series", sun: Sun, step: int, region: Region) -> tuple[str, ...]:
    """Compare light and sun. Raises SeriesFileError where they clearly do not fit."""
    import numpy as np

    total = float(ghi.sum())
    if total <= 0:
        raise SeriesFileError("There is no light in it.", "Check the column ghi.", column="ghi")
    _plausible(total * step / 60_000)
    # A step in which the sun rises has light although its middle lies before sunrise.
    at_night = float(ghi[sun.zenith > 90 + step / 4].sum()) / total
    if at_night > MOST_AT_NIGHT:
        raise SeriesFileError(
            f"{at_night:.0%} of the light comes while the sun is down in {region.name}.",
            "Check the clock (UTC or local), what the stamps stand for, and the region.",
        )
    # Morning and afternoon light balance around the sun's noon.
    hours = (np.arange(len(ghi)) + 0.5) * step / 60 + region.longitude_deg / 15
    from_noon = (hours % 24) - 12
    middle = float((ghi * from_noon).sum()) / total * 60
    if abs(middle) > _OFF_NOON_MINUTES:
        side = "before" if middle < 0 else "after"
        return (
            f"The light of the file lies {abs(middle):.0f} minutes {side} the sun's noon on the "
            "whole year: check the clock and what its stamps stand for.",
        )
    return ()


def _plausible(light_kwh: float) -> None:
    """Raises SeriesFileError for yearly light on the horizontal [kWh/m2] that no place here has."""
    if LEAST_LIGHT_KWH <= light_kwh <= MOST_LIGHT_KWH:
        return
    thousandfold = LEAST_LIGHT_KWH <= light_kwh * 1000 <= MOST_LIGHT_KWH
    amount = f"{light_kwh:,.0f}" if light_kwh >= 10 else f"{light_kwh:.1f}"
    raise SeriesFileError(
        f"It has {amount} kWh/m² of light on the level in a year; "
        f"{LEAST_LIGHT_KWH:,} to {MOST_LIGHT_KWH:,} can be here.",
        "These seem to be kW/m²: multiply them by 1,000."
        if thousandfold
        else "Check its unit: mean W/m² of each step.",
        column="ghi",
    )
