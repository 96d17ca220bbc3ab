"""Enters the inputs of a premises' energy years, and starts the years of its designs."""

from collections.abc import Collection
from uuid import UUID

from django.db import transaction
from django.utils import timezone
from msgspec import to_builtins

from connections.energy.energy_errors import EnergyError
from connections.energy.options import Window
from sites.energy.models import EnergyFile, EnergyInputs
from sites.energy.reading.files import Kind, file_of, how_read, kept_holds
from sites.energy.reading.years import latest_inputs, years_of
from sites.energy.writing.given import Given as Given
from sites.energy.writing.given import HourPence, check_given
from sites.energy.writing.odd import odd_figures
from sites.house import storage
from sites.house.models.work import YEAR
from sites.house.refusals import FactsChangedError, RefusedError
from sites.house.writing.asking import ask_for_design
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Premises


@transaction.atomic
def enter_inputs(
    *, premises: Premises, given: Given, seen: str, by: Person, sure: Collection[str] = ()
) -> EnergyInputs:
    """Enter the inputs of a premises' years, to hold from now on.

    `seen` is the key of the inputs that the page showed, empty for none. `sure` holds the keys of
    odd figures that the person confirms (sites.energy.writing.odd). Raises RefusedError naming the
    box at fault or of the odd figure, and FactsChangedError if somebody else entered inputs
    meanwhile.
    """
    check_given(given)
    # This lock keeps the sweep of unused files from deleting a file that is being entered.
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
        import_hours=_hours(given.import_hours),
        export_hours=_hours(given.export_hours),
        standing_pence=given.standing_pence,
        entered_by=by,
        entered_at=timezone.now(),
    )
    record("energy.entered", by=by, subject=premises)
    return made


def metered_kwh(file: EnergyFile | None) -> float | None:
    """Return the use in a meter file [kWh]; None for no file, or one that is unreadable now."""
    if file is None:
        return None
    try:
        return kept_holds(file, how_read(file), 0).total
    except (EnergyError, storage.FileGoneError):
        return None


def _hours(hours: tuple[HourPence, ...]) -> list[list[int | str]]:
    return [[each.window.from_minute, each.window.to_minute, str(each.pence)] for each in hours]


def _minutes(name: str, window: Window | None) -> dict[str, int | None]:
    return {
        f"{name}_from_minute": None if window is None else window.from_minute,
        f"{name}_to_minute": None if window is None else window.to_minute,
    }


def _file(premises: Premises, kind: Kind, key: UUID | None, region: int) -> EnergyFile | None:
    """Return a file of the premises, read again because light depends on the region."""
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
    """Start the missing years of the designs as they stand; return their number.

    Asks again for years that already wait, in case their worker died. Raises RefusedError if there
    is nothing to work out.
    """
    premises = Premises.objects.select_for_update().get(pk=premises.pk)
    states = [(one.design, one.year) for one in years_of(premises).designs]
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
        ask_for_design(
            YEAR, design=design.pk, digest=asked.digest, asked=to_builtins(asked), by=by.pk
        )
    record("energy.asked", by=by, subject=premises, data={"designs": len(wanted)})
    return len(wanted)
