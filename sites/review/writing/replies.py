"""Enters the operator's answers, and takes entries back."""

import datetime as dt

from django.db import transaction
from django.utils import timezone
from msgspec import Struct

from sites.cases.models import Case
from sites.cases.writing import moves_on, raise_version
from sites.house.refusals import RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Cap
from sites.premises.writing.caps import add_cap, remove_cap
from sites.premises.writing.search import renew_words
from sites.review.models import Reply
from sites.review.models.reply import AGREED, CAP_EXPORT, CAP_INSTALLED, CONDITION, REFUSED
from sites.review.writing.kept import renew

LONGEST_WORDS = 4000
_MOVES = {AGREED: "agree", CAP_EXPORT: "offer", CAP_INSTALLED: "offer", REFUSED: "refuse"}
"""What an answer does to a case that is with the operator; a condition alone moves nothing."""
CAPS = {CAP_EXPORT: "export", CAP_INSTALLED: "installed"}


class Answered(Struct, frozen=True):
    """An answer as received; `value` is in mA, W or VA by `basis`."""

    kind: str
    received_on: dt.date
    written: str = ""
    value: int | None = None
    basis: str = ""
    split_equally: bool | None = None
    words: str = ""
    reference: str = ""
    valid_until: dt.date | None = None


@transaction.atomic
def enter_reply(*, case: Case, answered: Answered, by: Person) -> Reply:
    """Enter an answer of the operator; add a cap to the facts of the premises.

    Raises RefusedError naming the box at fault.
    """
    if answered.received_on > timezone.localdate():
        raise RefusedError("This date lies ahead; give the day on which it came.", "received_on")
    if answered.valid_until is not None and answered.valid_until < answered.received_on:
        raise RefusedError("This is before the answer came.", "valid_until")
    if len(answered.words) > LONGEST_WORDS:
        raise RefusedError(f"Keep it to {LONGEST_WORDS} characters.", "words")
    if answered.kind == CONDITION and not answered.words.strip():
        raise RefusedError("Write the condition as the operator wrote it.", "words")
    raise_version(case)
    cap = None
    if answered.kind in CAPS:
        if answered.value is None or not answered.basis:
            raise RefusedError("Write the figure that the operator gave.", "written")
        cap = add_cap(
            premises=case.premises,
            cap=Cap(
                on=CAPS[answered.kind],
                value=answered.value,
                basis=answered.basis,
                split_equally=answered.split_equally,
                from_operator_reference=answered.reference,
                until=answered.valid_until,
            ),
            by=by,
        )
    reply = Reply.objects.create(
        case=case,
        kind=answered.kind,
        written=answered.written,
        value=answered.value,
        basis=answered.basis,
        split_equally=answered.split_equally,
        words=answered.words,
        reference=answered.reference,
        received_on=answered.received_on,
        valid_until=answered.valid_until,
        cap=cap,
        entered_by=by,
        entered_at=timezone.now(),
    )
    renew_words(case.premises_id)
    record("reply.entered", by=by, subject=case.application, data={"kind": answered.kind})
    renew(case)
    # Who has an answer has sent what it answers.
    said = "The operator answered."
    if act := _MOVES.get(answered.kind):
        moves_on(case=case, act="send", by=by, reason=said)
        moves_on(case=case, act=act, by=by, reason=said)
    return reply


@transaction.atomic
def take_back_reply(*, reply: Reply, by: Person) -> None:
    """Take back an answer entered by mistake; remove its cap from the facts.

    Raises RefusedError if it was taken back already.
    """
    raise_version(reply.case)
    taken = Reply.objects.filter(pk=reply.pk, taken_back_at__isnull=True).update(
        taken_back_by=by, taken_back_at=timezone.now()
    )
    if not taken:
        raise RefusedError("This answer was taken back already.")
    cap = reply.cap
    if cap is not None:
        remove_cap(cap=cap, by=by)
    record("reply.taken-back", by=by, subject=reply.case.application, data={"kind": reply.kind})
    renew(reply.case)
    case = reply.case
    last = case.moves.last()
    if last is not None and last.act == _MOVES.get(reply.kind):
        moves_on(case=case, act="undo", by=by, reason="The answer was entered by mistake.")
