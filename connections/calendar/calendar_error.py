"""Errors of the calendar, in words for the person."""


class CalendarError(ValueError):
    """A nation, year or extra day off that the calendar cannot work with."""
