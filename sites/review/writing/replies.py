"""Enters the operator's answers, what follows on them, and takes entries back."""

import datetime as dt
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone
from msgspec import Struct

from sites.cases.models import Case
from sites.cases.moves import DESK, OFFER_RECEIVED
from sites.cases.writing import move, moves_on, raise_version, renew_kept
from sites.deciding.reading.deciding import decide_case
from sites.house import storage
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.uploads import Upload
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Cap
from sites.premises.writing.caps import add_cap, remove_cap
from sites.premises.writing.search import renew_words
from sites.review.models import Attachment, Condition, Reply
from sites.review.models.reply import (
    AGREED,
    CAP_EXPORT,
    CAP_INSTALLED,
    CONDITION,
    OFFER,
    REFUSED,
    WANTED,
)
from sites.review.writing.kept import renew
from sites.review.writing.works import follow_works

LONGEST_WORDS = 4000
MOST_CONDITIONS = 40
"""Conditions of one answer; our choice."""
_MOVES = {
    AGREED: "agree",
    CONDITION: "agree",
    OFFER: "offer",
    CAP_EXPORT: "offer",
    CAP_INSTALLED: "offer",
    WANTED: "want",
    REFUSED: "refuse",
}
"""What an answer does to a case that is with the operator; a study alone moves nothing."""
CAPS = {CAP_EXPORT: "export", CAP_INSTALLED: "installed"}


class Answered(Struct, frozen=True):
    """An answer as received; `value` is in mA, W or VA by `basis`.

    `conditions` are pairs: when it holds (a key of `WHEN`), and its text.
    """

    kind: str
    received_on: dt.date
    written: str = ""
    value: int | None = None
    basis: str = ""
    split_equally: bool | None = None
    words: str = ""
    reference: str = ""
    valid_until: dt.date | None = None
    charge_pence: int | None = None
    conditions: Sequence[tuple[str, str]] = ()
    file: Upload | None = None


@transaction.atomic
def enter_reply(*, case: Case, answered: Answered, by: Person) -> Reply:
    """Enter an answer of the operator; add a cap to the facts of the premises.

    Raises RefusedError naming the box at fault.
    """
    if answered.received_on > timezone.localdate():
        raise RefusedError("This date lies ahead; give the day on which it came.", "received_on")
    if answered.valid_until is not None and answered.valid_until < answered.received_on:
        raise RefusedError("This is before the answer came.", "valid_until")
    if any(
        len(text) > LONGEST_WORDS for _when, text in (("", answered.words), *answered.conditions)
    ):
        raise RefusedError(f"Keep it to {LONGEST_WORDS} characters.", "words")
    if answered.kind == CONDITION and not answered.conditions:
        raise RefusedError("Write each condition as the operator wrote it.", "before_install")
    if len(answered.conditions) > MOST_CONDITIONS:
        raise RefusedError(f"Keep it to {MOST_CONDITIONS} conditions.", "before_install")
    if answered.kind == WANTED and not answered.words.strip():
        raise RefusedError("Write what the operator wants to know.", "words")
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
    file = answered.file
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
        charge_pence=answered.charge_pence,
        file=_keep_letter(case, file, by) if file is not None else None,
        cap=cap,
        entered_by=by,
        entered_at=timezone.now(),
    )
    Condition.objects.bulk_create(
        Condition(reply=reply, when=when, text=text) for when, text in answered.conditions
    )
    renew_words(case.premises_id)
    data = {
        "kind": answered.kind,
        "conditions": len(answered.conditions),
        "valid_until": str(answered.valid_until or ""),
    }
    record("reply.entered", by=by, subject=case.application, data=data)
    renew(case)
    if act := _MOVES.get(answered.kind):
        if act == "agree" and _is_accepted_first(case):
            act = "offer"
        # Who has an answer has sent what it answers.
        said = "The operator answered."
        moves_on(case=case, act="send", by=by, reason=said)
        moves_on(case=case, act=act, by=by, reason=said, on=answered.received_on)
        follow_works(case, after=by)
    return reply


