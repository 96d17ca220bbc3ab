"""Reads files of meter readings and irradiance, and describes their content."""

import functools
from dataclasses import dataclass
from typing import Literal
from uuid import UUID

from msgspec import Struct, ValidationError, convert

from connections.energy.energy_errors import EnergyError
from connections.energy.files.irradiance import read_irradiance
from connections.energy.files.meter import Unit, read_meter
from connections.energy.files.series import Clock, Stamps
from connections.energy.weather.regions import region
from sites.energy.models import EnergyFile
from sites.house import storage
from sites.premises.models import Premises

Kind = Literal["meter", "irradiance"]


class HowRead(Struct, frozen=True):
    """How to read a file; connections.energy's readers explain the choices."""

    clock: Clock
    stamps: Stamps = "begin"
    unit: Unit | None = None


class Holds(Struct, frozen=True):
    """The content of a file in words: amount, steps, and changes made in reading.

    `total` is the amount: kWh of use, or kWh/m2 of light on a horizontal plane.
    """

    total: float
    says: str
    done: tuple[str, ...]


@dataclass(frozen=True)
class FileShown:
    """A file with its content, or with the fault that prevents reading it."""

    file: EnergyFile
    holds: Holds | None
    fault: str
    read_as: tuple[str, ...]


def how_read(file: EnergyFile) -> HowRead:
    """Return how a stored file is read."""
    return convert({"clock": file.clock, "stamps": file.stamps, "unit": file.unit or None}, HowRead)


def read_content(kind: Kind, content: bytes, how: HowRead, region_number: int) -> Holds:
    """Read a whole file; light is read for the place of a region. Raises SeriesFileError."""
    if kind == "meter":
        load = read_meter(content, clock=how.clock, stamps=how.stamps, unit=how.unit)
        used = load.kwh
        return Holds(
            used, f"{used:,.0f} kWh in steps of {load.step_minutes} minutes", load.told[1:]
        )
    weather = read_irradiance(content, region(region_number), clock=how.clock, stamps=how.stamps)
    light = float(weather.ghi.sum()) * weather.step_minutes / 60_000
    return Holds(
        light,
        f"{light:,.0f} kWh/m² on the level in steps of {weather.step_minutes} minutes",
        weather.told[1:],
    )


@functools.lru_cache(maxsize=64)
def _kept_holds(kind: Kind, sha256: str, how: HowRead, region_number: int) -> Holds:
    return read_content(kind, storage.stored(sha256), how, region_number)


def kept_holds(file: EnergyFile, how: HowRead, region_number: int) -> Holds:
    """Return the content of a stored file, read in this way and for this region.

    Raises SeriesFileError, and FileGoneError if its bytes are no longer in the store.
    """
    if not storage.path_of(file.sha256).is_file():
        raise storage.FileGoneError(f"The file {file.name} is not in the store any more.")
    return _kept_holds(kind_of(file), file.sha256, how, region_number)


def kind_of(file: EnergyFile) -> Kind:
    """Return the kind of a file."""
    return "meter" if file.kind == "meter" else "irradiance"


def file_of(premises: Premises, kind: Kind, key: UUID | str | None) -> EnergyFile | None:
    """Return the file of a premises with this key, None if it has no such file; one query."""
    if not key:
        return None
    try:
        key = key if isinstance(key, UUID) else UUID(str(key))
    except ValueError:
        return None
    return (
        EnergyFile.objects.filter(premises=premises, kind=kind, key=key)
        .select_related("added_by")
        .first()
    )


def file_shown(file: EnergyFile, region_number: int | None) -> FileShown:
    """Return a file for a page; light is read for the region, if one is picked."""
    holds, fault = None, ""
    read_as: tuple[str, ...] = ()
    try:
        how = how_read(file)
        read_as = read_words(kind_of(file), how)
        if file.kind == "meter" or region_number is not None:
            holds = kept_holds(file, how, region_number or 0)
    except (EnergyError, storage.FileGoneError) as wrong:
        fault = str(wrong)
    except ValidationError:
        fault = "It was kept to be read in a way that is not known any more; choose it again."
    return FileShown(file, holds, fault, read_as)


def read_words(kind: Kind, how: HowRead) -> tuple[str, ...]:
    """Return in words how a file is read."""
    by = "UTC" if how.clock == "utc" else "the clock on the wall"
    of_unit = f"values in {how.unit}" if how.unit is not None else "unit as its column says"
    return (
        f"times by {by} where they have no offset",
        f"a time says when its step {'begins' if how.stamps == 'begin' else 'ends'}",
        *((of_unit,) if kind == "meter" else ()),
    )
