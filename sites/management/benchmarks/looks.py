"""Measure looks at all sites for `manage.py bench`: one worker, a database for it alone."""

import datetime as dt
import time
from collections.abc import Iterator

from sites.management.benchmarks.core import Figure, median_s
from sites.management.benchmarks.many_premises import copy_premises
from sites.management.scratch_demo import scratch_demo

SITES = 10_000
UNDER_THE_EDITION_BEFORE = dt.date(2024, 6, 3)


def screening() -> Iterator[Figure]:
    """Rulebooks out of the cache, and 10,000 sites looked at again by one worker."""
    yield _resolving()
    with scratch_demo():
        yield from _looking()


def _resolving() -> Figure:
    from connections.assessing import Assessor
    from connections.rulebook.load import load_books, resolve
    from sites.management.benchmarks.core import four_units

    site = Assessor().site(four_units())
    books = load_books()
    spent = median_s(lambda: resolve(books, on=site.on_date, area="gb-12"), 3000)
    return Figure("layers put together, out of the cache", spent * 1e6, "us", 50, True)


def _looking() -> Iterator[Figure]:
    from django.core.management import call_command
    from django.test.utils import override_settings
    from django.utils import timezone

    from sites.desk.writing.demonstration import PEOPLE
    from sites.looks.models import ScreeningRun
    from sites.looks.writing.looking import look_for_changes, start_screening
    from sites.people.models import Person

    queue = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    engineer = Person.objects.get(email=PEOPLE[1][0])
    copy_premises(SITES)

    def spent_on(run: ScreeningRun) -> tuple[float, str, ScreeningRun]:
        begun, worked = time.perf_counter(), time.process_time()
        call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)
        spent, worked = time.perf_counter() - begun, time.process_time() - worked
        run.refresh_from_db()
        if run.ended_at is None or run.done != SITES:
            raise RuntimeError(f"the worker left {run.total - run.done} sites")
        return spent, f"{SITES / spent:,.0f} sites/s, {worked:.1f} s of processor", run

    with override_settings(TASKS=queue):
        today = timezone.localdate()
        for named, on in (
            ("other rules", UNDER_THE_EDITION_BEFORE),
            ("rules that are much the same", today + dt.timedelta(days=90)),
        ):
            spent, note, run = spent_on(start_screening(on=on, by=engineer))
            note += f", {run.rows.count()} differ"
            yield Figure(f"{SITES:,} sites under {named}", spent, "s", 20, True, note)
        spent_on(look_for_changes())
        spent, note, _run = spent_on(look_for_changes())
        yield Figure(f"{SITES:,} sites looked through for changes", spent, "s", 20, True, note)
