"""Begins looks at all cases under other rules, and marks results as looked at.

A person or the program begins a look; the worker does it in parts
(sites.looks.writing.working_out_look).
"""

import datetime as dt
from collections.abc import Sequence

from django.db import IntegrityError, transaction
from django.utils import timezone

from connections.facts.canonical import digest
from connections.rulebook.load import RulebookError
from sites.deciding.reading.deciding import assessor
from sites.house.models.work import LOOK
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.asking import ask_for_rest_of_run, ask_for_run
from sites.house.writing.events import record
from sites.looks.models import CHANGE, DATE, WATCH, NotedRules, ScreeningRow, ScreeningRun
from sites.looks.reading.found_by_looks import current_watch
from sites.looks.reading.looking import Local, check_local_texts, lines_to_look_at
from sites.looks.reading.watching import coming_days
from sites.people.models import Person
from sites.premises.reading.site_rows import today

LINES_OF_A_PART = 200
KEPT_DAYS = 30
"""Days that a finished run is kept; our choice. Only the last look for changes is kept."""


def start_screening(
    *, on: dt.date, local: Sequence[tuple[str, str]] | None = None, by: Person
) -> ScreeningRun:
    """Begin a look at all cases, or return a run of the same question that is under way.

    Args:
        on: the day whose rules are asked about.
        local: local files as pairs of name and TOML that would replace the ones in force; None
            compares every site as it is with the rules of `on`.
        by: an engineer.

    Raises NotAllowedError for anybody else, and RefusedError for a local file that can't be read.
    """
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may have all sites looked at again.")
    texts: Local | None = None
    if local is not None:
        texts = tuple((name, text) for name, text in local)
        try:
            check_local_texts(texts)
        except RulebookError as fault:
            raise RefusedError(str(fault)) from None
    return _begin(DATE if local is None else CHANGE, on=on, local=texts, coming=(), by=by)


def look_for_changes(*, by: Person | None = None) -> ScreeningRun:
    """Begin a look for cases whose rules have changed or will change soon.

    Runs nightly, after an edition is installed, and after a local entry is saved or ended. Deletes
    runs that are no longer needed.
    """
    day = today()
    _tidy()
    return _begin(WATCH, on=day, local=None, coming=coming_days(day), by=by)


def _begin(
    kind: str,
    *,
    on: dt.date,
    local: Local | None,
    coming: tuple[dt.date, ...],
    by: Person | None,
) -> ScreeningRun:
    day = today()
    asked = digest(
        {
            "kind": kind,
            "on": on,
            "local": local,
            "coming": coming,
            "today": day,
            "in_force": [part.digest for part in assessor().local],
        }
    )
    while True:
        try:
            return _created(kind, on, local, coming, day, asked, by)
        except IntegrityError:
            # The constraint: a run of this question is under way. It may end before we read it.
            running = ScreeningRun.objects.filter(asked=asked, ended_at__isnull=True).first()
            if running is not None:
                return running


@transaction.atomic
def _created(
    kind: str,
    on: dt.date,
    local: Local | None,
    coming: tuple[dt.date, ...],
    day: dt.date,
    asked: str,
    by: Person | None,
) -> ScreeningRun:
    now = timezone.now()
    cases = list(lines_to_look_at().values_list("pk", flat=True))
    run = ScreeningRun.objects.create(
        kind=kind,
        on=on,
        local=local,
        coming=[each.isoformat() for each in coming],
        today=day,
        asked=asked,
        asked_by=by,
        asked_at=now,
        total=len(cases),
        ended_at=None if cases else now,
    )
    places = range(0, len(cases), LINES_OF_A_PART)
    parts = [cases[start : start + LINES_OF_A_PART] for start in places]
    record("screening.begun", by=by, subject=run, data={"on": on.isoformat(), "cases": len(cases)})
    ask_for_run(LOOK, run=run.pk, asked=parts, by=by.pk if by else None)
    return run


@transaction.atomic
def ask_for_rest(*, run: ScreeningRun, by: Person) -> None:
    """Ask the worker again for the missing parts of a run that has stopped.

    Raises NotAllowedError for anybody but an engineer, RefusedError if all is done.
    """
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may have all sites looked at again.")
    if not ask_for_rest_of_run(run.pk):
        raise RefusedError("All sites were looked at already.")
    record("screening.asked-again", by=by, subject=run)


@transaction.atomic
def mark_looked(*, row: ScreeningRow, by: Person) -> None:
    """Mark a change of rules as looked at, which takes its case off the list.

    Raises NotAllowedError for anybody but an engineer. Raises RefusedError if it was looked at
    already, or if a newer look has ended.
    """
    _may_look(row.run_id, by)
    now = timezone.now()
    marked = ScreeningRow.objects.filter(pk=row.pk, looked_at__isnull=True).update(
        looked_at=now, looked_by=by
    )
    if not marked:
        raise RefusedError("This change of rules was looked at already.")
    _note_looked([row.case_id], row.rulebook, ahead=row.coming is not None, now=now)
    record(
        "rules.looked",
        by=by,
        subject=row.case.premises,
        data={
            "rulebook": row.rulebook,
            "from": row.coming.isoformat() if row.coming else "",
            "procedure": row.now,
        },
    )


@transaction.atomic
def mark_all_looked(*, run: ScreeningRun, by: Person) -> int:
    """Mark all changes of a look as looked at; return how many were still open.

    Raises NotAllowedError for anybody but an engineer. Raises RefusedError if none is open, or if a
    newer look has ended.
    """
    _may_look(run.pk, by)
    now = timezone.now()
    rows = ScreeningRow.objects.filter(run=run, looked_at__isnull=True)
    found = list(rows.values_list("case_id", "coming", "rulebook"))
    if not rows.update(looked_at=now, looked_by=by):
        raise RefusedError("These changes of rules were looked at already.")
    cases: dict[tuple[bool, str], list[int]] = {}
    for case, coming, rulebook in found:
        cases.setdefault((coming is not None, rulebook), []).append(case)
    for (ahead, rulebook), theirs in cases.items():
        for start in range(0, len(theirs), 500):
            _note_looked(theirs[start : start + 500], rulebook, ahead=ahead, now=now)
    record("rules.looked", by=by, subject=run, data={"changes": len(found)})
    return len(found)


def _may_look(run: int, by: Person) -> None:
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may say that a change of rules was looked at.")
    current = current_watch()
    if current is None or run != current.pk:
        raise RefusedError(
            "The rules were looked through once more since you opened this page; look at what is "
            "said now."
        )


def _note_looked(cases: list[int], rulebook: str, *, ahead: bool, now: dt.datetime) -> None:
    noted = NotedRules.objects.filter(case__in=cases)
    if ahead:
        noted.update(looked=rulebook)
    elif rulebook:
        noted.update(rulebook=rulebook, noted_at=now)


@transaction.atomic
def _tidy() -> None:
    """Delete runs that are no longer needed; their waiting tasks then do nothing."""
    last = current_watch()
    if last is not None:
        ScreeningRun.objects.filter(kind=WATCH, asked_at__lt=last.asked_at).delete()
    before = timezone.now() - dt.timedelta(days=KEPT_DAYS)
    ScreeningRun.objects.exclude(kind=WATCH).filter(ended_at__lt=before).delete()
