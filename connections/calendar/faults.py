"""Why a day can't be told, in words for the person."""


class CalendarError(ValueError):
    """A nation, year or extra day off that nothing can be worked out with."""
