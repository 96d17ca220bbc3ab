"""What a year is asked with, as it is stored and told apart, and the year that follows."""

from dataclasses import replace

from msgspec import Struct

from connections.energy.load import household_load
from connections.energy.options import Options
from connections.energy.plant import Plant
from connections.energy.regions import Region
from connections.energy.result import EnergyYear
from connections.energy.sunshine import Sunshine, measured_sun, typical_sun
from connections.energy.year import energy_year
from connections.facts.canonical import digest

METHOD = 1
"""Raised with every change of the calculation, so that years of the old one are known as such."""


class YearAsked(Struct, frozen=True):
    """All that a year of a design follows from.

    `measured_kwh` is a measured yield in a year [kWh AC], of panels with the peak `measured_peak_w`
    [W]; both or neither.
    """

    plant: Plant
    region: Region
    yearly_use_kwh: int
    measured_kwh: int | None = None
    measured_peak_w: int | None = None
    options: Options = Options()
    method: int = METHOD

    @property
    def digest(self) -> str:
        """By which the year is known."""
        return digest(self)


def year_of(asked: YearAsked) -> EnergyYear:
    """The year that follows. Raises EnergyError as `energy_year` does."""
    return energy_year(
        asked.plant, _sun(asked), household_load(asked.yearly_use_kwh), asked.options
    )


def _sun(asked: YearAsked) -> Sunshine:
    """The typical year of the region, or the measured yield in its shape, by peak power."""
    measured, of_w, peak_w = asked.measured_kwh, asked.measured_peak_w, asked.plant.peak_w
    if not measured or not of_w or peak_w <= 0:
        return typical_sun(asked.region)
    sun = measured_sun(measured * peak_w / of_w, asked.region)
    if peak_w == of_w:
        return sun
    told = (
        f"{measured:,} kWh a year were measured with panels of {of_w / 1000:g} kWp; for the "
        f"{peak_w / 1000:g} kWp of this design they are taken in proportion."
    )
    return replace(sun, told=(told, *sun.told))
