"""Days of a site: the day planned for the work, and the last day of a step's period."""

import datetime as dt
from collections.abc import Collection

from msgspec import structs

from connections.calendar.bank_holidays import extra_days
from connections.calendar.deadlines import last_day
from connections.calendar.working_days import is_working_day
from connections.facts.decision import Period
from connections.facts.defaults import known, status_of
from connections.facts.site import Premises, Site
from connections.rulebook.book import Rulebook
from connections.rulebook.load import HOME_NATION

EXTRA_DAYS = "calendar.extra_days"


def nation_of(site: Site, book: Rulebook) -> tuple[str, bool]:
    """The nation whose bank holidays count, and whether it is assumed since none is given."""
    nation = known(site.premises.nation) if isinstance(site.premises, Premises) else None
    of_area = next((area.nation for area in book.areas if area.id == book.area), "")
    found = nation or of_area
    return found or HOME_NATION, not found


def days_off(book: Rulebook) -> frozenset[dt.date]:
    """The rulebook's further days off."""
    return extra_days(book.words(EXTRA_DAYS)) if EXTRA_DAYS in book.values else frozenset()


def period_ends(
    period: Period,
    event: dt.date,
    site: Site,
    book: Rulebook,
    stood: Collection[tuple[dt.date, dt.date]] = (),
) -> dt.date:
    """The last day of a period that starts or ends with an event.

    `stood` are spells in which the period stood still, each from the day on which it stopped to the
    day on which it went on. They lengthen it by the days between, counted as its own days are; a
    period of months by days (from memory). Raises CalendarError.
    """
    nation, off = nation_of(site, book)[0], days_off(book)
    still = [stop + dt.timedelta(n + 1) for stop, on in stood for n in range((on - stop).days)]
    if period.unit == "working-days":
        still = [day for day in still if is_working_day(day, nation, off)]
    if period.unit == "months":
        return last_day(period, event, nation, off) + dt.timedelta(days=len(still))
    return last_day(structs.replace(period, n=period.n + len(still)), event, nation, off)


def planned_day(site: Site, proposed: tuple[str, ...] = ()) -> dt.date | None:
    """The first day planned for new plant: that of its units, else that of the site.

    The first of several units counts, because its notification is late first. `proposed` names
    units that are new, whatever their status says.
    """
    planned = [
        day
        for unit in site.units
        if (unit.id in proposed or status_of(unit) == "proposed")
        and (day := known(unit.planned_on)) is not None
    ]
    return min(planned, default=known(site.planned_on))
