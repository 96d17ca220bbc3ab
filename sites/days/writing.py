"""Makes calendar addresses, and sends the morning mail."""

import hashlib
import secrets

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from connections.calendar.working_days import is_working_day
from connections.pack.figures import counted
from connections.rulebook.load import HOME_NATION
from sites.days.models import CalendarAddress
from sites.days.reading import PREFIX, days_of_person, morning_text
from sites.house.writing.events import record
from sites.people.mailing import send_mail_to
from sites.people.models import Person
from sites.premises.reading.site_rows import today


@transaction.atomic
def make_address(*, by: Person) -> str:
    """Make a new calendar address of a person and return its token; an earlier one ends."""
    token = secrets.token_urlsafe(32)
    CalendarAddress.objects.update_or_create(
        person=by,
        defaults={
            "prefix": token[:PREFIX],
            "token_sha256": hashlib.sha256(token.encode()).hexdigest(),
            "made_at": timezone.now(),
            "used_on": None,
        },
    )
    record("calendar.made", by=by, subject=by)
    return token


@transaction.atomic
def end_address(*, by: Person) -> None:
    """End the calendar address of a person."""
    CalendarAddress.objects.filter(person=by).delete()
    record("calendar.ended", by=by, subject=by)


def note_use(address: CalendarAddress) -> None:
    """Keep the day on which an address was last read."""
    rows = CalendarAddress.objects.filter(pk=address.pk)
    rows.exclude(used_on=today()).update(used_on=today())


def send_morning_mails() -> str:
    """Send each person who wants it one mail on what is overdue or due soon; say how many.

    None on days off, none without a mail server, and at most one a day: the day is kept first.
    """
    if not settings.MAIL_IS_SET_UP:
        return "No mail server is set up."
    if not is_working_day(today(), HOME_NATION):
        return "Today is no working day."
    sent = failed = 0
    others = Q(mailed_on=None) | Q(mailed_on__lt=today())
    for person in Person.objects.filter(others, is_active=True, morning_mail=True).order_by("pk"):
        subject, text = morning_text(days_of_person(person))
        if not subject:
            continue
        if not Person.objects.filter(others, pk=person.pk).update(mailed_on=today()):
            continue
        if send_mail_to(person.email, subject=subject, text=text):
            sent += 1
        else:
            failed += 1
    said = f"{counted(sent, 'mail')} sent."
    return f"{said} Not sent: {failed}." if failed else said
