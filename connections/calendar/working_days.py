"""Counting working days: Monday to Friday but for bank holidays of a nation and configured days.

That a working day is this is from memory: the recommendations use the word without saying it. The
day on which something happens is never counted; day one is the next day that counts (the general
rule on periods "after" an event in English law, from memory).
"""

import datetime as dt
from collections.abc import Collection

from connections.calendar.bank_holidays import bank_holidays
from connections.calendar.faults import CalendarError

_ONE_DAY = dt.timedelta(days=1)
_SATURDAY = 5


def is_working_day(day: dt.date, nation: str, extra: Collection[dt.date] = ()) -> bool:
    """Whether a day is a working day in a nation; `extra` are further days off.

    Raises CalendarError for an unknown nation or year.
    """
    days_off = bank_holidays(nation, day.year)
    return day.weekday() < _SATURDAY and day not in days_off and day not in extra


def working_days_after(
    day: dt.date, number: int, nation: str, extra: Collection[dt.date] = ()
) -> dt.date:
    """The working day that is the `number`-th after `day`; `day` itself is not counted.

    Raises CalendarError if `number` is not at least 1, or for an unknown nation or year.
    """
    return _counted(day, number, nation, extra, _ONE_DAY)


def working_days_before(
    day: dt.date, number: int, nation: str, extra: Collection[dt.date] = ()
) -> dt.date:
    """The working day that is the `number`-th before `day`; `day` itself is not counted.

    Raises as `working_days_after`.
    """
    return _counted(day, number, nation, extra, -_ONE_DAY)


def _counted(
    day: dt.date, number: int, nation: str, extra: Collection[dt.date], step: dt.timedelta
) -> dt.date:
    if number < 1:
        raise CalendarError(f"{number} working days can't be counted; give at least 1")
    while number:
        day += step
        number -= is_working_day(day, nation, extra)
    return day
