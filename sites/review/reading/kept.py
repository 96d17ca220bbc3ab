"""What is kept of the decision on a case, for lists that decide nothing."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from typing import Any

from msgspec import Struct, structs, to_builtins

from connections.assessing import Assessor
from connections.rulebook.checking.gaps import change_days
from connections.rulebook.load import load_books
from sites.cases.models import Case, KeptDecision, KeptDecisions
from sites.cases.moves import next_step, without_agreement
from sites.cases.reading import standing_of
from sites.deciding.reading.deciding import DecidedSite, assessor, commissioned, decide_rows
from sites.premises.reading.site_rows import rows_for, today
from sites.review.models import Condition, Question, RecordQuery, Works
from sites.review.models.reply import AFTER, BEFORE_ENERGISING, BEFORE_INSTALL
from sites.review.reading.cases_in_short import in_short, still_open
from sites.review.reading.due import days_of
from sites.rulebook.reading.local_entries import stamp

METHOD = 2
"""Raise it with every change of what is kept."""

LONGEST_DAYS = 7
"""Days that a decision is kept at most; our choice. Days counted back from a planned day, such as
the last on which an answer can still come in time, need no list of their own."""


@lru_cache(maxsize=1)
def method() -> str:
    """The number of the method with the digest of the rulebook files of this program."""
    books = load_books()
    parts = sorted(part.digest for part in (*books.editions, *books.operators))
    return f"{METHOD}/{sha256(' '.join(parts).encode()).hexdigest()}"


def stale_decisions() -> KeptDecisions:
    """The kept decisions that are out of date; one query for the stamp."""
    return KeptDecision.objects.all().stale(today=today(), entries=stamp(), method=method())


def keeping(case: Case) -> KeptDecision:
    """What is to be kept of the decision on a case now, not saved."""
    entries, day = stamp(), today()
    rows = rows_for(case.premises, case.design)
    under = assessor()
    decided = decide_rows(rows, under=under)
    judged = in_short(decided)
    standing = standing_of(case)
    found = still_open(judged, case.verdicts.order_by("at", "pk"))
    stops = sum(finding.severity == "stops" for finding in found)
    # Where the procedure can't be told, the missing facts are the stop: they are counted once.
    stops -= bool(stops and not judged.settled and judged.missing)
    dated = commissioned(rows)
    proposed = {unit.label for unit in rows.proposed.units}
    standing = structs.replace(
        standing,
        kind=judged.kind if decided.decision is not None else "",
        stops=stops,
        to_decide=sum(finding.severity == "decide" for finding in found),
        missing=judged.missing,
        energised=bool(proposed) and proposed <= dated.keys(),
    )
    waits = Counter(
        Condition.objects.filter(
            reply__case=case, reply__taken_back_at=None, met_on=None
        ).values_list("when", flat=True)
    )
    early = without_agreement(standing)
    standing = structs.replace(standing, stops=stops + early)
    questions = Question.objects.filter(case=case, answered_at__isnull=True).count()
    days = days_of(case, standing, decided)
    works = Works.objects.filter(case=case, done_on=None, dropped_at=None).count()
    return KeptDecision(
        case=case,
        procedure=decided.decision.procedure.key if decided.decision is not None else "",
        procedure_title=judged.procedure,
        kind=standing.kind,
        stops=standing.stops,
        to_decide=standing.to_decide,
        missing=standing.missing,
        afterwards=judged.afterwards,
        energised=standing.energised,
        open_install=waits[BEFORE_INSTALL],
        open_energising=waits[BEFORE_ENERGISING],
        open_after=waits[AFTER],
        open_works=works,
        open_queries=RecordQuery.objects.filter(case=case, answered_on=None).count(),
        fault=judged.fault[:500],
        next_step=next_step(standing, questions=questions),
        due_on=days[0].on if days else None,
        due_says=days[0].says if days else "",
        days=to_builtins(list(days)),
        premises_version=case.premises.version,
        design_version=case.design.version,
        rulebook_digest=decided.book.digest if decided.book is not None else "",
        entries_stamp=entries,
        method=method(),
        as_of=day,
        good_until=_good_until(decided, under, day),
    )


def _good_until(decided: DecidedSite, under: Assessor, day: dt.date) -> dt.date:
    """The day before the next on which the decision may change, within LONGEST_DAYS."""
    last = day + dt.timedelta(days=LONGEST_DAYS)
    parts = (*under.books.editions, *under.books.operators, *under.local)
    for each in (*change_days(parts), *_days_in(decided.site)):
        # A condition may turn on the day itself or on the one after it.
        if each > day:
            last = min(last, each - dt.timedelta(days=1))
        elif each == day:
            last = day
    return last


def _days_in(fact: Any) -> Iterator[dt.date]:
    """Every day that a site names."""
    if isinstance(fact, dt.date):
        yield fact
    elif isinstance(fact, Struct):
        for name in fact.__struct_fields__:
            # The day that the rules are asked for moves by itself.
            if name != "on_date":
                yield from _days_in(getattr(fact, name))
    elif isinstance(fact, tuple):
        for each in fact:
            yield from _days_in(each)
