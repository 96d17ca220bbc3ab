"""The day planned for the work, beside the days that an application takes."""

import datetime as dt
from collections.abc import Iterator

from connections.calendar.calendar_error import CalendarError
from connections.facts.decision import Period
from connections.facts.defaults import known, status_of
from connections.facts.site import Premises
from connections.rulebook.telling import dated
from connections.rules.case import Case
from connections.rules.days import period_ends, planned_day
from connections.rules.kinds import Found, Kind, Read, Values, Words
from connections.rules.steps import following

_FROM, _UNTIL = "time.window_from", "time.window_until"
_OUTCOMES = "time.window_outcomes"


def _planned(case: Case) -> dt.date | None:
    """The day planned for new plant; None if there is none, or if some of it is commissioned."""
    new = [unit for unit in case.site.units if status_of(unit) == "proposed"]
    if not new or any(known(unit.commissioned_on) for unit in new):
        return None
    return planned_day(case.site)


def _read(case: Case) -> tuple[Read, ...]:
    site = case.site
    nation = known(site.premises.nation) if isinstance(site.premises, Premises) else None
    return (
        ("on_date", site.on_date),
        ("planned_on", known(site.planned_on)),
        *((f"units[{i}].planned_on", known(unit.planned_on)) for i, unit in enumerate(site.units)),
        ("premises.nation", nation),
    )


def _before_answer_words(v: Values) -> Words:
    # 2026-11-30: name days that move with the sending in the workings alone, so that another day
    # of sending is no other finding.
    before = "it is sent" if v["planned"] < v["on_date"] else "the answer is due"
    return (
        f"The work is planned for {dated(v['planned'])}, before {before}. Book nobody yet.",
        f"Sent on {dated(v['on_date'])}, the answer is due by {dated(v['due'])}. No answer "
        "after its day is no agreement.",
    )


PLANNED_BEFORE_ANSWER = Kind(
    "planned-before-answer",
    "inform",
    "Is the work planned before the day on which an answer is due?",
    _before_answer_words,
)


def planned_before_answer(case: Case) -> Iterator[Found]:
    """The work is planned before the answer to an application is due."""
    planned, book = _planned(case), case.ready.book
    if planned is None:
        return
    due: tuple[dt.date, str] | None = None
    for each in following(case.ready, case.outcome, case.facts):
        limit = each.step.limit
        if not each.step.wait or limit is None or limit.from_ != "submission":
            continue
        try:
            day = period_ends(limit, case.site.on_date, case.site, book)
        except CalendarError:  # the page of the step says that its day can't be told
            continue
        due = max(due or (day, each.rule.limit), (day, each.rule.limit))
    if due is not None and planned < due[0]:
        yield PLANNED_BEFORE_ANSWER.found(
            "site",
            {
                "planned": planned.isoformat(),
                "due": due[0].isoformat(),
                "on_date": case.site.on_date.isoformat(),
            },
            keys=(due[1],),
            read=_read(case),
        )


def _outside_window_words(v: Values) -> Words:
    side = "before" if v["planned"] < v["first"] else "after"
    return (
        f"The work is planned for {dated(v['planned'])}, {side} the days that the application "
        f"wants it on: {v['from']} to {v['until']} after it is sent.",
        f"Sent on {dated(v['on_date'])}, that is from {dated(v['first'])} to {dated(v['last'])}.",
    )


PLANNED_OUTSIDE_WINDOW = Kind(
    "planned-outside-window",
    "inform",
    "Is the planned day outside the days that the application lets it be on?",
    _outside_window_words,
)


def planned_outside_window(case: Case) -> Iterator[Found]:
    """The planned day is too early or too late for the application."""
    planned, book = _planned(case), case.ready.book
    if planned is None or not {_FROM, _UNTIL, _OUTCOMES} <= book.values.keys():
        return
    if case.outcome not in book.words(_OUTCOMES):
        return
    first, last = (_after_sending(case, key) for key in (_FROM, _UNTIL))
    if first is None or last is None or first <= planned <= last:
        return
    yield PLANNED_OUTSIDE_WINDOW.found(
        "site",
        {
            "planned": planned.isoformat(),
            "first": first.isoformat(),
            "last": last.isoformat(),
            "from": book.values[_FROM].written,
            "until": book.values[_UNTIL].written,
            "on_date": case.site.on_date.isoformat(),
        },
        keys=(_FROM, _UNTIL),
        read=_read(case),
        against=((_OUTCOMES, list(book.words(_OUTCOMES))),),
    )


def _after_sending(case: Case, key: str) -> dt.date | None:
    """The day that lies the period of a value after sending; None if it can't be told."""
    book = case.ready.book
    period = Period(book.whole(key), book.values[key].unit, "submission")
    try:
        return period_ends(period, case.site.on_date, case.site, book)
    except CalendarError:
        return None


QUESTIONS = (planned_before_answer, planned_outside_window)
