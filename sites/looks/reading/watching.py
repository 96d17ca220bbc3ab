"""Finds cases for which the rules have changed since last noted, or will change."""

import datetime as dt
from collections.abc import Iterable, Mapping

from django.db.models import OuterRef, Subquery
from django.utils import timezone
from msgspec import Struct, structs

from connections.assessing import Assessor
from connections.facts.site import Site
from connections.facts.site_file_error import SiteFileError
from connections.rulebook.book import Rulebook
from connections.rulebook.checking.gaps import change_days
from connections.rulebook.keeping import rulebook_from
from sites.cases.models import Case
from sites.deciding.reading.deciding import assessor
from sites.looks.models import NotedRules, ScreeningRun
from sites.looks.reading.differing_lines import (
    Differing,
    Looked,
    compared,
    decided_under,
    facts_of,
    not_before,
)
from sites.packs.models import FrozenPack
from sites.premises.reading.site_rows import SiteRows
from sites.rulebook.models import KeptRulebook, LocalEntry
from sites.rulebook.reading.local_entries import entry_of, parts_with

COMING_DAYS = 60
"""Number of days ahead for which the work list tells of changes of rules; our choice."""

MOST_COMING = 4
"""Most days with a change ahead that a look covers; our choice, in practice no more are known."""


class _Noted(Struct, frozen=True):
    """Digests of the rules that a case was last noted under, and of those looked at ahead."""

    rulebook: str
    looked: str


def coming_days(today: dt.date) -> tuple[dt.date, ...]:
    """Return the days, from tomorrow to COMING_DAYS ahead, on which some rule changes."""
    rules = assessor()
    days = change_days((*rules.books.editions, *rules.books.operators, *rules.local))
    last = today + dt.timedelta(days=COMING_DAYS)
    return tuple(day for day in days if today < day <= last)[:MOST_COMING]


def watched(
    run: ScreeningRun,
    rows: Mapping[int, tuple[Case, SiteRows]],
    rules: Assessor,
) -> Looked:
    """Decide each case under its noted rules, those in force, and those to come.

    Decides before and after on the same day, so that only the rules make a difference. A difference
    that only informs does not count. Skips rules that are identical. Decides as if sent today: a
    past date of the rules on the sheet hides no change.
    """
    noted = _noted(rows)
    packs = _newest_packs([case for case, _ in rows.values()])
    kept = _kept({each.rulebook for each in noted.values()} | set(packs.values()))
    earlier = _Earlier(case for pk, (case, _) in rows.items() if pk not in noted)
    found: list[Differing] = []
    to_note: dict[int, Rulebook] = {}
    for pk, (case, site_rows) in rows.items():
        site = facts_of(site_rows)
        if isinstance(site, str):
            continue
        own = not_before(run.today, site_rows.premises.on_date)
        site = structs.replace(site, on_date=own)
        try:
            book = rules.rulebook(site)
        except SiteFileError:
            continue
        last, looked = _last_noted(case, noted.get(pk), packs, kept)
        if last is None and pk not in noted:
            last = earlier.book(case, site)
        differing = None
        if last is not None and last.digest != book.digest and looked != book.digest:
            before = decided_under(site_rows, site, last)
            after = decided_under(site_rows, site, book)
            differing = compared(pk, None, before, after, loud=True)
        if differing is not None:
            found.append(differing)
            if pk not in noted and last is not None:
                to_note[pk] = last
        elif pk not in noted or noted[pk].rulebook != book.digest:
            to_note[pk] = book
        found += _ahead(run, pk, site_rows, site, rules, book, looked)
    return Looked(tuple(found), to_note)


def _ahead(
    run: ScreeningRun,
    pk: int,
    rows: SiteRows,
    site: Site,
    rules: Assessor,
    book: Rulebook,
    looked: str,
) -> Iterable[Differing]:
    """Yield the difference on the first day ahead whose rules change the result of this case."""
    for day in (dt.date.fromisoformat(text) for text in run.coming):
        if day <= site.on_date:
            continue
        then = structs.replace(site, on_date=day)
        try:
            later = rules.rulebook(then)
        except SiteFileError:
            continue
        if later.digest in (book.digest, looked):
            continue
        before, after = decided_under(rows, then, book), decided_under(rows, then, later)
        differing = compared(pk, day, before, after, loud=True)
        if differing is not None:
            yield differing
            return


