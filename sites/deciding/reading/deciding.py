"""Decides a case of an application from its rows."""

import datetime as dt
from collections.abc import Mapping

from msgspec import Struct, structs

from connections.assessing import NOTHING_DONE, Assessor
from connections.facts.decision import Decision
from connections.facts.site import Site
from connections.facts.site_file_error import SiteFileError
from connections.rulebook.book import Rulebook
from connections.rules.decide import Decided
from sites.cases.models import Case
from sites.catalogue.reading import catalogue
from sites.house.two_columns import fact_in
from sites.premises.reading.site_rows import SiteRows, rows_for, site_from
from sites.rulebook.reading.local_entries import local_assessor


class DecidedSite(Struct, frozen=True):
    """A site with its rulebook and decision, or the fault that prevents one.

    `proposed` are the ids of proposed units, even if the facts call them existing. That happens
    when a notification tells of work done: commissioned units then count as existing plant.
    `commissioned_on` is the first day or month in which one of them was commissioned. `decided` is
    the result of the rules alone, without checks.
    """

    site: Site | None
    book: Rulebook | None
    decision: Decision | None
    fault: str = ""
    proposed: tuple[str, ...] = ()
    commissioned_on: str | None = None
    decided: Decided | None = None


def assessor() -> Assessor:
    """Return the current assessor; one query.

    A process reads rulebook files once, and the firm's local entries once after each change.
    """
    return local_assessor()


def decide_site(
    site: Site,
    *,
    done: Mapping[str, str] = NOTHING_DONE,
    remedies: bool = False,
    under: Assessor | None = None,
) -> DecidedSite:
    """Decide facts from any source; `done` as in `assessing.decide_without_words`.

    `under` is an assessor; callers that decide many sites get one from `assessor` and pass it.
    """
    try:
        found = (under or assessor()).decide(
            site, done=done, remedies=remedies, catalogue=catalogue() if remedies else ()
        )
    except SiteFileError as fault:
        return DecidedSite(site, None, None, fault.message)
    return DecidedSite(found.site, found.book, found.decision, decided=found.decided)


def decide_case(case: Case, *, remedies: bool = False, on: dt.date | None = None) -> DecidedSite:
    """Decide one case of an application from its rows."""
    return decide_rows(rows_for(case.premises, case.design), remedies=remedies, on=on)


def decide_rows(
    rows: SiteRows,
    *,
    remedies: bool = False,
    on: dt.date | None = None,
    under: Assessor | None = None,
) -> DecidedSite:
    """Decide a premises with one of its designs from its rows; `under` as in `decide_site`.

    If the procedure notifies of work that is done, a proposed unit with a commissioning date counts
    as existing.
    """
    try:
        site = site_from(rows)
    except SiteFileError as fault:
        return DecidedSite(None, None, None, _first_needs(fault))
    if on is not None:
        site = structs.replace(site, on_date=on)
    done = commissioned(rows)
    return structs.replace(
        decide_site(site, done=done, remedies=remedies, under=under),
        proposed=tuple(unit.label for unit in rows.proposed.units),
        commissioned_on=min(done.values(), default=None),
    )


def commissioned(rows: SiteRows) -> dict[str, str]:
    """Return the commissioning dates of proposed units that have one, by unit."""
    dated = ((unit.label, fact_in(unit, "commissioned_on")) for unit in rows.proposed.units)
    return {label: when for label, when in dated if when is not None}


_NEEDED_FIRST = {
    "supply.phases": "Say on the sheet how many phases the supply has.",
    "units": "Enter a unit on the sheet: what drives it, and its registered capacity.",
}


def _first_needs(fault: SiteFileError) -> str:
    """Say what the rows lack to be a site, in words if there are any."""
    return _NEEDED_FIRST.get(fault.path, f"{fault.path}: {fault.message}")
