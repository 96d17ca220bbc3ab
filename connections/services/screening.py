"""Looking again at all lines under other rules: begun by a person or the program, done by the
worker in parts, each of which may be begun twice and killed at any point."""

import datetime as dt
from collections.abc import Sequence

from django.db import IntegrityError, transaction
from django.db.models import Exists, F, OuterRef
from django.utils import timezone
from msgspec import to_builtins

from connections.facts.canonical import digest
from connections.models import (
    ApplicationLine,
    KeptRulebook,
    NotedRules,
    ScreeningPart,
    ScreeningRow,
    ScreeningRun,
)
from connections.models.screening import CHANGE, DATE, WATCH
from connections.rulebook.book import Rulebook
from connections.rulebook.load import RulebookError
from connections.selectors.deciding import assessor
from connections.selectors.judging_rules import Differing, Looked
from connections.selectors.screened import current_watch
from connections.selectors.screening import (
    Local,
    check_local_texts,
    lines_to_look_at,
    look_at_lines,
)
from connections.selectors.watching_rules import coming_days
from connections.services.refusals import NotAllowedError, RefusedError
from connections.services.rulebooks import keep_rulebook
from sites.models import Person
from sites.selectors.site_rows import today
from sites.services.events import record

LINES_OF_A_PART = 200
KEPT_DAYS = 30
"""How long a run that has ended is kept; our choice. Of the looks for changes only the last is."""


def start_screening(
    *, on: dt.date, local: Sequence[tuple[str, str]] | None = None, by: Person
) -> ScreeningRun:
    """Begin to look at all lines again, or come to a run of the same question that is under way.

    Args:
        on: the day whose rules are asked about.
        local: local files as pairs of name and TOML that would stand in place of the ones in
            force; None compares every site as it stands with the rules of `on`.
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
    """Begin to look for which lines the rules have changed or will change soon.

    Run nightly, after an edition is installed, and after a local entry is saved or ended. Runs
    that are no longer wanted are taken out.
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
            # The constraint: a run of this question is under way. It may end before it is read.
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
    lines = list(lines_to_look_at().values_list("pk", flat=True))
    run = ScreeningRun.objects.create(
        kind=kind,
        on=on,
        local=local,
        coming=[each.isoformat() for each in coming],
        today=day,
        asked=asked,
        asked_by=by,
        asked_at=now,
        total=len(lines),
        ended_at=None if lines else now,
    )
    places = range(0, len(lines), LINES_OF_A_PART)
    ScreeningPart.objects.bulk_create(
        ScreeningPart(run=run, place=place, lines=lines[start : start + LINES_OF_A_PART])
        for place, start in enumerate(places)
    )
    record("screening.begun", by=by, subject=run, data={"on": on.isoformat(), "lines": len(lines)})
    _enqueue(run)
    return run


def _enqueue(run: ScreeningRun) -> int:
    from connections.tasks import screen_part

    places = list(
        ScreeningPart.objects.filter(run=run, done_at__isnull=True).values_list("place", flat=True)
    )
    for place in places:
        screen_part.enqueue(str(run.key), place)
    return len(places)


@transaction.atomic
def ask_for_rest(*, run: ScreeningRun, by: Person) -> None:
    """Ask the worker once more for what is not done, where a run does not go on.

    Raises NotAllowedError for anybody but an engineer, RefusedError where all is done.
    """
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may have all sites looked at again.")
    if not _enqueue(run):
        raise RefusedError("All sites were looked at already.")
    record("screening.asked-again", by=by, subject=run)


def screen(run_key: str, place: int) -> int:
    """Do one part of a run, unless it is done or the run is gone; how many lines differ in it.

    Run by the worker, as often as need be: a part is noted once. A failure is noted on the part,
    so that the run goes on and ends, and raised.
    """
    part = (
        ScreeningPart.objects.select_related("run")
        .filter(run__key=run_key, place=place, done_at__isnull=True)
        .first()
    )
    if part is None:
        return 0
    try:
        looked = look_at_lines(part.run, part.lines)
    except Exception:
        note_part_fault(run_key, place, "Something in the program failed; its log says what.")
        raise
    return _note(part, looked)


@transaction.atomic
def note_part_fault(run_key: str, place: int, says: str) -> None:
    """Note why a part was given up; the run goes on without it."""
    part = ScreeningPart.objects.select_related("run").filter(run__key=run_key, place=place).first()
    if part is not None and _take(part, says):
        _count(part)


@transaction.atomic
def _note(part: ScreeningPart, looked: Looked) -> int:
    if not _take(part):
        return 0
    if part.run.kind == WATCH:
        differing = _still_unlooked(looked.differing)
        _note_rules(looked.noted, differing)
    else:
        differing = list(looked.differing)
    there = set(
        ApplicationLine.objects.filter(pk__in=[each.line for each in differing]).values_list(
            "pk", flat=True
        )
    )
    ScreeningRow.objects.bulk_create(
        ScreeningRow(
            run=part.run,
            line_id=each.line,
            coming=each.coming,
            was=each.was[:300],
            now=each.now[:300],
            changes=[
                to_builtins(
                    {
                        "kind": change.kind,
                        "about": change.about,
                        "before": change.before,
                        "after": change.after,
                        "sentence": change.sentence,
                    }
                )
                for change in each.changes
            ],
            rulebook=each.book.digest if each.book is not None else "",
        )
        for each in differing
        if each.line in there
    )
    _count(part)
    return len(differing)


