"""Add, change and take out models of the firm's equipment catalogue.

Nothing else depends on a row: a unit has values of its own, and remedies are searched for anew.
"""

from django.db import IntegrityError, transaction

from connections.facts.canonical import digest
from sites.catalogue.models import Equipment
from sites.catalogue.refusals import ModelChangedError, ModelTakenError
from sites.house.writing.events import record
from sites.house.writing.rows import changed_fields, fields_of
from sites.people.models import Person


def mark_of(row: Equipment) -> str:
    """Digest of a model's stored values, to notice a change."""
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
    """Change a model to the wanted values; does nothing where it has them already.

    `seen` is the mark of the values that the page showed. Raises ModelChangedError where they are
    no longer stored, and ModelTakenError as `add_equipment`.
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
