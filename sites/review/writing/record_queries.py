"""Asks the operator what its record shows of existing plant, and takes its answer."""

import datetime as dt

from django.db import transaction
from django.utils import timezone

from sites.cases.models import Case
from sites.cases.moves import DESK
from sites.cases.writing import renew_kept
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.review.models import RecordQuery
from sites.review.models.record_query import OUTCOMES


@transaction.atomic
def ask_record(*, case: Case, recorded: str, asked_on: dt.date, by: Person) -> RecordQuery:
    """Enter a query on the operator's record; nothing is issued before its answer.

    Raises RefusedError for a day ahead, and while a query is open.
    """
    _desk(by)
    _not_ahead(asked_on, "asked_on")
    if RecordQuery.objects.filter(case=case, answered_on=None).exists():
        raise RefusedError("A query is open already. Enter its answer first.")
    made = RecordQuery.objects.create(
        case=case, recorded=recorded.strip(), asked_on=asked_on, asked_by=by
    )
    record("record.asked", by=by, subject=case, data={"asked_on": str(asked_on)})
    renew_kept(case)
    return made


@transaction.atomic
def answer_record(
    *, query: RecordQuery, outcome: str, answered_on: dt.date, answer: str, by: Person
) -> None:
    """Enter what the operator answered; `outcome` is a key of `OUTCOMES`.

    Raises RefusedError for a day ahead, one before the query, and an answer entered already.
    """
    _desk(by)
    _not_ahead(answered_on, "answered_on")
    if answered_on < query.asked_on:
        raise RefusedError("This is before the query.", "answered_on")
    if outcome not in dict(OUTCOMES):
        raise RefusedError("Choose what the operator answered.", "outcome")
    done = RecordQuery.objects.filter(pk=query.pk, answered_on=None).update(
        outcome=outcome, answered_on=answered_on, answer=answer.strip()
    )
    if not done:
        raise RefusedError("This query has its answer already.")
    data = {"outcome": outcome, "answered_on": str(answered_on)}
    record("record.answered", by=by, subject=query.case, data=data)
    renew_kept(query.case)


def _desk(by: Person) -> None:
    if not any(by.has_role(key) for key in DESK):
        raise NotAllowedError("Your role does not cover this.")


def _not_ahead(day: dt.date, box: str) -> None:
    if day > timezone.localdate():
        raise RefusedError("This day lies ahead; enter it once it is so.", box)