def _take(part: ScreeningPart, fault: str = "") -> bool:
    """Mark a part as done, unless another worker has."""
    return bool(
        ScreeningPart.objects.filter(pk=part.pk, done_at__isnull=True).update(
            done_at=timezone.now(), fault=fault[:300]
        )
    )


def _count(part: ScreeningPart) -> None:
    """Count the part, and end the run with its last one.

    The run's row is raised first: of two workers that end the last two parts at once, the second
    waits there until the first has committed, and then sees its part.
    """
    ScreeningRun.objects.filter(pk=part.run_id).update(done=F("done") + len(part.lines))
    left = ScreeningPart.objects.filter(run=OuterRef("pk"), done_at__isnull=True)
    ScreeningRun.objects.filter(~Exists(left), pk=part.run_id, ended_at__isnull=True).update(
        ended_at=timezone.now()
    )


def _still_unlooked(differing: Sequence[Differing]) -> list[Differing]:
    """Without the lines that somebody has looked at since they were read."""
    rows = NotedRules.objects.select_for_update().filter(line__in=[each.line for each in differing])
    noted = {line: digests for line, *digests in rows.values_list("line", "rulebook", "looked")}
    return [
        each
        for each in differing
        if each.book is None or each.book.digest not in noted.get(each.line, ())
    ]


def _note_rules(noted: dict[int, Rulebook], differing: Sequence[Differing]) -> None:
    """Note rules for lines, and keep whole what is noted or may be, once it is looked at."""
    books = {book.digest: book for book in noted.values()}
    books |= {each.book.digest: each.book for each in differing if each.book is not None}
    there = set(KeptRulebook.objects.filter(digest__in=books).values_list("digest", flat=True))
    for found, book in books.items():
        if found not in there:
            keep_rulebook(book)
    now = timezone.now()
    lines = set(ApplicationLine.objects.filter(pk__in=list(noted)).values_list("pk", flat=True))
    NotedRules.objects.bulk_create(
        (
            NotedRules(line_id=line, rulebook_id=book.digest, noted_at=now)
            for line, book in noted.items()
            if line in lines
        ),
        update_conflicts=True,
        unique_fields=["line"],
        update_fields=["rulebook", "noted_at"],
    )


@transaction.atomic
def mark_looked(*, row: ScreeningRow, by: Person) -> None:
    """Take a line off the list of those that a change of rules touches: somebody has looked.

    Raises NotAllowedError for anybody but an engineer, RefusedError where it was looked at, or
    where the rules have been looked through once more since.
    """
    _may_look(row.run_id, by)
    now = timezone.now()
    marked = ScreeningRow.objects.filter(pk=row.pk, looked_at__isnull=True).update(
        looked_at=now, looked_by=by
    )
    if not marked:
        raise RefusedError("This change of rules was looked at already.")
    _note_looked([row.line_id], row.rulebook, ahead=row.coming is not None, now=now)
    record(
        "rules.looked",
        by=by,
        subject=row.line.premises,
        data={
            "rulebook": row.rulebook,
            "from": row.coming.isoformat() if row.coming else "",
            "procedure": row.now,
        },
    )


@transaction.atomic
def mark_all_looked(*, run: ScreeningRun, by: Person) -> int:
    """Take all lines that a look found off the list; how many changes of rules were on it still.

    Raises NotAllowedError for anybody but an engineer, RefusedError where nothing is on it, or
    where the rules have been looked through once more since.
    """
    _may_look(run.pk, by)
    now = timezone.now()
    rows = ScreeningRow.objects.filter(run=run, looked_at__isnull=True)
    found = list(rows.values_list("line_id", "coming", "rulebook"))
    if not rows.update(looked_at=now, looked_by=by):
        raise RefusedError("These changes of rules were looked at already.")
    lines: dict[tuple[bool, str], list[int]] = {}
    for line, coming, rulebook in found:
        lines.setdefault((coming is not None, rulebook), []).append(line)
    for (ahead, rulebook), theirs in lines.items():
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


def _note_looked(lines: list[int], rulebook: str, *, ahead: bool, now: dt.datetime) -> None:
    noted = NotedRules.objects.filter(line__in=lines)
    if ahead:
        noted.update(looked=rulebook)
    elif rulebook:
        noted.update(rulebook=rulebook, noted_at=now)


@transaction.atomic
def _tidy() -> None:
    """Take out runs that nobody wants any more; tasks of theirs that still wait then do nothing."""
    last = current_watch()
    if last is not None:
        ScreeningRun.objects.filter(kind=WATCH, asked_at__lt=last.asked_at).delete()
    before = timezone.now() - dt.timedelta(days=KEPT_DAYS)
    ScreeningRun.objects.exclude(kind=WATCH).filter(ended_at__lt=before).delete()
