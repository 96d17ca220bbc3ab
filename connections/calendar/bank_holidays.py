"""The bank holidays of each nation, and one-off days off that are configured.

The days come from the package `holidays`, always asked with its subdivision: without one it gives
only what all four nations of the United Kingdom have in common, and Easter Monday is not among it.
Tests hold them to the published lists of 2024 to 2027. A day that is proclaimed after a release of
the package is configured: `calendar.extra_days` of the rulebook.
"""

import datetime as dt
from collections.abc import Iterable
from functools import cache
from typing import Final

from connections.calendar.faults import CalendarError

_PLACES: Final = {
    "england": ("GB", "ENG"),
    "wales": ("GB", "WLS"),
    "scotland": ("GB", "SCT"),
    "northern_ireland": ("GB", "NIR"),
    "ireland": ("IE", None),
}
"""Country and subdivision that the package knows each nation by (ISO 3166-1 and 3166-2)."""

NATIONS: Final = tuple(_PLACES)

FIRST_YEAR, LAST_YEAR = 2000, 2099
"""Outside of these years no day is told (our choice): the package's rules end with the century,
and before it some days were others."""


@cache
def bank_holidays(nation: str, year: int) -> frozenset[dt.date]:
    """The bank holidays of a nation in a year, substitute days among them; some fall on a weekend.

    Great Britain and Northern Ireland have substitute days for those on a weekend (Banking and
    Financial Dealings Act 1971, and proclamations under it). Ireland has none: its public holidays
    are those of the Organisation of Working Time Act 1997, on their day.

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
    """The one-off days off of a rulebook's value `calendar.extra_days`: dates as 2027-05-17.

    Raises CalendarError naming the word that is no date.
    """
    found = set()
    for word in written:
        try:
            found.add(dt.date.fromisoformat(word))
        except ValueError:
            raise CalendarError(f'"{word}" is not a date; write days off like 2027-05-17') from None
    return frozenset(found)
