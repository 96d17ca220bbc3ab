"""The two weather years that pvlib ships, as weather; each is read once."""

import datetime as dt
import functools
from pathlib import Path
from typing import Any

import pvlib

from connections.energy.weather.pv import dc_w_per_kwp
from connections.energy.weather.series import Weather

GREENSBORO, SAND_POINT = "723170TYA.CSV", "703165TY.csv"


@functools.cache
def read(name: str) -> tuple[Any, dict[str, Any]]:
    file = Path(pvlib.__file__).parent / "data" / name
    data, meta = pvlib.iotools.read_tmy3(file, coerce_year=1990, map_variables=True)
    return data, meta


@functools.cache
def weather_year(name: str) -> Weather:
    """Stamps of these files say when an hour ends, in the zone of the place."""
    data, meta = read(name)
    columns = ("ghi", "dni", "dhi", "temp_air", "wind_speed")
    return Weather(
        meta["latitude"],
        meta["longitude"],
        meta["altitude"],
        dt.datetime(1990, 1, 1, tzinfo=dt.UTC) - dt.timedelta(hours=meta["TZ"]),
        60,
        *(data[column].to_numpy(float) for column in columns),
    )


@functools.cache
def six_kwp(name: str) -> Any:
    """DC power of 6 kWp at 35 degrees, south [kW], hour by hour."""
    return 6 * dc_w_per_kwp(weather_year(name), 35, 180) / 1000
