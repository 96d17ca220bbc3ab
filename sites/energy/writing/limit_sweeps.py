"""Starts, stops and continues a design's sweep of export limits."""

from collections.abc import Sequence

from django.db import transaction
from msgspec import to_builtins

from connections.energy.energy_errors import EnergyError
from connections.energy.limits_asked import LimitsAsked, limits_asked
from connections.energy.result import AtLimit
from sites.energy.reading.limit_sweeps import asked_of, found_of, sweep_row, sweep_state
from sites.house.models import Work
from sites.house.models.work import LIMITS
from sites.house.refusals import RefusedError
from sites.house.writing.asking import ask_for_design, stop_for_design
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Design, Premises


@transaction.atomic
def ask_for_limits(*, design: Design, limits_w: Sequence[int], by: Person) -> Work:
    """Start a sweep: a year under each of these limits [W], under the design's own, and under none.

    Repeating the same request keeps its results and continues. Raises RefusedError if facts are
    missing or everything is worked out.
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
def ask_for_limits_again(*, design: Design, by: Person) -> Work:
    """Continue a sweep that stopped, failed or waits, or repeat it for a changed design."""
    Premises.objects.select_for_update().get(pk=design.premises_id)
    before = asked_of(sweep_row(design))
    if before is None:
        raise RefusedError("Nothing was asked for yet: say which limits to try.")
    return ask_for_limits(design=design, limits_w=before.limits_w, by=by)


def _ask(design: Design, asked: LimitsAsked, by: Person) -> Work:
    digest = asked.digest
    row = sweep_row(design)
    found: tuple[AtLimit, ...] = ()
    if row is not None and row.digest == digest:
        found = found_of(row) or ()
        if row.done_at is not None and len(found) == len(asked.tried_w):
            raise RefusedError("These limits are worked out already.")
    made = ask_for_design(
        LIMITS,
        design=design.pk,
        digest=digest,
        asked=to_builtins(asked),
        found=to_builtins(found),
        by=by.pk,
    )
    record(
        "energy.limits-asked",
        by=by,
        subject=design.premises,
        data={"design": str(design.key), "limits": len(asked.tried_w)},
    )
    return made


@transaction.atomic
def stop_limits(*, design: Design, by: Person) -> None:
    """Stop the sweep and keep its results. Raises RefusedError if it has ended."""
    Premises.objects.select_for_update().get(pk=design.premises_id)
    if not stop_for_design(LIMITS, design=design.pk):
        raise RefusedError("Nothing is being worked out any more.")
    record(
        "energy.limits-stopped", by=by, subject=design.premises, data={"design": str(design.key)}
    )
