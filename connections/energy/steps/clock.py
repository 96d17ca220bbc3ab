"""Steps of a year and local time of Great Britain and Ireland, without a time zone file.

A calculated year has 365 days and runs in Coordinated Universal Time (UTC) from 1 January. Its
weekdays are those of 2023, a common year that begins on a Sunday.
"""

import datetime as dt
import functools

from connections.energy.energy_errors import EnergyError

YEAR = 2023
"""The year whose weekdays and summer time the calculated year has."""

DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
"""Days of the months of a common year."""

STEPS_MINUTES = (15, 30, 60)
"""The steps that a year may be calculated in [minutes]."""

MINUTES = 365 * 24 * 60
"""Minutes of the calculated year."""


def steps_of(step_minutes: int) -> int:
    """How many steps a year has. Raises EnergyError for another step than 15, 30 or 60 minutes."""
    if step_minutes not in STEPS_MINUTES:
        raise EnergyError(f"A step of {step_minutes} minutes is not offered: take 15, 30 or 60.")
    return MINUTES // step_minutes


@functools.cache
def summer_time(year: int) -> tuple[dt.datetime, dt.datetime]:
    """When clocks go forward and back, in UTC.

    Source: The Summer Time Order 2002 (SI 2002/262), from memory: last Sundays of March and
    October, at 01:00 UTC; Ireland and Northern Ireland keep the same hours.
    """
    return _last_sunday(year, 3), _last_sunday(year, 10)


def _last_sunday(year: int, month: int) -> dt.datetime:
    last = dt.datetime(year, month, 31, 1, tzinfo=dt.UTC)
    return last - dt.timedelta(days=(last.weekday() + 1) % 7)


def local_minutes_ahead(utc: dt.datetime) -> int:
    """How far local time is ahead of UTC [minutes], at a time in UTC."""
    forward, back = summer_time(utc.year)
    return 60 if forward <= utc < back else 0


@functools.cache
def summer_steps(step_minutes: int) -> tuple[int, int]:
    """The first step of summer time in the calculated year, and the first step after it."""
    begin = dt.datetime(YEAR, 1, 1, tzinfo=dt.UTC)
    forward, back = summer_time(YEAR)
    minutes = [int((at - begin).total_seconds()) // 60 for at in (forward, back)]
    return minutes[0] // step_minutes, minutes[1] // step_minutes


def first_step_of_day(day: int, step_minutes: int) -> int:
    """The first step of a day of the year, days counted from 0, in UTC."""
    return day * (24 * 60 // step_minutes)


def day_name(day: int) -> str:
    """A day of the calculated year in words, days counted from 0: "21 June"."""
    date = dt.date(YEAR, 1, 1) + dt.timedelta(days=day)
    return f"{date.day} {date:%B}"
