"""Starts the years that tell what a design's remedies cost in energy."""

from django.db import transaction
from django.utils import timezone
from msgspec import ValidationError, to_builtins

from sites.deciding.reading.deciding import decide_rows
from sites.energy.reading.remedy_years import (
    LONG_S,
    Wanted,
    WorkedOut,
    row_of,
    wanted_of,
    worked_out,
)
from sites.energy.reading.years import latest_inputs
from sites.house.models import Work
from sites.house.models.work import REMEDIES
from sites.house.refusals import FactsChangedError, RefusedError
from sites.house.writing.asking import ask_for_design
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Design, Premises
from sites.premises.reading.site_rows import rows_for


@transaction.atomic
def ask_for_remedy_years(*, design: Design, seen: str, by: Person) -> Work:
    """Start the years that a page needs to tell what each remedy costs in energy.

    `seen` is the digest that the page was made for. Keeps known results. Asks for nothing if all
    are known or were asked for a moment ago. Raises RefusedError if there is nothing to work out,
    and FactsChangedError if the page is out of date.
    """
    wanted = _wanted(design)
    digest = wanted.digest
    if digest != seen:
        raise FactsChangedError(
            "The design, or what its years rest on, has changed since this page was opened. Load "
            "it again."
        )
    asked = wanted.asked
    before = row_of(design)
    known = _known(before)
    kept = {
        mark: to_builtins(known[mark])
        for mark, year in asked.items()
        if before is not None and mark in known and before.asked.get(mark) == year
    }
    if before is not None and before.digest == digest:
        waited = (timezone.now() - before.asked_at).total_seconds()
        if len(kept) == len(asked) or (before.done_at is None and waited <= LONG_S):
            return before
    row = ask_for_design(
        REMEDIES, design=design.pk, digest=digest, asked=asked, found=kept, by=by.pk
    )
    record(
        "energy.remedies-asked",
        by=by,
        subject=design.premises,
        data={"design": str(design.key), "remedies": len(wanted.years)},
    )
    return row


def _wanted(design: Design) -> Wanted:
    premises = Premises.objects.select_for_update().get(pk=design.premises_id)
    inputs = latest_inputs(premises)
    if inputs is None:
        raise RefusedError("Enter the region and the yearly use first.")
    wanted = wanted_of(decide_rows(rows_for(premises, design), remedies=True), inputs)
    if wanted.base is None:
        raise RefusedError(" ".join(wanted.needs))
    if not wanted.years:
        raise RefusedError("No change that would help makes another year of energy.")
    return wanted


def _known(row: Work | None) -> dict[str, WorkedOut]:
    """Return the known figures of a row; none if another program wrote it."""
    if row is None:
        return {}
    try:
        found = worked_out(row)
    except ValidationError:
        return {}
    return {mark: one for mark, one in found.items() if one.figures is not None}
