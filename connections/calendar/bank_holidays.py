"""The bank holidays of each nation, and further days off from the rulebook.

The package `holidays` gives the days. Always ask it with a subdivision: without one it returns only
the holidays common to all four nations of the United Kingdom, and so no Easter Monday. Tests
compare them with the published lists of 2024 to 2027. Enter a day that is proclaimed after a
release of the package in `calendar.extra_days` of the rulebook.
"""

import datetime as dt
from collections.abc import Iterable
from functools import cache
from typing import Final

from connections.calendar.calendar_error import CalendarError

_PLACES: Final = {
    "england": ("GB", "ENG"),
    "wales": ("GB", "WLS"),
    "scotland": ("GB", "SCT"),
    "northern_ireland": ("GB", "NIR"),
    "ireland": ("IE", None),
}
"""Country and subdivision codes of each nation in the package (ISO 3166-1 and 3166-2)."""

NATIONS: Final = tuple(_PLACES)

FIRST_YEAR, LAST_YEAR = 2000, 2099
"""Years outside these are refused (our choice): the package's rules end with the century, and some
earlier holidays were different."""


@cache
def bank_holidays(nation: str, year: int) -> frozenset[dt.date]:
    """The bank holidays of a nation in a year, with substitute days; some fall on a weekend.

    Great Britain and Northern Ireland give a substitute day for a holiday on a weekend (Banking and
    Financial Dealings Act 1971, and proclamations under it). Ireland gives none: its public
    holidays stay on their day (Organisation of Working Time Act 1997).

    Raises CalendarError for an unknown nation, or a year before 2000 or after 2099.
    """
    if nation not in _PLACES:
        raise CalendarError(f'there is no calendar for "{nation}"; use one of {", ".join(NATIONS)}')
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise CalendarError(
            f"bank holidays are known from {FIRST_YEAR} to {LAST_YEAR}, and not in {year}"
        )
    import holidays

    country, subdivision = _PLACES[nation]
    return frozenset(holidays.country_holidays(country, subdiv=subdivision, years=year))


def extra_days(written: Iterable[str]) -> frozenset[dt.date]:
    """Read the further days off of `calendar.extra_days`: dates as 2027-05-17.

    Raises CalendarError naming the first word that is not a date.
    """
    found = set()
    for word in written:
        try:
            found.add(dt.date.fromisoformat(word))
        except ValueError:
            raise CalendarError(f'"{word}" is not a date; write days off like 2027-05-17') from None
    return frozenset(found)
