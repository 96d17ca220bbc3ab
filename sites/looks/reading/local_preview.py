"""Previews the effect of entering or ending local entries: site by site, before and after."""

import datetime as dt
import time
from collections.abc import Sequence
from uuid import UUID

from msgspec import Struct

from connections.rulebook.local_text import Entry
from connections.rules.comparing.decisions import Change
from sites.cases.models import Case
from sites.looks.models import CHANGE, ScreeningRun
from sites.looks.reading.looking import lines_to_look_at, look_at_lines
from sites.premises.reading.site_rows import today
from sites.rulebook.reading.local_entries import area_name, file_of

AT_ONCE = 500
"""At most this many sites are looked at while a person waits; the worker takes more. Our choice."""

BATCH = 200


class ChangedSite(Struct, frozen=True):
    """A site with a different result."""

    key: UUID
    reference: str
    name: str
    was: str
    now: str
    changes: tuple[Change, ...]


class Preview(Struct, frozen=True):
    """Effects of a change of entries.

    Compares the rules of the day `on`, or of a site's own later date. `looked_at` is None if there
    are more sites than AT_ONCE.
    """

    on: dt.date
    sites: int
    looked_at: int | None
    changed: tuple[ChangedSite, ...]
    seconds: float


def texts_of(entries: Sequence[tuple[str, Entry]]) -> tuple[tuple[str, str], ...]:
    """Return the local files of entries with their areas, as pairs of name and TOML."""
    by_area: dict[str, list[Entry]] = {}
    for area, entry in entries:
        if entry.ever_holds:
            by_area.setdefault(area, []).append(entry)
    return tuple(
        (f"entries for {area_name(area)}", file_of(area, by_area[area])) for area in sorted(by_area)
    )


def first_day(days: Sequence[dt.date]) -> dt.date:
    """Return the day whose rules to compare: today, or the first of `days` if all are to come."""
    return max(today(), min(days, default=today()))


def preview(entries: Sequence[tuple[str, Entry]], *, on: dt.date) -> Preview:
    """Return the effects if `entries` (with their areas) replaced the present ones.

    Decides every site under the rules in force and under those with the entries. Uses the site's
    own date but no day before `on`. Queries: 16 for each 200 sites.
    """
    began = time.perf_counter()
    cases = list(lines_to_look_at().values_list("pk", flat=True)[: AT_ONCE + 1])
    if len(cases) > AT_ONCE:
        return Preview(on, lines_to_look_at().count(), None, (), 0.0)
    run = ScreeningRun(kind=CHANGE, on=on, today=today(), local=texts_of(entries))
    differing = [
        each
        for start in range(0, len(cases), BATCH)
        for each in look_at_lines(run, cases[start : start + BATCH]).differing
    ]
    found = Case.objects.select_related("premises").in_bulk([each.case for each in differing])
    changed = tuple(
        ChangedSite(
            premises.key, premises.reference, premises.name, each.was, each.now, each.changes
        )
        for each in differing
        if each.case in found and (premises := found[each.case].premises)
    )
    return Preview(on, len(cases), len(cases), changed, time.perf_counter() - began)
