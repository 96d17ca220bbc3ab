"""Asking what the remedies of a design cost in the energy of a year, and working it out in the
worker."""

from functools import cache

from django.db import transaction
from django.utils import timezone
from msgspec import ValidationError, convert, to_builtins

from connections import storage
from connections.energy.asked import Files, YearAsked, year_of
from connections.energy.faults import EnergyError, InvariantError
from connections.facts.canonical import digest as digest_of
from connections.models import RemedyYears
from connections.selectors.deciding import decide_rows
from connections.selectors.energy_years import latest_inputs
from connections.selectors.remedy_years import (
    AS_IT_STANDS,
    LONG_S,
    Wanted,
    WorkedOut,
    wanted_of,
    worked_out,
)
from connections.services.asked_rows import PROGRAM_FAILED, note_asked_fault, waiting
from connections.services.refusals import FactsChangedError, RefusedError
from sites.models import Design, Person, Premises
from sites.selectors.site_rows import rows_for
from sites.services.events import record


@transaction.atomic
def ask_for_remedy_years(*, design: Design, seen: str, by: Person) -> RemedyYears:
    """Have the years worked out that a page needs to say what each remedy costs in energy.

    `seen` is the digest of what the page was made for. What is known already is kept; where all of
    it is, or was asked for a moment ago, nothing is asked again. Raises RefusedError where there is
    nothing to work out, and FactsChangedError where the page is out of date.
    """
    wanted = _wanted(design)
    digest = wanted.digest
    if digest != seen:
        raise FactsChangedError(
            "The design, or what its years rest on, has changed since this page was opened. Load "
            "it again."
        )
    asked = wanted.asked
    before = RemedyYears.objects.filter(design=design).first()
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
    row, _made = RemedyYears.objects.update_or_create(
        design=design,
        defaults={
            "digest": digest,
            "asked": asked,
            "asked_by": by,
            "asked_at": timezone.now(),
            "done_at": None,
            "results": kept,
            "fault": "",
        },
    )
    from connections.tasks import work_out_remedies

    work_out_remedies.enqueue(str(design.key), digest)
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


def _known(row: RemedyYears | None) -> dict[str, WorkedOut]:
    """What a row has figures for; nothing where another program wrote it."""
    if row is None:
        return {}
    try:
        found = worked_out(row)
    except ValidationError:
        return {}
    return {mark: one for mark, one in found.items() if one.figures is not None}


def work_out(design_key: str, digest: str) -> bool:
    """Work out the years that are asked for and not there yet; whether all of it is done now.

    Run by the worker, as often as need be: it does nothing where all is done or other years were
    asked for since, and goes on where it was stopped. A year that cannot be is noted in words and
    the others go on; a failure of the program is noted and raised once they are through. Without
    the year of the design as it stands there is nothing to compare with, and it ends.
    """
    row = waiting(RemedyYears, design_key, digest).first()
    if row is None:
        return False
    try:
        asked = convert(row.asked, dict[str, YearAsked])
        known = {digest_of(asked[mark]): one for mark, one in worked_out(row).items()}
    except (ValidationError, KeyError):
        note_remedy_years_fault(design_key, digest, PROGRAM_FAILED)
        raise
    files = cache(storage.stored)
    failure: Exception | None = None
    for mark in sorted(asked.keys() - row.results.keys()):
        # Two remedies may make the same year, such as a smaller unit and one held to as much.
        name = digest_of(asked[mark])
        one = known.get(name)
        if one is None:
            one, fault = _year(asked[mark], files)
            known[name] = one
            failure = failure or fault
        if mark == AS_IT_STANDS and one.figures is None:
            note_remedy_years_fault(design_key, digest, one.fault)
            if failure is not None:
                raise failure
            return False
        if not _note(design_key, digest, mark, one):
            return False
    done = waiting(RemedyYears, design_key, digest).update(done_at=timezone.now(), fault="")
    if failure is not None:
        raise failure
    return bool(done)


def _year(asked: YearAsked, files: Files) -> tuple[WorkedOut, Exception | None]:
    """A year, or why there is none; with the failure where it is one of the program."""
    failure: Exception | None = None
    try:
        return WorkedOut(timezone.now(), year_of(asked, files).figures), None
    except InvariantError as error:
        fault, failure = str(error), error
    except EnergyError as error:
        fault = str(error)
    except Exception as error:
        fault, failure = PROGRAM_FAILED, error
    return WorkedOut(timezone.now(), None, fault), failure


@transaction.atomic
def _note(design_key: str, digest: str, mark: str, one: WorkedOut) -> bool:
    """Add one year; False where other years were asked for since."""
    row = waiting(RemedyYears, design_key, digest).select_for_update().first()
    if row is None:
        return False
    row.results = {**row.results, mark: to_builtins(one)}
    row.save(update_fields=["results"])
    return True


def note_remedy_years_fault(design_key: str, digest: str, says: str) -> None:
    """Note why the years of a design's remedies were not worked out, for the page to say."""
    note_asked_fault(RemedyYears, design_key, digest, says)
