"""Enters what was sent by hand, queues mails, and settles how a dispatch ended."""

import datetime as dt
from collections.abc import Iterable, Sequence
from uuid import UUID

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone
from msgspec import to_builtins

from sites.cases.models import Case
from sites.cases.moves import DESK
from sites.cases.writing import moves_on, raise_version
from sites.house import storage
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack
from sites.people.models import Person
from sites.review.models import Attachment
from sites.sending.models import (
    ACCEPTED,
    FAILED,
    MAIL,
    PORTAL,
    QUEUED,
    Dispatch,
    Recipient,
)
from sites.sending.reading.outbox import shown, why_not
from sites.sending.tasks import deliver
from sites.sending.writing.contents import (
    LONGEST_WORDS,
    address,
    carried,
    mail_bytes,
    zip_bytes,
)
from sites.sending.writing.delivering import event_data, note_sent

_SENT_ALREADY = (
    "This revision was sent already, or may have been: see below. To send it once more, say that "
    "it goes again."
)


@transaction.atomic
def note_by_hand(
    *,
    case: Case,
    pack: FrozenPack,
    key: UUID,
    way: str,
    sent_on: dt.date,
    sent_by: Person,
    reference: str = "",
    words: str = "",
    files: Iterable[Attachment] = (),
    again: bool = False,
    by: Person,
) -> Dispatch:
    """Enter that a pack was uploaded, or sent as a zip by our own mail or post.

    `key` is that of the page: the same key once more returns the first dispatch. Raises
    NotAllowedError, and RefusedError naming the box.
    """
    _desk(by)
    raise_version(case)
    if there := Dispatch.objects.filter(key=key).first():
        return there
    if sent_on > timezone.localdate():
        raise RefusedError("This day lies ahead; give the day on which it was sent.", "sent_on")
    if sent_on < timezone.localdate(pack.issued_at):
        raise RefusedError(
            f"The pack was issued on {_day(timezone.localdate(pack.issued_at))}, later than this.",
            "sent_on",
        )
    _may_go(case, pack, again)
    chosen = carried(pack, files)
    dispatch = Dispatch.objects.create(
        key=key,
        application=case.application,
        pack=pack,
        way=way,
        state=ACCEPTED,
        reference=reference.strip(),
        words=_short(words),
        files=to_builtins(chosen),
        content_sha256="" if way == PORTAL else storage.store(zip_bytes(pack, chosen, words)),
        sent_on=sent_on,
        sent_by=sent_by,
        entered_by=by,
        entered_at=timezone.now(),
    )
    data = {**event_data(dispatch), "on": sent_on.isoformat()}
    record("dispatch.accepted", by=by, subject=case.application, data=data)
    note_sent(dispatch, by=by)
    return dispatch


@transaction.atomic
def queue_mail(
    *,
    case: Case,
    pack: FrozenPack,
    key: UUID,
    operator: str,
    recipient: str,
    subject: str,
    words: str,
    files: Sequence[Attachment] = (),
    again: bool = False,
    by: Person,
) -> Dispatch:
    """Freeze a mail, bytes and all, and ask the worker to send it; keep the operator's address.

    Raises NotAllowedError, and RefusedError naming the box.
    """
    _desk(by)
    raise_version(case)
    if there := Dispatch.objects.filter(key=key).first():
        return there
    if not settings.MAIL_IS_SET_UP:
        raise RefusedError("No mail server is set up here. Use the portal or the zip.")
    _may_go(case, pack, again)
    recipient = address(recipient)
    now = timezone.now()
    chosen = carried(pack, files)
    message_id = f"<{key}@{settings.DEFAULT_FROM_EMAIL.rpartition('@')[2].strip('<> ')}>"
    content = mail_bytes(
        sender=settings.DEFAULT_FROM_EMAIL,
        recipient=recipient,
        subject=subject,
        words=_short(words),
        message_id=message_id,
        at=timezone.localtime(now),
        files=chosen,
    )
    try:
        with transaction.atomic():
            dispatch = Dispatch.objects.create(
                key=key,
                application=case.application,
                pack=pack,
                way=MAIL,
                state=QUEUED,
                recipient=recipient,
                subject=subject.strip(),
                words=words,
                files=to_builtins(chosen),
                message_id=message_id,
                content_sha256=storage.store(content),
                sent_by=by,
                entered_by=by,
                entered_at=now,
            )
    except IntegrityError:
        raise RefusedError("A mail with this pack is being sent just now. Look below.") from None
    if operator:
        _keep_recipient(operator, recipient, by)
    record("dispatch.queued", by=by, subject=case.application, data=event_data(dispatch))
    deliver.enqueue(str(dispatch.key))
    return dispatch


