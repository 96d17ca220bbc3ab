"""Keeps the decision on a case, in the transaction of every act that changes what it rests on."""

from django.db import transaction

from sites.cases.models import Case, KeptDecision
from sites.cases.reading import is_for_engineer, urgency_of
from sites.review.reading.kept import keeping


@transaction.atomic
def renew(case: Case) -> KeptDecision:
    """Decide a case and keep what lists read of it.

    Locks the case first, so that of two acts on one case the second decides with what the first
    changed.
    """
    now = Case.objects.select_for_update().get(pk=case.pk)
    row = keeping(now)
    old = KeptDecision.objects.filter(case=now).values_list("pk", flat=True).first()
    row.pk = old
    row.save(force_insert=old is None, force_update=old is not None)
    Case.objects.filter(pk=now.pk).update(
        urgency=urgency_of(row, now.state), for_engineer=is_for_engineer(row, now.state)
    )
    return row
