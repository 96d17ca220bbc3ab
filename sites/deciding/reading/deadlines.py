"""Deadlines of steps in words, as dates if the start of the period is known."""

import datetime as dt

from msgspec import Struct

from connections.calendar.calendar_error import CalendarError
from connections.calendar.deadlines import BEFORE_COMMISSIONING
from connections.calendar.working_days import is_working_day
from connections.facts.decision import Period, Step
from connections.facts.defaults import first_day, is_month
from connections.facts.site import Site
from connections.rulebook.book import Rulebook
from connections.rulebook.telling import dated, day_in_words
from connections.rules.days import days_off, nation_of, period_ends, planned_day
from sites.deciding.reading.deciding import DecidedSite

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
    length = length_in_words(limit)
    if event.day is None:
        return f"{act} {'at least ' if _before(limit) else 'within '}{length} {event.words}."
    nation, assumed = nation_of(site, book)
    try:
        day = period_ends(limit, event.day, site, book)
        working = is_working_day(day, nation, days_off(book))
    except CalendarError as fault:
        return f"{act} {length} {event.words}; the day can't be told: {fault}."
    counted = f"{length} {event.words}"
    if limit.unit == "working-days":
        taken = ", since no nation is given" if assumed else ""
        counted += f", with the bank holidays of {NATION_WORDS[nation]}{taken}"
    elif not working:
        counted += ", no working day"
    return f"{act} by {day:%A} {day_in_words(day)} ({counted})."


def length_in_words(limit: Period) -> str:
    """A period in words: "10 working days"."""
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
    commissioned, planned = decided.commissioned_on, planned_day(site, decided.proposed)
    if limit.from_ == "taking-out":
        when = "" if planned is None else f", planned for {day_in_words(planned)}"
        return _Event(planned, f"after the plant is taken out{when}")
    side = "before" if _before(limit) else "after"
    first = first_day(commissioned)
    if commissioned is not None and first is not None:
        of_month = f"in {dated(commissioned)}, counted from its first day"
        words = of_month if is_month(commissioned) else f"on {day_in_words(first)}"
        return _Event(first, f"{side} commissioning {words}")
    if planned is not None:
        return _Event(planned, f"{side} commissioning, planned for {day_in_words(planned)}")
    return _Event(None, f"{side} commissioning; no date is planned yet")
