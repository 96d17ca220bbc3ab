"""Enters letters and calls, and ends the chasing of one."""

import datetime as dt

from django.db import transaction
from django.utils import timezone

from sites.cases.models import Case
from sites.cases.moves import DESK
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.sending.models import Conversation

LONGEST_SAID = 4000


@transaction.atomic
def enter_conversation(
    *,
    case: Case,
    kind: str,
    on: dt.date,
    with_whom: str,
    said: str,
    chase_on: dt.date | None,
    by: Person,
) -> Conversation:
    """Enter a letter, a call, a mail or a visit, and the day on which to ask again.

    Raises NotAllowedError, and RefusedError naming the box.
    """
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")
    if on > timezone.localdate():
        raise RefusedError("This day lies ahead; give the day on which it was.", "on")
    if chase_on is not None and chase_on < on:
        raise RefusedError("This is before the day on which it was.", "chase_on")
    if not with_whom.strip() or not said.strip():
        raise RefusedError("Say with whom it was, and what was said.", "said")
    made = Conversation.objects.create(
        case=case,
        kind=kind,
        on=on,
        with_whom=" ".join(with_whom.split()),
        said=said[:LONGEST_SAID],
        chase_on=chase_on,
        by=by,
        at=timezone.now(),
    )
    data = {"kind": kind, "on": on.isoformat()}
    if chase_on is not None:
        data["chase_on"] = chase_on.isoformat()
    record("conversation.entered", by=by, subject=case, data=data)
    return made


@transaction.atomic
def end_chase(*, conversation: Conversation, by: Person) -> None:
    """End the chasing of a conversation. Raises RefusedError where nothing is to be chased."""
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")
    open_ = Conversation.objects.filter(pk=conversation.pk, chase_on__isnull=False, chased_at=None)
    if not open_.update(chased_at=timezone.now()):
        raise RefusedError("Nothing is to be chased here any more.")
    record("conversation.chased", by=by, subject=conversation.case)
