"""Keeps that an engineer has read values in their documents, and takes it back."""

from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone
from msgspec import Struct

from connections.rulebook.verifying import Named
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.rulebook.models import ValueReading
from sites.rulebook.writing.local_entries import renew_stamp


class ReadInDocument(Struct, frozen=True):
    """A value as the engineer saw it: what it is, the document's title, and the amount."""

    name: Named
    title: str
    amount: str


@transaction.atomic
def read_values(*, values: Sequence[ReadInDocument], by: Person) -> list[ValueReading]:
    """Keep that `by` has read these values and agrees; skips what is kept already.

    Raises NotAllowedError for anybody but an engineer, and RefusedError without any value.
    """
    _engineer(by)
    if not values:
        raise RefusedError("Tick the values that you have read.", "read")
    renew_stamp()
    there = set(
        ValueReading.objects.filter(taken_back_at__isnull=True).values_list(
            "document", "edition", "about", "value_digest"
        )
    )
    rows = []
    for value in dict.fromkeys(values):
        if value.name in there:
            continue
        document, edition, about, digest = value.name
        row = ValueReading(
            document=document,
            edition=edition,
            about=about,
            value_digest=digest,
            title=value.title,
            amount=value.amount,
            read_by=by,
            read_at=timezone.now(),
        )
        row.save()
        record("value.read", by=by, subject=row, data=_data(row))
        rows.append(row)
    return rows


@transaction.atomic
def take_back_reading(*, row: ValueReading, by: Person) -> ValueReading:
    """Take back that a value was read; its certainty is again what the rulebook says.

    Raises NotAllowedError for anybody but an engineer, and RefusedError if it was taken back.
    """
    _engineer(by)
    renew_stamp()
    changed = ValueReading.objects.filter(pk=row.pk, taken_back_at__isnull=True).update(
        taken_back_by=by, taken_back_at=timezone.now()
    )
    if not changed:
        raise RefusedError("Somebody has taken this back meanwhile.")
    record("value.reading-taken-back", by=by, subject=row, data=_data(row))
    return ValueReading.objects.get(pk=row.pk)


def _engineer(person: Person) -> None:
    if not person.is_engineer:
        raise NotAllowedError("Only an engineer may say that a value was read.")


def _data(row: ValueReading) -> dict[str, str]:
    return {"about": row.about, "document": row.document, "edition": row.edition}
