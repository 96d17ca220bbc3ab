"""Work of one part of a look at all cases.

`asked` holds the primary keys of some cases. Differences become rows of the run; `results` stays
empty.
"""

from collections.abc import Sequence

from django.db import transaction
from django.db.models import Exists, F, OuterRef
from django.utils import timezone
from msgspec import to_builtins

from connections.rulebook.book import Rulebook
from sites.cases.models import Case
from sites.house.models import Work
from sites.house.writing.working_out import WorkKind, finish
from sites.looks.models import WATCH, NotedRules, ScreeningRow, ScreeningRun
from sites.looks.reading.differing_lines import Differing, Looked
from sites.looks.reading.looking import look_at_lines
from sites.rulebook.models import KeptRulebook
from sites.rulebook.writing.kept import keep_rulebook


def work_out_look(part: Work) -> bool:
    """Do one part of a run; return whether it was noted. Notes a part whole, and only once."""
    assert part.run is not None
    return _note(part.run, part, look_at_lines(part.run, part.asked))


@transaction.atomic
def _note(run: ScreeningRun, part: Work, looked: Looked) -> bool:
    if not finish(part, None):
        return False
    if run.kind == WATCH:
        differing = _still_unlooked(looked.differing)
        _note_rules(looked.noted, differing)
    else:
        differing = list(looked.differing)
    there = set(
        Case.objects.filter(pk__in=[each.case for each in differing]).values_list("pk", flat=True)
    )
    ScreeningRow.objects.bulk_create(
        ScreeningRow(
            run=run,
            case_id=each.case,
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
        if each.case in there
    )
    _count(part)
    return True


def _count(part: Work) -> None:
    """Count the part, and end the run with its last one.

    Updates the run's row first. If two workers end the last two parts at once, the second waits for
    the first to commit and then sees its part.
    """
    assert part.run_id is not None
    ScreeningRun.objects.filter(pk=part.run_id).update(done=F("done") + len(part.asked))
    left = Work.objects.filter(run=OuterRef("pk"), done_at__isnull=True)
    ScreeningRun.objects.filter(~Exists(left), pk=part.run_id, ended_at__isnull=True).update(
        ended_at=timezone.now()
    )


def _still_unlooked(differing: Sequence[Differing]) -> list[Differing]:
    """Drop the cases that somebody has looked at since they were read."""
    rows = NotedRules.objects.select_for_update().filter(case__in=[each.case for each in differing])
    noted = {case: digests for case, *digests in rows.values_list("case", "rulebook", "looked")}
    return [
        each
        for each in differing
        if each.book is None or each.book.digest not in noted.get(each.case, ())
    ]


def _note_rules(noted: dict[int, Rulebook], differing: Sequence[Differing]) -> None:
    """Note rules for cases; keep rulebooks whole that are noted, or will be once looked at."""
    books = {book.digest: book for book in noted.values()}
    books |= {each.book.digest: each.book for each in differing if each.book is not None}
    there = set(KeptRulebook.objects.filter(digest__in=books).values_list("digest", flat=True))
    for found, book in books.items():
        if found not in there:
            keep_rulebook(book)
    now = timezone.now()
    cases = set(Case.objects.filter(pk__in=list(noted)).values_list("pk", flat=True))
    NotedRules.objects.bulk_create(
        (
            NotedRules(case_id=case, rulebook_id=book.digest, noted_at=now)
            for case, book in noted.items()
            if case in cases
        ),
        update_conflicts=True,
        unique_fields=["case"],
        update_fields=["rulebook", "noted_at"],
    )


# Count a part that was given up, so that the run goes on and ends.
KIND = WorkKind(work_out_look, failed=_count)
