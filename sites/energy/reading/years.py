"""The energy year of each design: what it rests on, whether it is worked out for that, and what it
says."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from msgspec import Struct, ValidationError, convert

from connections.energy.asked import FileAsked, YearAsked
from connections.energy.faults import EnergyError
from connections.energy.from_site import plant_of
from connections.energy.options import Options, Prices, Window
from connections.energy.plant import Plant
from connections.energy.result import EnergyYear
from connections.energy.weather.regions import Region, region, regions
from connections.facts.site import Site
from sites.deciding.reading.deciding import DecidedSite, assessor, decide_rows
from sites.energy.models import EnergyFile, EnergyInputs
from sites.house.models import Work
from sites.house.models.work import YEAR
from sites.premises.models import Design, Premises
from sites.premises.reading.site_rows import rows_of_designs

Kind = Literal["no-inputs", "needs", "not-asked", "changed", "waiting", "failed", "done"]

OFFERED = range(1, 22)
"""Numbers of the regions that a premises may lie in; 0 is the average of the United Kingdom."""


@dataclass(frozen=True)
class YearState:
    """How the year of a design stands.

    `asked` is what it would follow from now, None where that is not all known; `says` tells how it
    stands in words, `result` what was worked out for exactly this.
    """

    kind: Kind
    says: tuple[str, ...]
    asked: YearAsked | None = None
    result: EnergyYear | None = None


@dataclass(frozen=True)
class DesignYear:
    """A design with its decision and its year."""

    design: Design
    decided: DecidedSite
    year: YearState


class Progress(Struct, frozen=True):
    """How many designs were asked for and done; since when the rest waits, None for no rest."""

    asked: int
    done: int
    since: dt.datetime | None

    @property
    def ended(self) -> bool:
        """Whether none waits."""
        return self.since is None


@dataclass(frozen=True)
class YearsOfPremises:
    """What the years of a premises rest on, its designs as entered, and how far their years are."""

    inputs: EnergyInputs | None
    designs: tuple[DesignYear, ...]
    progress: Progress


def years_of(premises: Premises) -> YearsOfPremises:
    """The designs of a premises with their years.

    A number of queries that does not grow with designs.
    """
    designs = list(premises.designs.all())
    for design in designs:
        design.premises = premises
    rows = rows_of_designs(designs)
    under = assessor()
    inputs = latest_inputs(premises)
    years = years_by_design(designs)
    found = []
    for design in designs:
        decided = decide_rows(rows[design.pk], under=under)
        year = year_state(decided.site, decided.fault, inputs, years.get(design.pk))
        found.append(DesignYear(design, decided, year))
    return YearsOfPremises(inputs, tuple(found), progress_among(years.values()))


def offered_regions() -> tuple[Region, ...]:
    """The regions to pick from, by number."""
    return tuple(each for each in regions() if each.number in OFFERED)


def latest_inputs(premises: Premises) -> EnergyInputs | None:
    """What the years of a premises rest on; one query."""
    return (
        EnergyInputs.objects.filter(premises=premises)
        .select_related("entered_by", "meter_file__added_by", "irradiance_file__added_by")
        .order_by("-pk")
        .first()
    )


def years_by_design(designs: Iterable[Design]) -> dict[int, Work]:
    """The year that was last asked for each design, by its primary key; one query."""
    rows = Work.objects.filter(kind=YEAR, design__in=list(designs)).defer("asked")
    return {row.design_id: row for row in rows if row.design_id is not None}


def asked_for(plant: Plant, inputs: EnergyInputs) -> YearAsked:
    """The year of a plant under what was entered for its premises."""
    return YearAsked(
        plant=plant,
        region=region(inputs.region),
        yearly_use_kwh=inputs.yearly_use_kwh,
        measured_kwh=inputs.measured_yield_kwh,
        measured_peak_w=inputs.measured_peak_w,
        meter=_file_asked(inputs.meter_file),
        irradiance=_file_asked(inputs.irradiance_file),
        options=options_of(inputs),
    )


def options_of(inputs: EnergyInputs) -> Options:
    """Step, windows and prices that were entered."""
    return Options(
        step_minutes=inputs.step_minutes,
        cheap=_window(inputs.cheap_from_minute, inputs.cheap_to_minute),
        sell=_window(inputs.sell_from_minute, inputs.sell_to_minute),
        prices=Prices(
            import_pence=_pence(inputs.import_pence),
            export_pence=_pence(inputs.export_pence),
            cheap_pence=_pence(inputs.cheap_pence),
            sell_pence=_pence(inputs.sell_pence),
        ),
    )


def _file_asked(file: EnergyFile | None) -> FileAsked | None:
    if file is None:
        return None
    read = {"sha256": file.sha256, "clock": file.clock, "stamps": file.stamps}
    return convert({**read, "unit": file.unit or None}, FileAsked)


def _window(from_minute: int | None, to_minute: int | None) -> Window | None:
    if from_minute is None or to_minute is None:
        return None
    return Window(from_minute, to_minute)


def _pence(price: Decimal | None) -> float | None:
    return None if price is None else float(price)


def year_state(
    site: Site | None, fault: str, inputs: EnergyInputs | None, row: Work | None
) -> YearState:
    """How the year of a design stands.

    Args:
        site: the facts with the design; None where they cannot be read, and then `fault` says why.
        inputs: what the premises' years rest on.
        row: what was last asked for this design.
    """
    if site is None:
        return YearState("needs", (fault,))
    try:
        found = plant_of(site)
    except EnergyError as error:
        return YearState("needs", (str(error),))
    if found.plant is None:
        return YearState("needs", found.needs)
    if inputs is None:
        return YearState("no-inputs", ("Needs the region and the yearly use: enter them below.",))
    asked = asked_for(found.plant, inputs)
    if row is None:
        return YearState("not-asked", ("Not worked out yet.",), asked)
    if row.digest != asked.digest:
        return YearState("changed", (_CHANGED,), asked)
    if row.done_at is None:
        return YearState("waiting", ("Being worked out.",), asked)
    if row.fault:
        return YearState("failed", (row.fault,), asked)
    try:
        result = convert(row.results, EnergyYear)
    except ValidationError:
        # Stored by a program that kept other figures.
        return YearState("changed", (_CHANGED,), asked)
    steps = f"Worked out in steps of {result.step_minutes} minutes."
    return YearState("done", (steps,), asked, result)


_CHANGED = "Not worked out for this: the design, or what the year rests on, has changed since."


def failed_years(premises: Premises) -> int:
    """How many years of a premises could not be worked out; one query."""
    rows = Work.objects.filter(kind=YEAR, design__premises=premises, done_at__isnull=False)
    return rows.exclude(fault="").count()


def progress_of(premises: Premises) -> Progress:
    """How far the years of a premises are; one query."""
    rows = Work.objects.filter(kind=YEAR, design__premises=premises)
    return progress_among(rows.defer("asked", "results"))


def progress_among(rows: Iterable[Work]) -> Progress:
    """The same of rows at hand."""
    found = list(rows)
    waiting = [row.asked_at for row in found if row.done_at is None]
    return Progress(len(found), len(found) - len(waiting), min(waiting, default=None))