def _keep_recipient(operator: str, recipient: str, by: Person) -> None:
    Recipient.objects.update_or_create(
        operator=operator, defaults={"address": recipient, "by": by, "at": timezone.now()}
    )


@transaction.atomic
def send_again(*, dispatch: Dispatch, by: Person) -> None:
    """Let the worker try the same mail once more after a clear refusal.

    Raises NotAllowedError, and RefusedError for any other state: what may have arrived is not sent
    again.
    """
    _desk(by)
    case = _case(dispatch)
    raise_version(case)
    if says := why_not(case, dispatch.pack):
        raise RefusedError(says)
    if _sent(dispatch.pack):
        raise RefusedError(_SENT_ALREADY)
    ready = Dispatch.objects.filter(pk=dispatch.pk, state=FAILED, way=MAIL, sent_on=None)
    if not ready.exclude(content_sha256="").update(
        state=QUEUED, fault="", entered_at=timezone.now()
    ):
        raise RefusedError("Only a mail that was clearly refused can be tried again.")
    record("dispatch.again", by=by, subject=dispatch.application, data=event_data(dispatch))
    deliver.enqueue(str(dispatch.key))


@transaction.atomic
def settle(*, dispatch: Dispatch, arrived: bool, says: str, by: Person) -> None:
    """Say how a dispatch ended whose end was not known, and how that was found out.

    Raises NotAllowedError, and RefusedError without words (box "says") or for another state.
    """
    _desk(by)
    says = _found_out(says)
    raise_version(_case(dispatch))
    row = Dispatch.objects.select_related("application", "pack").get(pk=dispatch.pk)
    now = Dispatch.objects.filter(pk=row.pk, state=row.state)
    end, fault = (ACCEPTED, "") if arrived else (FAILED, says)
    if not shown(row).open or not now.update(state=end, fault=fault):
        raise RefusedError("The end of this is known already, or not to be known yet.")
    data = {**event_data(row), "arrived": arrived}
    record("dispatch.settled", by=by, subject=row.application, data=data)
    if arrived:
        note_sent(row, by=by)


@transaction.atomic
def came_back(*, dispatch: Dispatch, says: str, by: Person) -> None:
    """Enter that what was sent came back or never arrived; the case is as before the sending.

    Raises NotAllowedError, and RefusedError without words (box "says") or for another state.
    """
    _desk(by)
    says = _found_out(says)
    case = _case(dispatch)
    raise_version(case)
    if not Dispatch.objects.filter(pk=dispatch.pk, state=ACCEPTED).update(state=FAILED, fault=says):
        raise RefusedError("Only what was sent can come back.")
    record("dispatch.came-back", by=by, subject=dispatch.application, data=event_data(dispatch))
    if not _sent(dispatch.pack):
        moves_on(case=case, act="not-sent", by=by, reason=says)


def _sent(pack: FrozenPack) -> bool:
    return Dispatch.objects.filter(pack=pack).exclude(state=FAILED).exists()


def _may_go(case: Case, pack: FrozenPack, again: bool) -> None:
    if says := why_not(case, pack):
        raise RefusedError(says)
    if _sent(pack) and not again:
        raise RefusedError(_SENT_ALREADY, "again")


def _case(dispatch: Dispatch) -> Case:
    """The case of a dispatch. An application has one for now."""
    found = dispatch.application.cases.select_related("application", "premises", "design").first()
    assert found is not None
    return found


def _found_out(says: str) -> str:
    says = " ".join(says.split())
    if not says:
        raise RefusedError("Say how this was found out.", "says")
    if len(says) > 500:
        raise RefusedError("Keep it to 500 characters.", "says")
    return says


def _short(words: str) -> str:
    if len(words) > LONGEST_WORDS:
        raise RefusedError(f"Keep it to {LONGEST_WORDS} characters.", "words")
    return words


def _day(day: dt.date) -> str:
    return f"{day.day} {day:%B %Y}"


def _desk(by: Person) -> None:
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")
