"""Entering what the energy year of a premises rests on, asking for the years of its designs, and
working them out in the worker."""

from collections.abc import Collection
from uuid import UUID

from django.db import transaction
from django.utils import timezone
from msgspec import convert, to_builtins

from connections import storage
from connections.energy.asked import YearAsked, year_of
from connections.energy.faults import EnergyError
from connections.energy.options import Window
from connections.energy.result import EnergyYear
from connections.models import DesignYear, EnergyFile, EnergyInputs
from connections.selectors.energy_files import Kind, file_of, how_read, kept_holds
from connections.selectors.energy_years import latest_inputs
from connections.selectors.side_by_side import side_by_side
from connections.services.asked_rows import note_asked_fault, noting_faults, waiting
from connections.services.energy_given import Given as Given
from connections.services.energy_given import check_given
from connections.services.energy_odd import odd_figures
from connections.services.refusals import FactsChangedError, RefusedError
from sites.models import Design, Person, Premises
from sites.services.events import record


@transaction.atomic
def enter_inputs(
    *, premises: Premises, given: Given, seen: str, by: Person, sure: Collection[str] = ()
) -> EnergyInputs:
    """Enter what the years of a premises rest on from now on.

    `seen` is the key of what the page showed, empty where there was nothing; `sure` the keys of odd
    figures that the person says are so (connections.services.energy_odd). Raises RefusedError
    naming the box at fault or of the odd figure, and FactsChangedError where somebody else entered
    something meanwhile.
    """
    check_given(given)
    # Under this lock no sweep takes out a file that is about to be entered.
    Premises.objects.select_for_update().get(pk=premises.pk)
    meter = _file(premises, "meter", given.meter_key, given.region)
    irradiance = _file(premises, "irradiance", given.irradiance_key, given.region)
    for odd in odd_figures(given, metered_kwh(meter)):
        if odd.key not in sure:
            raise RefusedError(odd.says, odd.box)
    before = latest_inputs(premises)
    if (str(before.key) if before is not None else "") != seen:
        raise FactsChangedError(
            "Somebody else entered a region and use since you opened this page. It is shown beside "
            "your figures: send them again if yours are right."
        )
    made = EnergyInputs.objects.create(
        premises=premises,
        region=given.region,
        yearly_use_kwh=given.yearly_use_kwh,
        measured_yield_kwh=given.measured_yield_kwh,
        measured_peak_w=given.measured_peak_w,
        meter_file=meter,
        irradiance_file=irradiance,
        step_minutes=given.step_minutes,
        **_minutes("cheap", given.cheap),
        **_minutes("sell", given.sell),
        import_pence=given.import_pence,
        export_pence=given.export_pence,
        cheap_pence=given.cheap_pence,
        sell_pence=given.sell_pence,
        entered_by=by,
        entered_at=timezone.now(),
    )
    record("energy.entered", by=by, subject=premises)
    return made


def metered_kwh(file: EnergyFile | None) -> float | None:
    """The use in a file of readings [kWh]; None for no file, or one that cannot be read now."""
    if file is None:
        return None
    try:
        return kept_holds(file, how_read(file), 0).total
    except (EnergyError, storage.FileGoneError):
        return None


def _minutes(name: str, window: Window | None) -> dict[str, int | None]:
    return {
        f"{name}_from_minute": None if window is None else window.from_minute,
        f"{name}_to_minute": None if window is None else window.to_minute,
    }


def _file(premises: Premises, kind: Kind, key: UUID | None, region: int) -> EnergyFile | None:
    """A file of the premises, read once more, since light is read for the place of the region."""
    if key is None:
        return None
    box = f"{kind}_file"
    found = file_of(premises, kind, key)
    if found is None:
        raise RefusedError("That file is not among those of this premises: choose it again.", box)
    try:
        kept_holds(found, how_read(found), region)
    except (EnergyError, storage.FileGoneError) as fault:
        raise RefusedError(f"{found.name}: {fault}", box) from None
    return found


@transaction.atomic
def ask_for_years(*, premises: Premises, by: Person) -> int:
    """Have the years worked out that are not there for the designs as they stand; how many.

    What waits already is asked for once more, in case its worker died. Raises RefusedError where
    there is nothing to work out.
    """
    premises = Premises.objects.select_for_update().get(pk=premises.pk)
    states = [(one.design, one.year) for one in side_by_side(premises).designs]
    wanted = [
        (design, state.asked)
        for design, state in states
        if state.asked is not None and state.kind != "done"
    ]
    if not wanted:
        kinds = {state.kind for _, state in states}
        if "done" in kinds:
            raise RefusedError("Every design that has all its facts is worked out already.")
        raise RefusedError(
            "Enter the region and the yearly use first."
            if "no-inputs" in kinds
            else "No design has all the facts that a year needs; the table says what is missing."
        )
    for design, asked in wanted:
        _ask(design, asked, by)
    record("energy.asked", by=by, subject=premises, data={"designs": len(wanted)})
    return len(wanted)


def _ask(design: Design, asked: YearAsked, by: Person) -> None:
    from connections.tasks import work_out_year

    digest = asked.digest
    DesignYear.objects.update_or_create(
        design=design,
        defaults={
            "digest": digest,
            "asked": to_builtins(asked),
            "asked_by": by,
            "asked_at": timezone.now(),
            "done_at": None,
            "result": None,
            "fault": "",
        },
    )
    work_out_year.enqueue(str(design.key), digest)


def work_out(design_key: str, digest: str) -> bool:
    """Work out the year that a design was asked for; whether a result was noted.

    Run by the worker, as often as need be: it does nothing where the year is done, or another one
    was asked for since. A failure is noted in words; one of the program is raised as well.
    """
    row = waiting(DesignYear, design_key, digest).first()
    if row is None:
        return False
    noted = False
    with noting_faults(DesignYear, design_key, digest):
        year = year_of(convert(row.asked, YearAsked), storage.stored)
        noted = _note(design_key, digest, year)
    return noted


def note_year_fault(design_key: str, digest: str, says: str) -> None:
    """Note why a year was not worked out, for the page to say."""
    note_asked_fault(DesignYear, design_key, digest, says)


def _note(design_key: str, digest: str, year: EnergyYear) -> bool:
    return bool(
        waiting(DesignYear, design_key, digest).update(
            done_at=timezone.now(), result=to_builtins(year), fault=""
        )
    )
