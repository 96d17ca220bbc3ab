"""The next day by which something of a case is due, and what it is the day of."""

import datetime as dt
from collections.abc import Iterator

from msgspec import Struct

from connections.calendar.calendar_error import CalendarError
from connections.calendar.deadlines import BEFORE_COMMISSIONING
from connections.facts.decision import Step
from connections.facts.defaults import first_day
from connections.rules.days import period_ends, planned_day
from sites.cases.models import Case
from sites.cases.moves import (
    ACCEPTED,
    BOOKED,
    CLOCK_RUNNING,
    COMMISSIONED,
    ENGINEER_REVIEW,
    INFORMATION_WANTED,
    OFFER_RECEIVED,
    PREPARING,
    READY_TO_INSTALL,
    READY_TO_SEND,
    SENT,
    WAITING_FOR_WORKS,
    Standing,
)
from sites.cases.reading import clock_of
from sites.deciding.reading.deciding import DecidedSite
from sites.review.models.reply import STUDY, WANTED
from sites.review.reading.replies import last_day, settling

NOT_BEFORE = "The operator’s answer, not before"
"""Said of the day of an answer until the operator has said that the application is complete."""


class Due(Struct, frozen=True):
    """A day and what is due by it; no day where none is known."""

    on: dt.date | None = None
    says: str = ""


def due_of(case: Case, standing: Standing, decided: DecidedSite) -> Due:
    """The earliest day that is due in the state of a case; one query where an answer can end."""
    found = [due for due in _all(case, standing, decided) if due.on is not None]
    return min(found, key=lambda due: due.on or dt.date.max, default=Due())


def _all(case: Case, standing: Standing, decided: DecidedSite) -> Iterator[Due]:
    state, site = standing.state, decided.site
    if site is None or decided.decision is None:
        return
    steps = decided.decision.steps
    planned = planned_day(site, decided.proposed)
    if state in (PREPARING, ENGINEER_REVIEW, READY_TO_SEND):
        for step in steps:
            if step.limit is not None and step.limit.from_ == BEFORE_COMMISSIONING:
                yield Due(_ends(step, planned, decided), "Send it")
    if state in (SENT, CLOCK_RUNNING):
        study = case.replies.filter(taken_back_at=None).last()
        if study is not None and study.kind == STUDY and study.valid_until is not None:
            yield Due(study.valid_until, "The operator’s answer")
            return
        clock = clock_of(case)
        # Before the application is complete, its period may not have begun.
        since = clock.complete_on or clock.sent_on
        says = "The operator’s answer" if clock.complete_on else NOT_BEFORE
        for step in steps:
            if step.wait and step.limit is not None and step.limit.from_ == "submission":
                yield Due(_ends(step, since, decided, clock.stood), says)
    if state in (OFFER_RECEIVED, ACCEPTED, WAITING_FOR_WORKS, BOOKED):
        yield Due(*last_day(settling(case.replies.all()), state))
    if state == INFORMATION_WANTED:
        asked = case.replies.filter(kind=WANTED, taken_back_at=None).last()
        yield Due(asked.valid_until if asked is not None else None, "The operator wants to know")
    if state in (READY_TO_INSTALL, BOOKED):
        yield Due(planned, "The work")
    if state == COMMISSIONED:
        done = first_day(decided.commissioned_on)
        for step in steps:
            if step.when == "after-commissioning" and step.limit is not None:
                yield Due(_ends(step, done, decided), "Tell the operator of the work")


def _ends(
    step: Step,
    since: dt.date | None,
    decided: DecidedSite,
    stood: tuple[tuple[dt.date, dt.date], ...] = (),
) -> dt.date | None:
    site, book = decided.site, decided.book
    if since is None or step.limit is None or site is None or book is None:
        return None
    try:
        return period_ends(step.limit, since, site, book, stood)
    except CalendarError:
        return None
