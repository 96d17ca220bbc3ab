"""The firm's equipment catalogue: adding a model, changing it, taking it out.

Nothing else depends on a row: what a unit has is its own, and remedies are searched for anew.
"""

from django.db import IntegrityError, transaction

from connections.facts.canonical import digest
from sites.catalogue.models import Equipment
from sites.catalogue.refusals import ModelChangedError, ModelTakenError
from sites.house.writing.events import record
from sites.house.writing.rows import changed_fields, fields_of
from sites.people.models import Person


def mark_of(row: Equipment) -> str:
    """Tells what is kept of a model from anything else that may be kept of it."""
    return digest({name: getattr(row, name) for name in fields_of(Equipment)})


@transaction.atomic
def add_equipment(*, wanted: Equipment, by: Person | None) -> Equipment:
    """Keep a new model. Raises ModelTakenError where the maker has one of this name."""
    _save(wanted)
    record("equipment.added", by=by, subject=wanted)
    return wanted


@transaction.atomic
def change_equipment(
    *, row: Equipment, wanted: Equipment, seen: str, by: Person | None
) -> Equipment:
    """Make a model what is wanted of it; nothing is done where it is that already.

    `seen` is the mark of what the page showed. Raises ModelChangedError where that is no longer
    kept, and ModelTakenError as `add_equipment`.
    """
    row = _locked(row, seen)
    changed = changed_fields(row, wanted, fields_of(Equipment))
    if not changed:
        return row
    for name in changed:
        setattr(row, name, getattr(wanted, name))
    _save(row)
    record("equipment.changed", by=by, subject=row, data={"fields": changed})
    return row


@transaction.atomic
def take_out_equipment(*, row: Equipment, seen: str, by: Person | None) -> None:
    """Take a model out. Raises ModelChangedError as `change_equipment`."""
    row = _locked(row, seen)
    record("equipment.taken-out", by=by, subject=row)
    row.delete()


def _locked(row: Equipment, seen: str) -> Equipment:
    held = Equipment.objects.select_for_update().filter(pk=row.pk).first()
    if held is None or mark_of(held) != seen:
        raise ModelChangedError
    return held


def _save(row: Equipment) -> None:
    same = Equipment.objects.filter(maker__iexact=row.maker, model__iexact=row.model)
    if same.exclude(pk=row.pk).exists():
        raise ModelTakenError(str(row))
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        # Somebody else added it in this very moment.
        raise ModelTakenError(str(row)) from None
