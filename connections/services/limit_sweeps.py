"""Asking what each export limit would cost a design in a year, and working it out in the worker,
limit by limit: it can be left, stopped, and gone on with."""

from collections.abc import Sequence
from time import monotonic

from django.db import transaction
from django.utils import timezone
from msgspec import convert, to_builtins

from connections import storage
from connections.energy.faults import EnergyError
from connections.energy.limits_asked import LimitsAsked, limits_asked, limits_of
from connections.energy.result import AtLimit
from connections.models import LimitSweep
from connections.selectors.limit_sweeps import asked_of, found_of, sweep_row, sweep_state
from connections.services.asked_rows import note_asked_fault, noting_faults, waiting
from connections.services.refusals import RefusedError
from sites.models import Design, Person, Premises
from sites.services.events import record

KEEP_EVERY_S = 0.5
"""How often what was found is kept: often enough to be looked at, and seldom enough to cost
nothing beside the work itself."""


@transaction.atomic
def ask_for_limits(*, design: Design, limits_w: Sequence[int], by: Person) -> LimitSweep:
    """Have a year of the design worked out under each of these limits [W], under its own and none.

    Where the very same was asked before, what is found stays, and the rest is gone on with. Raises
    RefusedError where something is missing, or where all is worked out already.
    """
    Premises.objects.select_for_update().get(pk=design.premises_id)
    state = sweep_state(design)
    if state.year is None:
        raise RefusedError(state.says[0])
    try:
        asked = limits_asked(state.year, limits_w)
    except EnergyError as fault:
        raise RefusedError(str(fault)) from None
    return _ask(design, asked, by)


@transaction.atomic
def ask_for_limits_again(*, design: Design, by: Person) -> LimitSweep:
    """Go on with what was stopped, failed or left waiting, or ask the same of a changed design."""
    Premises.objects.select_for_update().get(pk=design.premises_id)
    before = asked_of(sweep_row(design))
    if before is None:
        raise RefusedError("Nothing was asked for yet: say which limits to try.")
    return ask_for_limits(design=design, limits_w=before.limits_w, by=by)


def _ask(design: Design, asked: LimitsAsked, by: Person) -> LimitSweep:
    from connections.tasks import work_out_limits as task

    digest = asked.digest
    row = sweep_row(design)
    found: tuple[AtLimit, ...] = ()
    if row is not None and row.digest == digest:
        found = found_of(row) or ()
        if row.done_at is not None and len(found) == len(asked.tried_w):
            raise RefusedError("These limits are worked out already.")
    made, _new = LimitSweep.objects.update_or_create(
        design=design,
        defaults={
            "digest": digest,
            "asked": to_builtins(asked),
            "asked_by": by,
            "asked_at": timezone.now(),
            "results": to_builtins(found),
            "stopped_at": None,
            "done_at": None,
            "fault": "",
        },
    )
    task.enqueue(str(design.key), digest)
    record(
        "energy.limits-asked",
        by=by,
        subject=design.premises,
        data={"design": str(design.key), "limits": len(asked.tried_w)},
    )
    return made


@transaction.atomic
def stop_limits(*, design: Design, by: Person) -> None:
    """Have no more worked out; what was found so far stays. Raises RefusedError where it ended."""
    Premises.objects.select_for_update().get(pk=design.premises_id)
    now = timezone.now()
    # The worker writes only into a row that waits, and ends where it cannot.
    if not LimitSweep.objects.filter(design=design, done_at__isnull=True).update(
        stopped_at=now, done_at=now
    ):
        raise RefusedError("Nothing is being worked out any more.")
    record(
        "energy.limits-stopped", by=by, subject=design.premises, data={"design": str(design.key)}
    )


def work_out_limits(design_key: str, digest: str) -> bool:
    """Work out the sweep that a design was asked for, from where it stands; whether it is whole.

    Run by the worker, as often as need be: it does nothing where the sweep is done or stopped, or
    another one was asked for since. A failure is noted in words; one of the program is raised too.
    """
    row = waiting(LimitSweep, design_key, digest).first()
    if row is None:
        return False
    whole = False
    with noting_faults(LimitSweep, design_key, digest):
        whole = _go_on(design_key, digest, convert(row.asked, LimitsAsked), found_of(row) or ())
    return whole


def _go_on(design_key: str, digest: str, asked: LimitsAsked, before: tuple[AtLimit, ...]) -> bool:
    found = list(before)
    kept_at = monotonic()
    for each in limits_of(asked, storage.stored, after=len(before)):
        found.append(each)
        if monotonic() - kept_at >= KEEP_EVERY_S:
            if not waiting(LimitSweep, design_key, digest).update(results=to_builtins(found)):
                return False
            kept_at = monotonic()
    return bool(
        waiting(LimitSweep, design_key, digest).update(
            results=to_builtins(found), done_at=timezone.now()
        )
    )


def note_limits_fault(design_key: str, digest: str, says: str) -> None:
    """Note why a sweep was not worked out, for the page to say."""
    note_asked_fault(LimitSweep, design_key, digest, says)
