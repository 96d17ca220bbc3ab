"""Count working days: Monday to Friday except a nation's bank holidays and configured days off.

This definition is from memory; the recommendations use the term undefined. The day of an event does
not count: day one is the next working day (English law on periods "after" an event, from memory).
"""

import datetime as dt
from collections.abc import Collection

from connections.calendar.bank_holidays import bank_holidays
from connections.calendar.calendar_error import CalendarError

_ONE_DAY = dt.timedelta(days=1)
_SATURDAY = 5


def is_working_day(day: dt.date, nation: str, extra: Collection[dt.date] = ()) -> bool:
    """Whether a day is a working day in a nation; `extra` adds days off.

    Raises CalendarError for an unknown nation or year.
    """
    days_off = bank_holidays(nation, day.year)
    return day.weekday() < _SATURDAY and day not in days_off and day not in extra


def working_days_after(
    day: dt.date, number: int, nation: str, extra: Collection[dt.date] = ()
) -> dt.date:
    """The `number`-th working day after `day`; `day` itself does not count.

    Raises CalendarError if `number` is below 1, or for an unknown nation or year.
    """
    return _counted(day, number, nation, extra, _ONE_DAY)


def working_days_before(
    day: dt.date, number: int, nation: str, extra: Collection[dt.date] = ()
) -> dt.date:
    """The `number`-th working day before `day`; `day` itself does not count.

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
