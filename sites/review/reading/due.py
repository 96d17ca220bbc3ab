"""Every day that a case has: what is due by it, the rule that it follows from, and its source."""

import datetime as dt
from collections.abc import Iterable, Iterator

from msgspec import Struct

from connections.calendar.calendar_error import CalendarError
from connections.calendar.deadlines import BEFORE_COMMISSIONING
from connections.facts.decision import Period, Step
from connections.facts.defaults import first_day, known
from connections.rulebook.telling import day_in_words
from connections.rules.days import nation_of, period_ends, planned_day
from sites.cases.models import Case
from sites.cases.moves import (
    ACCEPTED,
    AGREED,
    BOOKED,
    CLOCK_RUNNING,
    COMMISSIONED,
    ENDED,
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
from sites.cases.reading import Clock, clock_of
from sites.deciding.reading.deadlines import NATION_WORDS, length_in_words
from sites.deciding.reading.deciding import DecidedSite
from sites.review.models import Reply, Works
from sites.review.models.reply import STUDY, WANTED
from sites.review.models.works import WHICH
from sites.review.reading.replies import last_day, settling

NOT_BEFORE = "The operator’s answer, not before"
"""Said of the day of an answer until the operator has said that the application is complete."""
_BEFORE_SENDING = frozenset({PREPARING, ENGINEER_REVIEW, READY_TO_SEND})
_BEFORE_WORK = _BEFORE_SENDING | {
    SENT, CLOCK_RUNNING, INFORMATION_WANTED, OFFER_RECEIVED, ACCEPTED, WAITING_FOR_WORKS,
    READY_TO_INSTALL, BOOKED,
}  # fmt: skip
_WINDOW_FROM, _WINDOW_UNTIL = "time.window_from", "time.window_until"
_WINDOW_OUTCOMES = "time.window_outcomes"


class Day(Struct, frozen=True):
    """A day of a case. `key` is the same as long as it is the same thing that is due by it.

    `rule` says how the day is counted, `source` where that stands; empty where somebody set it.
    """

    key: str
    says: str
    on: dt.date
    rule: str
    source: str = ""


def days_of(case: Case, standing: Standing, decided: DecidedSite) -> tuple[Day, ...]:
    """Every day that is still to come in the state of a case, or was missed; the earliest first.

    At most three queries.
    """
    if standing.state in ENDED:
        return ()
    found = {day.key: day for day in _all(case, standing, decided)}
    return tuple(sorted(found.values(), key=lambda day: (day.on, day.key)))


def _all(case: Case, standing: Standing, decided: DecidedSite) -> Iterator[Day]:
    state = standing.state
    replies = [each for each in case.replies.all() if each.taken_back_at is None]
    yield from _set_by_operator(state, replies)
    works = Works.objects.filter(case=case, done_on=None, dropped_at=None)
    for job in works.exclude(planned_on=None):
        assert job.planned_on is not None
        says = f"Network works: {dict(WHICH)[job.kind]}"
        yield Day(f"works-{job.key}", says, job.planned_on, "The day that the operator planned.")
    if decided.site is None or decided.book is None or decided.decision is None:
        return
    planned = planned_day(decided.site, decided.proposed)
    if planned is not None and state in _BEFORE_WORK:
        yield Day("work", "The work", planned, "The day planned on the survey sheet.")
        yield from _certificates(decided, planned)
    clock = clock_of(case)
    yield from _steps(clock, state, planned, replies, decided)
    yield from _window(clock, state, planned, decided)


def _set_by_operator(state: str, replies: list[Reply]) -> Iterator[Day]:
    """The last days that answers name."""
    on, says = last_day(settling(replies), state)
    if on is not None and (state == OFFER_RECEIVED or (state in AGREED and state != COMMISSIONED)):
        yield Day("answer-ends", says, on, "The last day that the operator’s answer names.")
    last = replies[-1] if replies else None
    if last is None or last.valid_until is None:
        return
    if state == INFORMATION_WANTED and last.kind == WANTED:
        says = "Tell the operator what it wants to know"
        yield Day("wanted", says, last.valid_until, "The day that the operator named.")


def _steps(
    clock: Clock, state: str, planned: dt.date | None, replies: list[Reply], decided: DecidedSite
) -> Iterator[Day]:
    """The last days of the steps that the rules name."""
    assert decided.decision is not None
    study = replies[-1] if replies and replies[-1].kind == STUDY else None
    for number, step in enumerate(decided.decision.steps):
        limit = step.limit
        if limit is None:
            continue
        if limit.from_ == BEFORE_COMMISSIONING and state in _BEFORE_WORK:
            first = step.when == "before-energising"
            says = "Give the operator notice of commissioning" if first else "Send the application"
            if first or state in _BEFORE_SENDING:
                yield from _day(f"before-{number}", says, step, planned, "the work", decided)
        elif limit.from_ == "submission" and step.wait and state in (SENT, CLOCK_RUNNING):
            if study is not None and study.valid_until is not None:
                rule = "The day that the operator named for its study."
                yield Day("answer", "The operator’s answer", study.valid_until, rule)
                continue
            # Before the application is complete, its period may not have begun.
            complete = clock.complete_on is not None
            says, begin = (
                ("The operator’s answer", "the application was complete")
                if complete
                else (NOT_BEFORE, "it was sent")
            )
            since = clock.complete_on or clock.sent_on
            yield from _day("answer", says, step, since, begin, decided, clock.stood)
        elif step.when == "after-commissioning" and state == COMMISSIONED:
            done = first_day(decided.commissioned_on)
            says = "Tell the operator of the work"
            yield from _day(f"tell-{number}", says, step, done, "commissioning", decided)


def _day(
    key: str,
    says: str,
    step: Step,
    since: dt.date | None,
    begin: str,
    decided: DecidedSite,
    stood: tuple[tuple[dt.date, dt.date], ...] = (),
) -> Iterator[Day]:
    assert step.limit is not None
    on = _ends(step.limit, since, decided, stood)
    if on is not None and since is not None:
        rule = _counted(step.limit, begin, since, decided)
        if stood:
            rule += " The days on which the operator waited for information are not counted."
        yield Day(key, says, on, rule, "; ".join(step.sources))


def _window(
    clock: Clock, state: str, planned: dt.date | None, decided: DecidedSite
) -> Iterator[Day]:
    """The window of the commissioning day: the last day to send, and the last to commission."""
    book, decision = decided.book, decided.decision
    assert book is not None
    assert decision is not None
    keys = (_WINDOW_FROM, _WINDOW_UNTIL, _WINDOW_OUTCOMES)
    if any(key not in book.values for key in keys):
        return
    if decision.procedure.key not in book.words(_WINDOW_OUTCOMES):
        return
    if state in _BEFORE_SENDING and planned is not None:
        value = book.values[_WINDOW_FROM]
        limit = Period(book.whole(_WINDOW_FROM), value.unit, BEFORE_COMMISSIONING)
        on = _ends(limit, planned, decided)
        if on is not None:
            rule = _counted(limit, "the work", planned, decided)
            yield Day("send", "Send the application", on, rule, str(value.source))
    since = clock.sent_on
    if since is not None and state in _BEFORE_WORK - _BEFORE_SENDING:
        value = book.values[_WINDOW_UNTIL]
        limit = Period(book.whole(_WINDOW_UNTIL), value.unit, "submission")
        on = _ends(limit, since, decided)
        if on is not None:
            rule = _counted(limit, "it was sent", since, decided)
            yield Day("window", "Commission the plant", on, rule, str(value.source))


def _certificates(decided: DecidedSite, planned: dt.date) -> Iterator[Day]:
    """Certificates of new units that end before the work."""
    assert decided.site is not None
    for unit in decided.site.units:
        if unit.id not in decided.proposed:
            continue
        for number, each in enumerate(known(unit.standards) or ()):
            on = known(each.valid_until)
            if on is not None and on < planned:
                says = f"A certificate of {unit.id} ends before the work"
                yield Day(f"certificate-{unit.id}-{number}", says, on, "Its last day, as entered.")


def _ends(
    limit: Period,
    since: dt.date | None,
    decided: DecidedSite,
    stood: tuple[tuple[dt.date, dt.date], ...] = (),
) -> dt.date | None:
    site, book = decided.site, decided.book
    if since is None or site is None or book is None:
        return None
    try:
        return period_ends(limit, since, site, book, stood)
    except CalendarError:
        return None


def _counted(limit: Period, begin: str, since: dt.date, decided: DecidedSite) -> str:
    """How a day is counted, in a sentence."""
    assert decided.site is not None
    assert decided.book is not None
    side = "before" if limit.from_ == BEFORE_COMMISSIONING else "after"
    said = f"{length_in_words(limit)} {side} {begin} ({day_in_words(since)})"
    if limit.unit == "working-days":
        nation, _assumed = nation_of(decided.site, decided.book)
        said += f", without the bank holidays of {NATION_WORDS[nation]}"
    return f"{said}."


def moved(old: Iterable[Day], new: Iterable[Day]) -> list[tuple[Day, Day]]:
    """The days that are in both and have another date now."""
    before = {day.key: day for day in old}
    return [
        (before[day.key], day) for day in new if day.key in before and before[day.key].on != day.on
    ]
