"""Deadlines of steps in words, as dates if the start of the period is known."""

import datetime as dt

from msgspec import Struct

from connections.calendar.bank_holidays import extra_days
from connections.calendar.calendar_error import CalendarError
from connections.calendar.deadlines import BEFORE_COMMISSIONING, last_day
from connections.calendar.working_days import is_working_day
from connections.facts.decision import Period, Step
from connections.facts.defaults import known, status_of
from connections.facts.site import Premises, Site
from connections.rulebook.book import Rulebook
from connections.rulebook.load import HOME_NATION
from connections.rulebook.telling import day_in_words
from sites.deciding.reading.deciding import DecidedSite

EXTRA_DAYS = "calendar.extra_days"
NATION_WORDS = {
    "england": "England",
    "wales": "Wales",
    "scotland": "Scotland",
    "northern_ireland": "Northern Ireland",
    "ireland": "Ireland",
}


class DueStep(Struct, frozen=True):
    """A step with its deadline in words; `due` is empty for a step without one."""

    step: Step
    due: str


class _Event(Struct, frozen=True):
    """Start of a period, with its words; the day is None if not known."""

    day: dt.date | None
    words: str


def due_steps(decided: DecidedSite) -> tuple[DueStep, ...]:
    """Return every step of a decided site with its deadline."""
    site, book, decision = decided.site, decided.book, decided.decision
    if site is None or book is None or decision is None:
        return ()
    return tuple(
        DueStep(step, _due(step.limit, site, book, decided) if step.limit else "")
        for step in decision.steps
    )


def _due(limit: Period, site: Site, book: Rulebook, decided: DecidedSite) -> str:
    event = _event(limit, site, decided)
    act = "The answer is due" if limit.from_ == "submission" else "To be sent"
    length = _length(limit)
    if event.day is None:
        return f"{act} {'at least ' if _before(limit) else 'within '}{length} {event.words}."
    nation, taken = _nation(site, book)
    try:
        off = extra_days(book.words(EXTRA_DAYS)) if EXTRA_DAYS in book.values else frozenset()
        day = last_day(limit, event.day, nation, off)
        working = is_working_day(day, nation, off)
    except CalendarError as fault:
        return f"{act} {length} {event.words}; the day can't be told: {fault}."
    counted = f"{length} {event.words}"
    if limit.unit == "working-days":
        counted += f", with the bank holidays of {NATION_WORDS[nation]}{taken}"
    elif not working:
        counted += ", no working day"
    told = f"{act} by {day:%A} {day_in_words(day)} ({counted})."
    return told + _work_before(limit, site, decided, day)


def _work_before(limit: Period, site: Site, decided: DecidedSite, day: dt.date) -> str:
    """Warn that the work is planned before the answer is due; empty otherwise."""
    planned = _planned(site, decided.proposed)
    if limit.from_ != "submission" or decided.commissioned_on or planned is None or planned >= day:
        return ""
    if planned < site.on_date:
        return f" The day planned for the work, {day_in_words(planned)}, lies before it is sent."
    return f" The work is planned for {day_in_words(planned)}, before that day."


def _length(limit: Period) -> str:
    unit = {"days": "day", "working-days": "working day", "months": "month"}.get(limit.unit)
    if unit is None:
        return f"{limit.n} {limit.unit}"
    return f"{limit.n} {unit}{'' if limit.n == 1 else 's'}"


def _before(limit: Period) -> bool:
    return limit.from_ == BEFORE_COMMISSIONING


def _event(limit: Period, site: Site, decided: DecidedSite) -> _Event:
    if limit.from_ == "submission":
        day = site.on_date
        return _Event(day, f"after it is sent, if that is on {day_in_words(day)}")
    side = "before" if _before(limit) else "after"
    commissioned, planned = decided.commissioned_on, _planned(site, decided.proposed)
    if commissioned is not None:
        return _Event(commissioned, f"{side} commissioning on {day_in_words(commissioned)}")
    if planned is not None:
        return _Event(planned, f"{side} commissioning, planned for {day_in_words(planned)}")
    return _Event(None, f"{side} commissioning; no date is planned yet")


def _planned(site: Site, proposed: tuple[str, ...]) -> dt.date | None:
    """Return the first planned commissioning date of new plant.

    The first of several units counts, because its notification is late first.
    """
    new = [unit for unit in site.units if unit.id in proposed or status_of(unit) == "proposed"]
    planned = [day for unit in new if (day := known(unit.planned_on)) is not None]
    return min(planned, default=known(site.planned_on))


def _nation(site: Site, book: Rulebook) -> tuple[str, str]:
    """Return the nation whose bank holidays count, and words to add if it is assumed."""
    nation = known(site.premises.nation) if isinstance(site.premises, Premises) else None
    if nation is not None:
        return nation, ""
    of_area = next((area.nation for area in book.areas if area.id == book.area), "")
    if of_area:
        return of_area, ""
    return HOME_NATION, ", since no nation is given"
