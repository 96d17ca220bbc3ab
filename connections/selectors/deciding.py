"""Deciding what is in the rows: a line of an application with its site, rulebook and decision."""

import datetime as dt
from collections.abc import Mapping

from msgspec import UNSET, Struct, structs

from connections.assessing import Assessor
from connections.facts.decision import Decision
from connections.facts.defaults import status_of
from connections.facts.faults import SiteFileError
from connections.facts.site import Site
from connections.models import ApplicationLine
from connections.remedies.search import Found, search
from connections.rulebook.book import Rulebook
from connections.rules.decide import decide
from connections.rules.engineering import with_checks
from connections.rules.writing import write_decision
from connections.selectors.catalogue import catalogue
from connections.selectors.local_entries import local_assessor
from sites.selectors.site_rows import SiteRows, plain_from, rows_for, site_from


class DecidedSite(Struct, frozen=True):
    """A site, the rulebook that holds for it, and what was decided; or why it can't be.

    `proposed` are the ids of the units that the design proposes, whatever they are called in the
    facts: once commissioned, what a notification tells of is existing plant. `commissioned_on` is
    the first day on which one of them was.
    """

    site: Site | None
    book: Rulebook | None
    decision: Decision | None
    fault: str = ""
    proposed: tuple[str, ...] = ()
    commissioned_on: dt.date | None = None


def assessor() -> Assessor:
    """The assessor of this moment: rulebook files are read once in a process, and the firm's local
    entries once for every change of them. One query."""
    return local_assessor()


def decide_site(
    site: Site, *, remedies: bool = False, explain: bool = False, under: Assessor | None = None
) -> DecidedSite:
    """Decide facts, wherever they come from.

    `under` is an assessor at hand; who decides many sites asks `assessor` once for all.
    """
    try:
        book = (under or assessor()).rulebook(site)
    except SiteFileError as fault:
        return DecidedSite(site, None, None, fault.message)
    decided = decide(site, book)
    found = search(site, decided, book, catalogue=catalogue()) if remedies else Found((), 0, "")
    decision = write_decision(
        with_checks(decided),
        explain=explain,
        remedies=found.remedies,
        remedies_stopped=found.stopped,
    )
    return DecidedSite(site, book, decision)


def decide_line(
    line: ApplicationLine, *, remedies: bool = False, on: dt.date | None = None
) -> DecidedSite:
    """Decide one line of an application from its rows."""
    return decide_rows(rows_for(line.premises, line.design), remedies=remedies, on=on)


def decide_rows(
    rows: SiteRows,
    *,
    remedies: bool = False,
    on: dt.date | None = None,
    under: Assessor | None = None,
) -> DecidedSite:
    """Decide a premises with one of its designs from its rows; `under` as in `decide_site`.

    Where the procedure tells of work that is done, a proposed unit that has its date of
    commissioning is taken as what it then is: existing.
    """
    try:
        site = site_from(plain_from(rows))
    except SiteFileError as fault:
        return DecidedSite(None, None, None, _first_needs(fault))
    if on is not None:
        site = structs.replace(site, on_date=on)
    under = under or assessor()
    decided = decide_site(site, remedies=remedies, under=under)
    dates = {unit.label: unit.commissioned_on for unit in rows.proposed.units}
    done = {label: day for label, day in dates.items() if day is not None}
    if done and decided.decision is not None and _tells_of_work_done(decided.decision):
        decided = decide_site(as_built(site, done), remedies=remedies, under=under)
    return structs.replace(
        decided, proposed=tuple(dates), commissioned_on=min(done.values(), default=None)
    )


def as_built(site: Site, commissioned: Mapping[str, dt.date]) -> Site:
    """The site after the work: these proposed units, and what sits behind them, are existing."""
    done = {
        unit.id for unit in site.units if unit.id in commissioned and status_of(unit) == "proposed"
    }
    return structs.replace(
        site,
        units=tuple(
            structs.replace(
                unit, status="existing", commissioned_on=commissioned[unit.id], planned_on=UNSET
            )
            if unit.id in done
            else unit
            for unit in site.units
        ),
        arrays=tuple(
            structs.replace(part, status="existing")
            if part.unit_id in done and part.status == "proposed"
            else part
            for part in site.arrays
        ),
        storage=tuple(
            structs.replace(part, status="existing")
            if part.unit_id in done and part.status == "proposed"
            else part
            for part in site.storage
        ),
    )


def _tells_of_work_done(decision: Decision) -> bool:
    from connections.pack.build import kind_of

    return kind_of(decision) == "notification"


_NEEDED_FIRST = {
    "supply.phases": "Say on the sheet how many phases the supply has.",
    "units": "Enter a unit on the sheet: what drives it, and its registered capacity.",
}


def _first_needs(fault: SiteFileError) -> str:
    """What the rows lack to be a site, in words where it is known what that is."""
    return _NEEDED_FIRST.get(fault.path, f"{fault.path}: {fault.message}")
