"""Inputs of an energy year, as stored and told apart, and the year that they give."""

from collections.abc import Callable
from dataclasses import replace

from msgspec import Struct

from connections.energy.energy_errors import EnergyError
from connections.energy.files.irradiance import read_irradiance
from connections.energy.files.meter import Unit, read_meter
from connections.energy.files.series import Clock, Stamps
from connections.energy.load import Load, household_load
from connections.energy.options import Options
from connections.energy.plant import Plant
from connections.energy.result import EnergyYear
from connections.energy.weather.regions import Region
from connections.energy.weather.sunshine import Sunshine, sun_of_weather, typical_sun, with_yield
from connections.energy.year import energy_year
from connections.facts.canonical import digest

METHOD = 3
"""Raise it with every change of the calculation, so that years of the old one can be recognised."""

Files = Callable[[str], bytes]
"""Gives the bytes of a file by its SHA-256 in hexadecimal."""


class FileAsked(Struct, frozen=True):
    """An uploaded file by the SHA-256 of its bytes, and how to read it.

    The readers of files in connections.energy say what each choice means.
    """

    sha256: str
    clock: Clock
    stamps: Stamps = "begin"
    unit: Unit | None = None


class YearAsked(Struct, frozen=True):
    """All inputs of a design's year.

    Use comes from `meter`, a file of readings, or else from `yearly_use_kwh`. Sun comes from
    `irradiance`, a file, or else from the typical year of the region. `measured_kwh` is a measured
    yearly yield [kWh AC] of panels with the peak `measured_peak_w` [W]; give both or neither.
    """

    plant: Plant
    region: Region
    yearly_use_kwh: int | None = None
    measured_kwh: int | None = None
    measured_peak_w: int | None = None
    meter: FileAsked | None = None
    irradiance: FileAsked | None = None
    options: Options = Options()
    method: int = METHOD

    @property
    def digest(self) -> str:
        """Digest that identifies the year."""
        return digest(self)


def year_of(asked: YearAsked, files: Files) -> EnergyYear:
    """Calculate the year. Raises EnergyError as `energy_year` and the readers of files do."""
    return energy_year(asked.plant, sun_of(asked, files), load_of(asked, files), asked.options)


def load_of(asked: YearAsked, files: Files) -> Load:
    """The use of the year: as metered, or a yearly use in the standard shape."""
    meter = asked.meter
    if meter is not None:
        return read_meter(
            files(meter.sha256), clock=meter.clock, stamps=meter.stamps, unit=meter.unit
        )
    if asked.yearly_use_kwh is None:
        raise EnergyError("Neither a yearly use nor a meter's file is given.")
    return household_load(asked.yearly_use_kwh)


def sun_of(asked: YearAsked, files: Files) -> Sunshine:
    """The sun of the year, with any measured yield scaled by peak power."""
    file = asked.irradiance
    if file is None:
        sun = typical_sun(asked.region)
    else:
        sun = sun_of_weather(
            read_irradiance(files(file.sha256), asked.region, clock=file.clock, stamps=file.stamps)
        )
    measured, of_w, peak_w = asked.measured_kwh, asked.measured_peak_w, asked.plant.peak_w
    if not measured or not of_w or peak_w <= 0:
        return sun
    return _measured(sun, asked, measured, of_w)


def _measured(sun: Sunshine, asked: YearAsked, measured: int, of_w: int) -> Sunshine:
    peak_w = asked.plant.peak_w
    shape = (
        f"the typical year of the region {asked.region.name}"
        if asked.irradiance is None
        else "the uploaded irradiance"
    )
    found = with_yield(sun, measured * peak_w / of_w, shape)
    if peak_w == of_w:
        return found
    told = (
        f"{measured:,} kWh a year were measured with panels of {of_w / 1000:g} kWp; for the "
        f"{peak_w / 1000:g} kWp of this design they are taken in proportion."
    )
    return replace(found, told=(told, *found.told))