def _is_accepted_first(case: Case) -> bool:
    """Whether the rulebook says of the procedure that an agreement is an offer to accept."""
    decided = decide_case(case)
    book, decision, key = decided.book, decided.decision, "offer.accepted_outcomes"
    if book is None or decision is None or key not in book.values:
        return False
    return decision.procedure.key in book.words(key)


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
    case = reply.case
    renew(case)
    last = case.moves.last()
    moved = {_MOVES.get(reply.kind), "offer"} if reply.kind in _MOVES else set()
    newest = case.replies.last()
    if last is not None and last.act in moved and newest is not None and newest.pk == reply.pk:
        moves_on(case=case, act="undo", by=by, reason="The answer was entered by mistake.")


@transaction.atomic
def accept_offer(
    *, reply: Reply, on: dt.date, how: str, agreed_until: dt.date | None, by: Person
) -> None:
    """Accept the offer that the case has; `how` says who accepted it and in which way.

    Raises RefusedError for a day after the offer's last, or while something stops the case.
    """
    _desk(by)
    if reply.taken_back_at is not None or reply.case.state != OFFER_RECEIVED:
        raise RefusedError("This offer can't be accepted now. Look at the case again.")
    _not_ahead(on, "on")
    if on < reply.received_on:
        raise RefusedError("This is before the offer came.", "on")
    if reply.valid_until is not None and on > reply.valid_until:
        last = reply.valid_until
        raise RefusedError(
            f"The offer ended on {last.day} {last:%B %Y}. Ask the operator for a new one.", "on"
        )
    if agreed_until is not None and agreed_until < on:
        raise RefusedError("This is before the offer was accepted.", "agreed_until")
    if not how.strip():
        raise RefusedError("Say who accepted it, and how.", "how")
    Reply.objects.filter(pk=reply.pk).update(accepted_on=on, agreed_until=agreed_until)
    data = {"accepted_on": str(on), "agreed_until": str(agreed_until or "")}
    record("reply.accepted", by=by, subject=reply.case.application, data=data)
    move(case=reply.case, act="accept", by=by, reason=how)
    follow_works(reply.case, after=by)


@transaction.atomic
def pay_charge(*, reply: Reply, on: dt.date, by: Person) -> None:
    """Note the day on which an offer's charge was paid. Raises RefusedError for a day ahead."""
    _desk(by)
    _not_ahead(on, "on")
    if reply.charge_pence is None:
        raise RefusedError("This answer names no charge.", "on")
    Reply.objects.filter(pk=reply.pk).update(paid_on=on)
    record("reply.paid", by=by, subject=reply.case.application, data={"paid_on": str(on)})
    renew_kept(reply.case)


@transaction.atomic
def meet_condition(*, condition: Condition, on: dt.date | None, note: str, by: Person) -> None:
    """Note the day on which a condition was met; without a day it is open again.

    Raises RefusedError for a day ahead.
    """
    _desk(by)
    if on is not None:
        _not_ahead(on, "on")
    if len(note) > LONGEST_WORDS:
        raise RefusedError(f"Keep it to {LONGEST_WORDS} characters.", "note")
    case = condition.reply.case
    Condition.objects.filter(pk=condition.pk).update(
        met_on=on, met_note=note if on else "", met_by=by if on else None
    )
    act = "condition.met" if on else "condition.opened"
    data = {"when": condition.when, "met_on": str(on or "")}
    record(act, by=by, subject=case.application, data=data)
    renew_kept(case)


def _keep_letter(case: Case, upload: Upload, by: Person) -> Attachment:
    """Keep a file that came with an answer; packs do not carry it, and nobody takes it out."""
    now = timezone.now()
    return Attachment.objects.create(
        case=case,
        sha256=storage.store(upload.content),
        name=upload.name,
        title=upload.title,
        media_type=upload.media_type,
        size_bytes=len(upload.content),
        pages=upload.pages,
        added_by=by,
        added_at=now,
        taken_out_at=now,
    )


def _desk(by: Person) -> None:
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")


def _not_ahead(day: dt.date, box: str) -> None:
    if day > timezone.localdate():
        raise RefusedError("This day lies ahead; enter it once it is so.", box)
