"""Entering what the energy year of a premises rests on, asking for the years of its designs, and
working them out in the worker."""

from django.db import transaction
from django.utils import timezone
from msgspec import Struct, convert, to_builtins

from connections import storage
from connections.energy.asked import YearAsked, year_of
from connections.energy.faults import EnergyError, InvariantError
from connections.energy.load import LARGEST_KWH
from connections.energy.result import EnergyYear
from connections.energy.sunshine import LEAST_PER_KWP, MOST_PER_KWP
from connections.models import DesignYear, EnergyInputs
from connections.selectors.energy_years import OFFERED, latest_inputs
from connections.selectors.side_by_side import side_by_side
from connections.services.refusals import FactsChangedError, RefusedError
from sites.models import Design, Person, Premises
from sites.services.events import record


class Given(Struct, frozen=True):
    """What a person enters; a measured yield [kWh] with the peak of its panels [W], or neither."""

    region: int
    yearly_use_kwh: int
    measured_yield_kwh: int | None = None
    measured_peak_w: int | None = None


@transaction.atomic
def enter_inputs(*, premises: Premises, given: Given, seen: str, by: Person) -> EnergyInputs:
    """Enter what the years of a premises rest on from now on.

    `seen` is the key of what the page showed, empty where there was nothing. Raises RefusedError
    naming the box at fault, and FactsChangedError where somebody else entered something meanwhile.
    """
    _check(given)
    Premises.objects.select_for_update().get(pk=premises.pk)
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
        entered_by=by,
        entered_at=timezone.now(),
    )
    record("energy.entered", by=by, subject=premises)
    return made


def _check(given: Given) -> None:
    if given.region not in OFFERED:
        raise RefusedError("Pick a region of the list.", "region")
    if not 0 <= given.yearly_use_kwh <= LARGEST_KWH:
        raise RefusedError(f"Give 0 to {LARGEST_KWH:,} kWh.", "yearly_use_kwh")
    measured, peak_w = given.measured_yield_kwh, given.measured_peak_w
    if measured is None and peak_w is None:
        return
    if measured is None:
        raise RefusedError(
            "Give the yield that was measured, or leave out its peak power.", "measured_yield_kwh"
        )
    if not peak_w or peak_w < 0:
        raise RefusedError("Give the peak power of the panels that were measured.", "measured_kwp")
    per_kwp = measured / peak_w * 1000
    if not LEAST_PER_KWP <= per_kwp <= MOST_PER_KWP:
        raise RefusedError(
            f"{measured:,} kWh from {peak_w / 1000:g} kWp is {per_kwp:,.0f} kWh for each kWp; "
            f"{LEAST_PER_KWP} to {MOST_PER_KWP:,} can be. Check the figure, its unit and the peak "
            "power.",
            "measured_yield_kwh",
        )


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
    row = DesignYear.objects.filter(
        design__key=design_key, digest=digest, done_at__isnull=True
    ).first()
    if row is None:
        return False
    try:
        year = year_of(convert(row.asked, YearAsked), storage.stored)
    except InvariantError as fault:
        note_year_fault(design_key, digest, str(fault))
        raise
    except EnergyError as fault:
        note_year_fault(design_key, digest, str(fault))
        return False
    except Exception:
        note_year_fault(design_key, digest, "Something in the program failed; its log says what.")
        raise
    return _note(design_key, digest, year)


def note_year_fault(design_key: str, digest: str, says: str) -> None:
    """Note why a year was not worked out, for the page to say."""
    DesignYear.objects.filter(design__key=design_key, digest=digest, done_at__isnull=True).update(
        done_at=timezone.now(), fault=says[:500]
    )


def _note(design_key: str, digest: str, year: EnergyYear) -> bool:
    return bool(
        DesignYear.objects.filter(
            design__key=design_key, digest=digest, done_at__isnull=True
        ).update(done_at=timezone.now(), result=to_builtins(year), fault="")
    )
