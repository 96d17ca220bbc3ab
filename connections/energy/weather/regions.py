"""The regions whose typical year can be made, read from `data/irradiance.toml`."""

import functools
import tomllib
from importlib.resources import files

from msgspec import Struct

from connections.energy.energy_errors import EnergyError


class Region(Struct, frozen=True):
    """A region with its monthly means.

    `ghi_w_m2` is the mean global irradiance on a horizontal plane, `temperature_c` the mean
    external temperature and `wind_m_s` the mean wind speed of each month, January first.
    `longitude_deg` counts east. Sources: `sources()`.
    """

    number: int
    name: str
    latitude_deg: float
    longitude_deg: float
    height_m: float
    ghi_w_m2: tuple[float, ...]
    temperature_c: tuple[float, ...]
    wind_m_s: tuple[float, ...]


class SourceOfMeans(Struct, frozen=True):
    """Source of one column of the regions."""

    field: str
    says: str
    document: str
    clause: str
    certainty: str
    note: str


def regions() -> tuple[Region, ...]:
    """All regions, in the order of their numbers."""
    return tuple(_read()[0].values())


def region(number: int) -> Region:
    """The region of a number. Raises EnergyError where there is none."""
    known = _read()[0]
    if number not in known:
        raise EnergyError(
            f"There is no region {number}: pick one of 0 to {max(known)} from the list of regions."
        )
    return known[number]


def sources() -> tuple[SourceOfMeans, ...]:
    """The source and certainty of each column."""
    return _read()[1]


def declination_deg() -> tuple[float, ...]:
    """The solar declination of each month as the table prints it [degrees]."""
    return _read()[2]


@functools.cache
def _read() -> tuple[dict[int, Region], tuple[SourceOfMeans, ...], tuple[float, ...]]:
    text = files("connections.energy").joinpath("data/irradiance.toml").read_text("utf-8")
    plain = tomllib.loads(text)
    found = {}
    for row in plain["regions"]:
        found[row["number"]] = Region(
            number=row["number"],
            name=row["name"],
            latitude_deg=row["latitude_deg"],
            longitude_deg=row["longitude_deg"],
            height_m=float(row["height_m"]),
            ghi_w_m2=tuple(float(value) for value in row["ghi_w_m2"]),
            temperature_c=tuple(row["temperature_c"]),
            wind_m_s=tuple(row["wind_m_s"]),
        )
    told = tuple(
        SourceOfMeans(
            name, row["says"], row["document"], row["clause"], row["certainty"], row.get("note", "")
        )
        for name, row in plain["sources"].items()
    )
    return found, told, tuple(plain["declination_deg"])
