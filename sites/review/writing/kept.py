"""Keeps the decision on a case, in the transaction of every act that changes what it rests on."""

from django.db import transaction
from msgspec import convert

from sites.cases.models import Case, KeptDecision
from sites.cases.reading import is_for_engineer, urgency_of
from sites.house.writing.events import record
from sites.review.reading.due import Day, moved
from sites.review.reading.kept import keeping


@transaction.atomic
def renew(case: Case) -> KeptDecision:
    """Decide a case and keep what lists read of it.

    Locks the case first, so that of two acts on one case the second decides with what the first
    changed.
    """
    now = Case.objects.select_for_update().get(pk=case.pk)
    row = keeping(now)
    there = KeptDecision.objects.filter(case=now).values_list("pk", "days").first()
    old, days = there or (None, [])
    for before, after in moved(convert(days, list[Day]), convert(row.days, list[Day])):
        data = {"day": after.says, "from": str(before.on), "to": str(after.on)}
        record("day.moved", by=None, subject=now, data=data)
    row.pk = old
    row.save(force_insert=old is None, force_update=old is not None)
    Case.objects.filter(pk=now.pk).update(
        urgency=urgency_of(row, now.state), for_engineer=is_for_engineer(row, now.state)
    )
    return row
