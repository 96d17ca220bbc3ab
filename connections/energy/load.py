"""Use of the house over the year: level, of a standard shape, or metered."""

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from connections.energy.energy_errors import EnergyError
from connections.energy.steps.clock import YEAR, summer_steps
from connections.energy.steps.stepping import in_steps
from connections.facts.defaults import load_kind, rating
from connections.facts.site import Loads, Site

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]

_QUARTERS = 96
"""Quarter hours of a day."""

LARGEST_KWH = 10_000_000
"""A higher yearly use counts as a slip of unit. Our choice."""

HEAT_PUMP_HOURS = 1_200
"""Hours at full power that make a heat pump's year. Common practice, no source."""
VEHICLE_KWH = 2_000
"""What a car takes at home in a year: some 11,000 km at 0.18 kWh. From memory."""


def kwh_of_loads(site: Site) -> dict[str, int]:
    """What the heat pumps and charge points of a site commonly use in a year [kWh], by their names.

    A heat pump without its power is left out.
    """
    found: dict[str, int] = {}
    for load in site.loads.items if isinstance(site.loads, Loads) else ():
        kind, w = load_kind(load), rating(load.w)
        if kind == "heat-pump" and w is not None:
            found[load.name] = found.get(load.name, 0) + w * HEAT_PUMP_HOURS // 1000
        elif kind == "vehicle":
            found[load.name] = found.get(load.name, 0) + VEHICLE_KWH
    return found


@dataclass(frozen=True, eq=False)
class Load:
    """Use of electricity over a year of 365 days, in UTC.

    `kw` holds the mean power of each step [kW], `step_minutes` the length of a step; `told` names
    the source.
    """

    kw: "Series"
    step_minutes: int
    told: tuple[str, ...]

    def in_steps(self, step_minutes: int) -> "Series":
        """The mean power of steps of another length [kW]."""
        return in_steps(self.kw, self.step_minutes, step_minutes)

    @property
    def kwh(self) -> float:
        """The use of the year [kWh]."""
        return float(self.kw.sum()) * self.step_minutes / 60


def household_load(yearly_kwh: float, *, with_seasons: bool = True) -> Load:
    """The standard shape of a household, scaled to the use of a year [kWh].

    `with_seasons` applies the published smoothing over the seasons. Raises EnergyError for an
    impossible use.

    Source: H0 of the German electricity industry's standard load profiles (VDEW 1999, kept by
    BDEW), in quarter hours: `data/household.toml`.
    """
    _plausible(yearly_kwh)
    return Load(
        _household_shape(with_seasons) * yearly_kwh,
        15,
        (
            f"Use: {yearly_kwh:,.0f} kWh a year in the published standard shape of German "
            "households (H0, quarter hours), for no library ships one of Great Britain. It is the "
            "mean of many households: one house has higher peaks, and uses and buys more of its "
            "own at other times than this says.",
        ),
    )


def _plausible(yearly_kwh: float) -> None:
    if not 0 <= yearly_kwh <= LARGEST_KWH:
        raise EnergyError(
            f"A yearly use of {yearly_kwh:g} kWh cannot be: give 0 to {LARGEST_KWH:,} kWh."
        )


@functools.lru_cache(maxsize=2)
def _household_shape(with_seasons: bool) -> "Series":
    """Power of each quarter hour in UTC [kW] for a use of 1 kWh a year."""
    import numpy as np

    clock = household_by_clock(with_seasons)
    # In summer, local time is an hour ahead of UTC. The two clock changes leave out one hour of the
    # night and repeat another.
    first, after = summer_steps(15)
    place = np.arange(len(clock))
    place[first:after] += 4
    shape: Series = clock[place]
    shape = shape / (shape.sum() / 4)
    shape.setflags(write=False)
    return shape


def household_by_clock(with_seasons: bool) -> "Series":
    """A year of quarter hours in local time, whose sum is 4 [kW per kWh a year].

    Source: as for `household_load`. The smoothing is BDEW's, published with -3.92e-10 as its first
    factor. This is that of demandlib 0.2.2: it makes the factors of a year's days 1 on average.
    """
    import datetime as dt

    import numpy as np

    # 2026-11-25: take a German shape, since no library ships one of Great Britain.
    seasons, days = _household_table()
    shape: list[int] = []
    for number in range(365):
        date = dt.date(YEAR, 1, 1) + dt.timedelta(days=number)
        shape += days[_season(seasons, date.month, date.day)][_KINDS[date.weekday()]]
    found = np.array(shape, dtype=float)
    if with_seasons:
        day = (np.arange(len(found)) + 1) / _QUARTERS
        found = found * (
            -3.916649251e-10 * day**4 + 3.2e-7 * day**3 - 7.02e-5 * day**2 + 0.0021 * day + 1.24
        )
    shape_of_one: Series = found / (found.sum() / 4)
    return shape_of_one


_KINDS = (*["weekday"] * 5, "saturday", "sunday")
"""The kind of day of each day of the week, from Monday on."""
_OF_THE_YEAR = {"spring": "transition", "autumn": "transition"}
"""Seasons of the year that share a season of the shape; the others keep their name."""


def _household_table() -> tuple[dict[str, list[int]], dict[str, dict[str, list[int]]]]:
    """Begin (month, day) of each season of the year, and the quarter hours of each kind of day.

    The quarter hours are for each season of the shape [hundredths of a watt].
    """
    import tomllib
    from importlib.resources import files

    text = files("connections.energy").joinpath("data/household.toml").read_text("utf-8")
    table = tomllib.loads(text)
    return table["seasons"], {name: table[name] for name in ("winter", "transition", "summer")}


def _season(seasons: dict[str, list[int]], month: int, day: int) -> str:
    """The season of the shape; before the year's first season, that of the year's end."""
    begun = [name for name, first in seasons.items() if first <= [month, day]]
    last = begun[-1] if begun else list(seasons)[-1]
    return _OF_THE_YEAR.get(last, last)
