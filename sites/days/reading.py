"""The days of a person's cases, of the kept decisions; nothing is decided here."""

import datetime as dt
import hashlib
import hmac
from collections.abc import Iterable

from django.db.models import Q
from icalendar import Calendar, Event
from icalendar.enums import TRANSP
from msgspec import Struct, convert

from sites.cases.models import Case
from sites.cases.moves import ENDED
from sites.days.models import CalendarAddress
from sites.people.models import Person
from sites.premises.reading.site_rows import today
from sites.review.reading.due import Day
from sites.sending.reading.calls import chases_of

MOST_CASES = 2000
"""Cases whose days are read at once; our choice."""
PREFIX = 8
SOON = dt.timedelta(days=7)
"""Days ahead that the morning mail tells of; our choice."""


class CaseDay(Struct, frozen=True):
    """A day of a case; `late` counts the days since, 0 for one that is not over."""

    case: Case
    day: Day
    late: int


def days_of_person(person: Person, *, all_cases: bool = False) -> list[CaseDay]:
    """The days of the cases that a person owns or was given, the earliest first; two queries.

    With `all_cases` those of every case; an installer sees only his own all the same.
    """
    cases = Case.objects.filter(archived_at=None).exclude(state__in=ENDED).exclude(kept=None)
    if person.is_installer or not all_cases:
        cases = cases.filter(Q(owner=person) | Q(installer=person))
    there = cases.select_related("application", "premises", "kept").order_by("urgency", "pk")
    return in_order(there[:MOST_CASES])


def in_order(cases: Iterable[Case]) -> list[CaseDay]:
    """The days of cases with their kept decisions, the earliest first."""
    now, there = today(), list(cases)
    chases = chases_of(there)
    found = [
        CaseDay(case, day, max(0, (now - day.on).days))
        for case in there
        for day in (
            *convert(case.kept.days, list[Day]),
            # Not whom to ask: a calendar names nobody.
            *(
                Day(f"ask-again-{number}", "Ask again", chase.on, "Entered with a letter or call.")
                for number, chase in enumerate(chases.get(case.pk, ()))
            ),
        )
    ]
    return sorted(found, key=lambda each: (each.day.on, each.case.pk, each.day.key))


def address_of(token: str) -> CalendarAddress | None:
    """The calendar address that a token opens, of somebody who still works here; one query.

    The token's SHA-256 is compared in constant time.
    """
    row = (
        CalendarAddress.objects.select_related("person")
        .filter(prefix=token[:PREFIX], person__is_active=True)
        .first()
    )
    asked = hashlib.sha256(token.encode()).hexdigest()
    kept = row.token_sha256 if row is not None else hashlib.sha256(b"").hexdigest()
    return row if hmac.compare_digest(asked, kept) else None


def calendar_of(person: Person, days: Iterable[CaseDay], *, stamp: dt.datetime) -> bytes:
    """Days as an iCalendar file (RFC 5545): one event of a whole day each, without personal values.

    A day keeps its UID when its date moves. The end of an event of whole days is the day after.
    """
    calendar = Calendar.new(
        prodid="-//Meterside//days//EN", method="PUBLISH", name=f"Meterside: days of {person}"
    )
    for each in days:
        day, case = each.day, each.case
        event = Event.new(
            uid=f"{day.key}.{case.key}@meterside",
            stamp=stamp,
            start=day.on,
            end=day.on + dt.timedelta(days=1),
            summary=f"{case.application.reference}: {day.says}",
            description="\n".join(part for part in (day.rule, day.source) if part),
            transparency=TRANSP.TRANSPARENT,
        )
        calendar.add_component(event)
    made: bytes = calendar.to_ical()
    return made


def morning_text(days: Iterable[CaseDay]) -> tuple[str, str]:
    """Subject and text of the morning mail; both empty where nothing is overdue or due soon."""
    now = today()
    soon = [each for each in days if each.day.on <= now + SOON]
    parts = (
        ("Overdue", [each for each in soon if each.late]),
        ("Today", [each for each in soon if each.day.on == now]),
        ("In the next seven days", [each for each in soon if each.day.on > now]),
    )
    if not soon:
        return "", ""
    counts = ", ".join(f"{len(rows)} {name.lower()}" for name, rows in parts if rows)
    text = "\n\n".join(
        "\n".join([name, *(_line(each) for each in rows)]) for name, rows in parts if rows
    )
    foot = "You can stop this mail on the page of your account."
    return f"Meterside: {counts}", f"{text}\n\n{foot}\n"


def _line(each: CaseDay) -> str:
    on = each.day.on
    return f"- {on:%a} {on.day} {on:%B}: {each.case.application.reference}: {each.day.says}"
