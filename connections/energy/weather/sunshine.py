"""The sun of a calculated year: weather over 365 days, and any measured yield."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from connections.energy.energy_errors import EnergyError
from connections.energy.steps.clock import steps_of
from connections.energy.weather.pv import dc_w_per_kwp, share_let_through
from connections.energy.weather.regions import Region
from connections.energy.weather.series import Weather
from connections.energy.weather.typical_year import typical_year

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from connections.energy.efficiencies import Efficiencies
    from connections.energy.plant import Plant, PvArray

    Series = npt.NDArray[np.float64]

LEAST_PER_KWP, MOST_PER_KWP = 100, 1600
"""Yields outside this range count as a slip of unit [kWh/kWp a year]. Our choice."""


@dataclass(frozen=True, eq=False)
class Sunshine:
    """Weather of a year in UTC, and the measured yield of all panels in a year [kWh], or None.

    With a measured yield, the weather gives only the shape. `told` names the sources.
    """

    weather: Weather
    measured_kwh: float | None = None
    told: tuple[str, ...] = ()

    def ghi_by_day(self) -> "Series":
        """Mean irradiance on the horizontal of each day [W/m2]."""
        import numpy as np

        by_day: Series = np.asarray(self.weather.ghi).reshape(365, -1).mean(axis=1)
        return by_day

    def scale_for(self, plant: "Plant", shares: "Efficiencies") -> float:
        """Factor on the panels' power that gives the measured yield; 1 without one.

        The fit comes before any rating. An inverter too small for its panels must not make the sun
        stronger, or a design with a smaller one would seem to lose nothing. Raises EnergyError
        where the plant can't give the yield.
        """
        import numpy as np

        if self.measured_kwh is None:
            return 1.0
        if plant.peak_w <= 0:
            raise EnergyError("A measured yield needs panels: this design has none.")
        per_kwp = self.measured_kwh / plant.peak_w * 1000
        if not LEAST_PER_KWP <= per_kwp <= MOST_PER_KWP:
            raise EnergyError(
                f"A measured yield of {self.measured_kwh:,.0f} kWh from {plant.peak_w / 1000:g} "
                f"kWp is {per_kwp:,.0f} kWh for each kWp; {LEAST_PER_KWP} to {MOST_PER_KWP} can "
                "be. Check the figure, its unit and the peak power."
            )
        hours = self.weather.step_minutes / 60
        units = [(unit.rated_w, _dc_w(self.weather, unit.arrays)) for unit in plant.with_panels]

        def made(scale: float) -> float:
            total = 0.0
            for rated_w, dc_w in units:
                power = dc_w * scale
                share = (
                    share_let_through(power, rated_w, shares.inverter)
                    if shares.part_load
                    else shares.inverter
                )
                total += float(np.sum(power * share))
            return total * hours / 1000

        low, high = 0.02, 5.0
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if made(middle) < self.measured_kwh else (low, middle)
        return (low + high) / 2


def typical_sun(region: Region) -> Sunshine:
    """The typical year of a region."""
    weather = typical_year(region)
    return Sunshine(weather, None, weather.told)


def with_yield(sun: Sunshine, yearly_kwh: float, shape: str) -> Sunshine:
    """This sun with a measured yearly yield of all panels [kWh AC].

    `shape` names the source of its shape ("the typical year of ...").
    """
    told = (
        f"Sun: {yearly_kwh:,.0f} kWh a year as measured, spread over the year as {shape} has it. "
        "The yield is taken as AC after conversion, before a rating or an export limit takes from "
        "it; panels that look another way than those measured are not told apart."
    )
    return replace(sun, measured_kwh=yearly_kwh, told=(told, *sun.told))


def sun_of_weather(weather: Weather) -> Sunshine:
    """The sun of uploaded or other weather. Raises EnergyError if it is no whole year in UTC."""
    if len(weather.ghi) != steps_of(weather.step_minutes):
        raise EnergyError("The weather must cover 365 days in steps of 15, 30 or 60 minutes.")
    return Sunshine(weather, None, weather.told)


def _dc_w(weather: Weather, arrays: tuple["PvArray", ...]) -> "Series":
    import numpy as np

    power = np.zeros(len(weather.ghi))
    for array in arrays:
        power += array.peak_w / 1000 * dc_w_per_kwp(weather, array.tilt_deg, array.azimuth_deg)
    return power
