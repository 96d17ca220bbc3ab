"""Energy year of each design: its inputs, its state, and its result."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from msgspec import Struct, ValidationError, convert

from connections.energy.asked import FileAsked, YearAsked
from connections.energy.energy_errors import EnergyError
from connections.energy.from_site import plant_of
from connections.energy.options import HourPrice, Options, Prices, Window
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
"""Numbers of the regions on offer; 0 is the average of the United Kingdom."""


@dataclass(frozen=True)
class YearState:
    """The state of a design's year.

    `asked` is the year that would be asked for now; None if facts are missing. `says` describes the
    state in words. `result` is the result for exactly this request.
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
    """Numbers of years asked for and done; `since` is the oldest waiting request, or None."""

    asked: int
    done: int
    since: dt.datetime | None

    @property
    def ended(self) -> bool:
        """Whether no year waits."""
        return self.since is None


@dataclass(frozen=True)
class YearsOfPremises:
    """The inputs of a premises' years, its designs as entered, and the progress of their years."""

    inputs: EnergyInputs | None
    designs: tuple[DesignYear, ...]
    progress: Progress


def years_of(premises: Premises) -> YearsOfPremises:
    """Return the designs of a premises with their years.

    The number of queries does not grow with designs.
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
    """Return the regions to choose from, by number."""
    return tuple(each for each in regions() if each.number in OFFERED)


def latest_inputs(premises: Premises) -> EnergyInputs | None:
    """Return the latest inputs of a premises' years; one query."""
    return (
        EnergyInputs.objects.filter(premises=premises)
        .select_related("entered_by", "meter_file__added_by", "irradiance_file__added_by")
        .order_by("-pk")
        .first()
    )


def years_by_design(designs: Iterable[Design]) -> dict[int, Work]:
    """Return each design's last request for a year, by its primary key; one query."""
    rows = Work.objects.filter(kind=YEAR, design__in=list(designs)).defer("asked")
    return {row.design_id: row for row in rows if row.design_id is not None}


def asked_for(plant: Plant, inputs: EnergyInputs) -> YearAsked:
    """Return the year of a plant with the inputs of its premises."""
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
    """Return the step, windows and prices of the inputs."""
    return Options(
        step_minutes=inputs.step_minutes,
        cheap=_window(inputs.cheap_from_minute, inputs.cheap_to_minute),
        sell=_window(inputs.sell_from_minute, inputs.sell_to_minute),
        prices=Prices(
            import_pence=_pence(inputs.import_pence),
            export_pence=_pence(inputs.export_pence),
            cheap_pence=_pence(inputs.cheap_pence),
            sell_pence=_pence(inputs.sell_pence),
            import_hours=_hours(inputs.import_hours),
            export_hours=_hours(inputs.export_hours),
            standing_pence=_pence(inputs.standing_pence),
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


def _hours(rows: list[list[int | str]]) -> tuple[HourPrice, ...]:
    return tuple(
        HourPrice(Window(int(begins), int(ends)), float(price)) for begins, ends, price in rows
    )


def _pence(price: Decimal | None) -> float | None:
    return None if price is None else float(price)


def year_state(
    site: Site | None, fault: str, inputs: EnergyInputs | None, row: Work | None
) -> YearState:
    """Return the state of a design's year.

    Args:
        site: the facts with the design; None if they cannot be read, which `fault` explains.
        inputs: the inputs of the premises' years.
        row: the last request for this design.
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
        # Another version of the program stored other figures.
        return YearState("changed", (_CHANGED,), asked)
    steps = f"Worked out in steps of {result.step_minutes} minutes."
    return YearState("done", (steps,), asked, result)


_CHANGED = "Not worked out for this: the design, or what the year rests on, has changed since."


def failed_years(premises: Premises) -> int:
    """Count the years of a premises that failed; one query."""
    rows = Work.objects.filter(kind=YEAR, design__premises=premises, done_at__isnull=False)
    return rows.exclude(fault="").count()


def progress_of(premises: Premises) -> Progress:
    """Return the progress of a premises' years; one query."""
    rows = Work.objects.filter(kind=YEAR, design__premises=premises)
    return progress_among(rows.defer("asked", "results"))


def progress_among(rows: Iterable[Work]) -> Progress:
    """Return the progress of these rows."""
    found = list(rows)
    waiting = [row.asked_at for row in found if row.done_at is None]
    return Progress(len(found), len(found) - len(waiting), min(waiting, default=None))
