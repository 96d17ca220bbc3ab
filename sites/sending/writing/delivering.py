"""Hands mails over in the worker: at most once, whenever the worker is stopped.

The row says "sending", committed, before anything goes out. A task that finds it so was begun by a
worker that stopped: whether the mail went out is not known, and nobody but a person sends again.
"""

import logging
import smtplib
from email.utils import parseaddr

from django.conf import settings
from django.core.mail import get_connection
from django.core.mail.backends.smtp import EmailBackend
from django.db import transaction
from django.utils import timezone
from msgspec import Struct

from sites.cases.reading import standing_of
from sites.cases.writing import moves_on
from sites.house import storage
from sites.house.storage import FileGoneError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.sending.models import (
    ACCEPTED,
    FAILED,
    QUEUED,
    SENDING,
    UNKNOWN,
    Attempt,
    Dispatch,
)
from sites.sending.reading.outbox import act_of

log = logging.getLogger(__name__)


class Ended(Struct, frozen=True):
    """How an attempt ended, and what the mail server said or what went wrong."""

    state: str
    answer: str


def deliver(key: str) -> str:
    """Send a queued dispatch; return its state. A dispatch that was begun becomes unknown."""
    attempt = _begin(key)
    if attempt is None:
        note_unknown(key, "Meterside was stopped while it sent this.")
        return Dispatch.objects.values_list("state", flat=True).get(key=key)
    _end(attempt, _hand_over(attempt.dispatch))
    return Dispatch.objects.values_list("state", flat=True).get(key=key)


@transaction.atomic
def _begin(key: str) -> Attempt | None:
    """Take a queued dispatch; None where another did. Committed before anything goes out."""
    if not Dispatch.objects.filter(key=key, state=QUEUED).update(state=SENDING):
        return None
    dispatch = Dispatch.objects.get(key=key)
    number = dispatch.attempts.count() + 1
    return Attempt.objects.create(
        dispatch=dispatch, number=number, state=SENDING, begun_at=timezone.now()
    )


def _hand_over(dispatch: Dispatch) -> Ended:
    """Hand the frozen bytes to the mail server, and tell how it ended; raises nothing of it."""
    try:
        content = storage.stored(dispatch.content_sha256) if dispatch.content_sha256 else b""
    except FileGoneError as fault:
        return Ended(FAILED, str(fault))
    if not content:
        return Ended(FAILED, "The customer was erased before this was sent.")
    opened = get_connection(backend="django.core.mail.backends.smtp.EmailBackend")
    assert isinstance(opened, EmailBackend)
    try:
        opened.open()
        assert opened.connection is not None
        refused = _told(opened.connection, dispatch.recipient)
        return refused or _given(opened.connection, content)
    except (smtplib.SMTPException, OSError) as fault:
        return Ended(FAILED, _fault(fault))
    finally:
        try:
            opened.close()
        except (smtplib.SMTPException, OSError):
            log.info("The mail server closed the connection first.")


def _told(server: smtplib.SMTP, recipient: str) -> Ended | None:
    """Say from whom and to whom; how it ended where the server refuses that."""
    server.ehlo_or_helo_if_needed()
    sender = parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    for code, said in (server.mail(sender), server.rcpt(recipient)):
        if code not in (250, 251):
            return Ended(FAILED, _said(code, said))
    return None


def _given(server: smtplib.SMTP, content: bytes) -> Ended:
    """Give the bytes. From here on the server may have the mail when the connection breaks."""
    try:
        code, said = server.data(content)
    except smtplib.SMTPDataError as refused:
        return Ended(FAILED, _said(refused.smtp_code, refused.smtp_error))
    except (smtplib.SMTPException, OSError) as fault:
        return Ended(UNKNOWN, _fault(fault))
    return Ended(ACCEPTED if code == 250 else FAILED, _said(code, said))


def _said(code: int, said: bytes | str) -> str:
    words = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return f"The mail server answered {code} {' '.join(words.split())}"[:500]


def _fault(fault: Exception) -> str:
    if isinstance(fault, smtplib.SMTPResponseException):
        return _said(fault.smtp_code, fault.smtp_error)
    return f"The mail server could not be reached, or broke off: {type(fault).__name__}."


@transaction.atomic
def _end(attempt: Attempt, ended: Ended) -> None:
    """Note how an attempt ended. It knows better than whoever took it for dead meanwhile."""
    now = timezone.now()
    Attempt.objects.filter(pk=attempt.pk).update(
        state=ended.state, ended_at=now, answer=ended.answer
    )
    fault = "" if ended.state == ACCEPTED else ended.answer
    taken = Dispatch.objects.filter(
        pk=attempt.dispatch_id, state__in=(SENDING, UNKNOWN), attempts=attempt
    ).update(state=ended.state, fault=fault)
    if not taken:
        return
    dispatch = Dispatch.objects.select_related("application", "sent_by").get(pk=attempt.dispatch_id)
    record(
        f"dispatch.{ended.state}",
        by=None,
        subject=dispatch.application,
        data=event_data(dispatch),
    )
    if ended.state == ACCEPTED:
        note_sent(dispatch)


@transaction.atomic
def note_unknown(key: str, says: str) -> None:
    """Note that the end of a dispatch is not known, because its worker stopped while sending."""
    if not Dispatch.objects.filter(key=key, state=SENDING).update(state=UNKNOWN, fault=says):
        return
    dispatch = Dispatch.objects.select_related("application").get(key=key)
    dispatch.attempts.filter(state=SENDING).update(
        state=UNKNOWN, ended_at=timezone.now(), answer=says
    )
    record("dispatch.unknown", by=None, subject=dispatch.application, data=event_data(dispatch))


@transaction.atomic
def give_up(key: str, says: str) -> None:
    """Note that the worker stopped each time that it began a dispatch, for the page of the case."""
    waits = Dispatch.objects.filter(key=key, state=QUEUED)
    if waits.update(state=FAILED, fault=says):
        dispatch = Dispatch.objects.select_related("application").get(key=key)
        record("dispatch.failed", by=None, subject=dispatch.application, data=event_data(dispatch))
    note_unknown(key, says)


def note_sent(dispatch: Dispatch, by: Person | None = None) -> None:
    """Note the day on which a dispatch went out, and move its cases; within a transaction."""
    day = dispatch.sent_on or timezone.localdate()
    Dispatch.objects.filter(pk=dispatch.pk).update(sent_on=day)
    for case in dispatch.application.cases.select_related("application", "premises", "design"):
        if act := act_of(standing_of(case)):
            moves_on(case=case, act=act, by=by, on=day)


def event_data(dispatch: Dispatch) -> dict[str, str | int]:
    """What events of a dispatch hold; nothing personal."""
    return {
        "dispatch": str(dispatch.key),
        "revision": dispatch.pack.revision,
        "way": dispatch.way,
    }
