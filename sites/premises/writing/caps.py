"""Adds and removes an operator's caps among the facts of a premises."""

from django.db import transaction
from django.db.models import F

from sites.cases.writing import renew_kept
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Cap, Premises


@transaction.atomic
def add_cap(*, premises: Premises, cap: Cap, by: Person | None) -> Cap:
    """Add a cap to the facts of a premises, and raise its version."""
    _raise(premises)
    cap.premises = premises
    cap.save(force_insert=True)
    record("cap.added", by=by, subject=premises, data={"on": cap.on, "basis": cap.basis})
    renew_kept(*premises.cases.all())
    return cap


@transaction.atomic
def remove_cap(*, cap: Cap, by: Person | None) -> None:
    """Remove a cap from the facts of its premises, and raise its version."""
    premises = cap.premises
    _raise(premises)
    Cap.objects.filter(pk=cap.pk).delete()
    record("cap.removed", by=by, subject=premises, data={"on": cap.on, "basis": cap.basis})
    renew_kept(*premises.cases.all())


def _raise(premises: Premises) -> None:
    Premises.objects.filter(pk=premises.pk).update(version=F("version") + 1)