def _noted(cases: Iterable[int]) -> dict[int, _Noted]:
    rows = NotedRules.objects.filter(case__in=list(cases))
    return {
        case: _Noted(rulebook, looked)
        for case, rulebook, looked in rows.values_list("case_id", "rulebook_id", "looked")
    }


def _newest_packs(cases: Iterable[Case]) -> dict[int, str]:
    """Return the rulebook of each application's newest pack, if newer than the noted rules."""
    newest = FrozenPack.objects.filter(application=OuterRef("application")).order_by("-revision")
    noted = NotedRules.objects.filter(case__application=OuterRef("application"))
    packs = FrozenPack.objects.filter(
        application__in=[case.application_id for case in cases],
        pk=Subquery(newest.values("pk")[:1]),
    ).annotate(noted=Subquery(noted.order_by("-noted_at").values("noted_at")[:1]))
    return {
        application: rulebook
        for application, rulebook, issued, at in packs.values_list(
            "application_id", "rulebook_id", "issued_at", "noted"
        )
        if at is None or issued > at
    }


_read: dict[str, Rulebook] = {}
_MOST_READ = 64


def _kept(digests: set[str]) -> dict[str, Rulebook]:
    """Return kept rulebooks by digest, without those that this program can no longer read."""
    wanted = digests - _read.keys()
    if wanted:
        if len(_read) + len(wanted) > _MOST_READ:
            _read.clear()
        rows = KeptRulebook.objects.filter(digest__in=digests - _read.keys())
        for digest, content in rows.values_list("digest", "content"):
            try:
                _read[digest] = structs.replace(
                    rulebook_from(bytes(content), dt.date.min), digest=digest
                )
            except ValueError:
                continue
    return {digest: _read[digest] for digest in digests if digest in _read}


def _last_noted(
    case: Case,
    noted: _Noted | None,
    packs: Mapping[int, str],
    kept: Mapping[str, Rulebook],
) -> tuple[Rulebook | None, str]:
    """Return the rules that the case was last noted under, and the digest of those looked at ahead.

    The rules of a pack issued since replace the noted ones.
    """
    looked = noted.looked if noted is not None else ""
    digest = packs.get(case.application_id) or (noted.rulebook if noted is not None else "")
    return kept.get(digest), looked


class _Earlier:
    """Rules for cases that were never noted.

    They are those in force when the premises was last saved, with the local entries entered by
    then.
    """

    def __init__(self, cases: Iterable[Case]) -> None:
        """Read the entries if there are cases; one query."""
        self.entries = list(LocalEntry.objects.order_by("pk")) if list(cases) else []
        self.made: dict[tuple[tuple[int, bool], ...], Assessor] = {}

    def book(self, case: Case, site: Site) -> Rulebook | None:
        """Return the rules of one case; None if they can't be told."""
        moment = case.premises.changed_at
        day = case.premises.on_date or timezone.localdate(moment)
        try:
            return self._rules(moment).rulebook(structs.replace(site, on_date=day))
        except SiteFileError:
            return None

    def _rules(self, moment: dt.datetime) -> Assessor:
        there = [entry for entry in self.entries if entry.entered_at <= moment]
        ended = [entry.ended_at is not None and entry.ended_at <= moment for entry in there]
        key = tuple(zip((entry.pk for entry in there), ended, strict=True))
        found = self.made.get(key)
        if found is None:
            entries = [
                # An entry ended later had no end then, as far as is known.
                (row.area, structs.replace(entry_of(row), until=None) if later else entry_of(row))
                for row, over in zip(there, ended, strict=True)
                for later in [row.ended_at is not None and not over]
            ]
            found = self.made[key] = Assessor(local=parts_with(entries))
        return found
