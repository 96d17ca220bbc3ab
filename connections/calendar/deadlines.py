"""The last day of a step's period.

Day one is the day after the event (see `working_days`). A period in days or months may end on a day
off: no source allows a later day, so the earlier reading is shown. A period of months ends on the
same day number, or on the last day of a shorter month (the corresponding-date rule, from memory).
"""

import calendar
import datetime as dt
from collections.abc import Collection

from connections.calendar.calendar_error import CalendarError
from connections.calendar.working_days import working_days_after, working_days_before
from connections.facts.decision import Period

BEFORE_COMMISSIONING = "before-commissioning"


def last_day(
    period: Period, event: dt.date, nation: str, extra: Collection[dt.date] = ()
) -> dt.date:
    """The last day of a period.

    Args:
        period: n days, working-days or months. With `before-commissioning` the period ends with
            the event; otherwise it starts there.
        event: the day of submission or commissioning.
        nation: whose bank holidays count as days off.
        extra: further days off.

    Raises CalendarError for an unknown unit, nation or year.
    """
    before = period.from_ == BEFORE_COMMISSIONING
    try:
        if period.unit == "days":
            return event + dt.timedelta(days=-period.n if before else period.n)
        if period.unit == "months":
            return months_after(event, -period.n if before else period.n)
        if period.unit == "working-days":
            if period.n == 0:
                return event
            count = working_days_before if before else working_days_after
            return count(event, period.n, nation, extra)
    except OverflowError:
        raise CalendarError(f"{period.n} {period.unit} from {event} is no date") from None
    raise CalendarError(f'"{period.unit}" is no unit of a period')


def months_after(day: dt.date, number: int) -> dt.date:
    """The same day number `number` months later (earlier if negative), or the last day of a shorter
    month. Raises OverflowError where there is no such year."""
    months = day.year * 12 + day.month - 1 + number
    year, month = divmod(months, 12)
    if not dt.MINYEAR <= year <= dt.MAXYEAR:
        raise OverflowError(f"there is no year {year}")
    longest = calendar.monthrange(year, month + 1)[1]
    return dt.date(year, month + 1, min(day.day, longest))
