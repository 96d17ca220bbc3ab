"""Works of the operator on its network: asked for, planned, done, or dropped."""

import datetime as dt

from django.db import transaction
from django.utils import timezone
from msgspec import Struct

from sites.cases.models import Case
from sites.cases.moves import DESK
from sites.cases.writing import moves_on, renew_kept
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.review.models import Works


class Asked(Struct, frozen=True):
    """A job as it is asked for; `kind` is a key of `WHICH`."""

    kind: str
    asked_on: dt.date
    words: str = ""
    reference: str = ""
    planned_on: dt.date | None = None


@transaction.atomic
def ask_for_works(*, case: Case, asked: Asked, by: Person) -> Works:
    """Enter a job that the operator is asked for; it blocks energising until it is done.

    Raises RefusedError for a day of asking that lies ahead, and for other work without words.
    """
    _desk(by)
    if asked.asked_on > timezone.localdate():
        raise RefusedError("This day lies ahead; give the day of asking.", "asked_on")
    if asked.kind == "other" and not asked.words.strip():
        raise RefusedError("Say what the operator does.", "words")
    made = Works.objects.create(
        case=case,
        kind=asked.kind,
        words=asked.words,
        reference=asked.reference,
        asked_on=asked.asked_on,
        planned_on=asked.planned_on,
        entered_by=by,
    )
    data = {
        "kind": asked.kind,
        "asked_on": str(asked.asked_on),
        "planned_on": _text(asked.planned_on),
    }
    record("works.asked", by=by, subject=case, data=data)
    follow_works(case, after=by)
    return made


@transaction.atomic
def change_works(
    *, works: Works, planned_on: dt.date | None, done_on: dt.date | None, by: Person
) -> None:
    """Enter the planned day and the day on which a job was done.

    Raises RefusedError for a day of completion that lies ahead or before the asking.
    """
    _desk(by)
    if done_on is not None and done_on > timezone.localdate():
        raise RefusedError("This day lies ahead; enter it once the work is done.", "done_on")
    if done_on is not None and done_on < works.asked_on:
        raise RefusedError("This is before the work was asked for.", "done_on")
    now = Works.objects.select_for_update().get(pk=works.pk)
    data = {
        "kind": now.kind,
        "planned_on": [_text(now.planned_on), _text(planned_on)],
        "done_on": [_text(now.done_on), _text(done_on)],
    }
    Works.objects.filter(pk=now.pk).update(planned_on=planned_on, done_on=done_on)
    record("works.changed", by=by, subject=works.case, data=data)
    follow_works(works.case, after=by)


@transaction.atomic
def drop_works(*, works: Works, by: Person) -> None:
    """Take out a job that is not needed; it stays in the list."""
    _desk(by)
    if Works.objects.filter(pk=works.pk, dropped_at=None).update(dropped_at=timezone.now()):
        record("works.dropped", by=by, subject=works.case, data={"kind": works.kind})
        follow_works(works.case, after=by)


def follow_works(case: Case, *, after: Person | None) -> None:
    """Let the state of an agreed case follow its works: it waits while one is open."""
    renew_kept(case)
    if Works.objects.filter(case=case, done_on=None, dropped_at=None).exists():
        moves_on(case=case, act="works", by=after, reason="Works on the network are open.")
    else:
        moves_on(case=case, act="works-done", by=after, reason="No works on the network are open.")


def _text(day: dt.date | None) -> str:
    return str(day or "")


def _desk(by: Person) -> None:
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")
