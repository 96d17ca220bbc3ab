"""Decides many cases under other rules and finds the differences.

Decides without sentences (`rules.decide`) and puts only differences into words, so that about 200
cases take a fraction of a second. The number of queries does not depend on the number of cases.
"""

from collections.abc import Sequence
from functools import lru_cache

from django.db.models import QuerySet

from connections.assessing import Assessor
from connections.rulebook.load import read_local
from sites.cases.models import Case
from sites.deciding.reading.deciding import assessor
from sites.looks.models import CHANGE, DATE, WATCH, ScreeningRun
from sites.looks.reading.differing_lines import Looked, compared, decided_on, facts_of, not_before
from sites.looks.reading.watching import watched
from sites.premises.reading.site_rows import SiteRows, rows_of_designs

Local = tuple[tuple[str, str], ...]
"""Local files as pairs of name and TOML."""


def lines_to_look_at() -> QuerySet[Case]:
    """Return every case, issued ones too: a confirmation or a new revision may follow."""
    return Case.objects.order_by("pk")


def look_at_lines(run: ScreeningRun, cases: Sequence[int]) -> Looked:
    """Return what a run finds on these cases (primary keys), without cases that are gone.

    17 queries for any number of cases, and one for kept rulebooks that this process has not read.
    """
    rows = _rows(cases)
    rules = assessor()
    if run.kind == WATCH:
        return watched(run, rows, rules)
    tested = _under_test(local_of(run)) if run.kind == CHANGE else rules
    found = []
    for pk, (_case, site_rows) in rows.items():
        chosen = site_rows.premises.on_date
        after_on = run.on if run.kind == DATE else not_before(run.on, chosen)
        before_on = (chosen or run.today) if run.kind == DATE else after_on
        site = facts_of(site_rows)
        before = decided_on(site_rows, site, rules, before_on)
        after = decided_on(site_rows, site, tested, after_on)
        differing = compared(pk, None, before, after)
        if differing is not None:
            found.append(differing)
    return Looked(tuple(found), {})


def local_of(run: ScreeningRun) -> Local:
    """Return the local files of a run of kind `change`."""
    return tuple((name, text) for name, text in run.local or ())


def _rows(cases: Sequence[int]) -> dict[int, tuple[Case, SiteRows]]:
    found = list(
        Case.objects.filter(pk__in=cases).select_related("premises", "design").order_by("pk")
    )
    for case in found:
        case.design.premises = case.premises
    rows = rows_of_designs([case.design for case in found], facts_alone=True)
    return {case.pk: (case, rows[case.design_id]) for case in found}


@lru_cache(maxsize=4)
def _under_test(local: Local) -> Assessor:
    """Return an assessor with only these local files. Raises RulebookError."""
    return Assessor(local=tuple(read_local(text.encode(), name) for name, text in local))


def check_local_texts(local: Local) -> None:
    """Raises RulebookError, naming file and key, if a local file can't be read."""
    _under_test(local)
