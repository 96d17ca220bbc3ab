"""Creates a premises with its application, and saves its sheet with one design."""

import datetime as dt
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple
from uuid import UUID

from django.db import IntegrityError, models, transaction
from django.db.models import F

from sites.cases.models import Application, Case
from sites.cases.writing import begin_case, renew_kept
from sites.house.writing.events import record
from sites.house.writing.rows import changed_fields, fields_of, name_of, put_rows
from sites.people.models import Person
from sites.premises.models import (
    Cap,
    Design,
    Override,
    Party,
    Premises,
    Removal,
    Supply,
    SupplyNumber,
)
from sites.premises.reading.site_rows import PLANT, SiteRows, rows_for
from sites.premises.refusals import (
    MOST_UNIT_LINES,
    EngineersFigureError,
    ReferenceTakenError,
    StaleSheetError,
    TooManyUnitsError,
)
from sites.premises.writing.doubles import renew_locators, say_of_doubles
from sites.premises.writing.search import renew_words

NOTHING_SAID: Mapping[UUID, bool] = MappingProxyType({})
"""For a premises that is like no other one."""
_PREMISES_FIELDS = tuple(name for name in fields_of(Premises) if name != "version")


class Seen(NamedTuple):
    """The versions that a page was opened with."""

    premises: int
    design: int


@transaction.atomic
def create_premises(
    *, rows: SiteRows, by: Person | None, said: Mapping[UUID, bool] = NOTHING_SAID
) -> Case:
    """Create a premises, its first design, its application (same reference) and the only case.

    `said` tells of premises like this one, by key, whether they are the same supply. The design
    has no name and is the proposal. Raises ReferenceTakenError if another premises or application
    has the reference. Raises EngineersFigureError if somebody who is no engineer replaces a
    default, and TooManyUnitsError for more lines of units than a premises can have.
    """
    premises = rows.premises
    try:
        with transaction.atomic():
            premises.save(force_insert=True)
    except IntegrityError:
        if Premises.objects.filter(reference=premises.reference).exists():
            raise ReferenceTakenError(premises.reference) from None
        raise
    design = Design.objects.create(premises=premises, is_proposal=True)
    _put(rows, SiteRows(premises=premises), premises, design, by)
    record("premises.created", by=by, subject=premises)
    renew_locators(premises, rows)
    say_of_doubles(premises=premises, said=said, by=by)
    try:
        with transaction.atomic():
            application = Application.objects.create(reference=premises.reference)
    except IntegrityError:
        raise ReferenceTakenError(premises.reference) from None
    case = begin_case(application=application, premises=premises, design=design, by=by)
    case.premises, case.design = premises, design
    renew_kept(case)
    renew_words(premises.pk)
    return case


@transaction.atomic
def save_sheet(
    *,
    design: Design,
    rows: SiteRows,
    seen: Seen,
    by: Person | None,
    said: Mapping[UUID, bool] = NOTHING_SAID,
) -> list[str]:
    """Save the sheet of a design; return the names of the changed fields. `said` as in
    `create_premises`.

    Matches rows by key and deletes saved rows that `rows` leaves out. An application without an
    issued pack takes the new reference of its premises. Does nothing if nothing changed.

    Raises StaleSheetError if premises or design have left the versions seen. Raises
    ReferenceTakenError if another premises or application has the reference. Raises
    EngineersFigureError if somebody who is no engineer changes a figure in place of a default, and
    TooManyUnitsError for more lines of units than a premises can have.
    """
    premises = Premises.objects.select_for_update().get(pk=design.premises_id)
    design = Design.objects.select_for_update().get(pk=design.pk)
    if (premises.version, design.version) != tuple(seen):
        raise StaleSheetError
    saved = rows_for(premises, design)
    values = _told(saved, rows)
    before = premises.reference
    changed = changed_fields(premises, rows.premises, _PREMISES_FIELDS)
    changes = [f"premises: {name}" for name in changed]
    for name in changed:
        setattr(premises, name, getattr(rows.premises, name))
    if changed:
        try:
            with transaction.atomic():
                premises.save(update_fields=[*changed, "changed_at"])
        except IntegrityError:
            taken = Premises.objects.filter(reference=premises.reference)
            if taken.exclude(pk=premises.pk).exists():
                raise ReferenceTakenError(premises.reference) from None
            raise
    changes += _put(rows, saved, premises, design, by)
    if changes:
        raise_versions(premises, design, seen)
        data = {"fields": changes, "values": values} if values else {"fields": changes}
        record("premises.saved", by=by, subject=premises, data=data)
        renew_locators(premises, rows)
    say_of_doubles(premises=premises, said=said, by=by)
    if premises.reference != before:
        _rename_application(premises, before)
    if changes:
        renew_kept(*premises.cases.all())
        renew_words(premises.pk)
    return changes


def _told(saved: SiteRows, rows: SiteRows) -> dict[str, list[object]]:
    """Old and new value of each changed technical field, under the name that the log gives it.

    Of plant and supply those are numbers, days, ticks and choices, of the premises the last three:
    what anybody types in words may name a person.
    """
    pairs: list[tuple[str, models.Model, models.Model]] = [
        ("premises", saved.premises, rows.premises)
    ]
    for called, old, new in (
        ("supply", saved.supply, rows.supply),
        ("changed supply", saved.new_supply, rows.new_supply),
    ):
        if old is not None and new is not None:
            pairs.append((f"{called}: {name_of(old)}", old, new))
    for part, before, after in (
        ("existing", saved.existing, rows.existing),
        ("proposed", saved.proposed, rows.proposed),
    ):
        for name in PLANT:
            by_key = {row.key: row for row in getattr(before, name)}
            pairs += [
                (f"{part} {name}: {name_of(by_key[row.key])}", by_key[row.key], row)
                for row in getattr(after, name)
                if row.key in by_key
            ]
    return {
        f"{called}: {name}": [_plain(getattr(old, name)), _plain(getattr(new, name))]
        for called, old, new in pairs
        for name in changed_fields(old, new, _tellable(type(old)))
    }


@cache
def _tellable(kind: type[models.Model]) -> tuple[str, ...]:
    kinds: tuple[type[object], ...] = (models.DateField, models.BooleanField)
    if kind is not Premises:
        kinds = (*kinds, models.IntegerField)
    return tuple(
        field.name
        for field in kind._meta.concrete_fields
        if field.name in fields_of(kind)
        and field.name not in ("version", "place")
        and (isinstance(field, kinds) or field.choices)
    )


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, dt.date) else value


def _rename_application(premises: Premises, before: str) -> None:
    unissued = Application.objects.filter(
        reference=before, cases__premises=premises, packs__isnull=True
    )
    try:
        with transaction.atomic():
            unissued.update(reference=premises.reference)
    except IntegrityError:
        raise ReferenceTakenError(premises.reference) from None


def raise_versions(premises: Premises, design: Design, seen: Seen) -> None:
    """Raise both versions, if they are still those seen. Raises StaleSheetError."""
    # 2026-11-25: raise both, because two designs of a premises share most of the sheet. So whoever
    # saves second sees what the first saved.
    rose = Premises.objects.filter(pk=premises.pk, version=seen.premises).update(
        version=F("version") + 1
    )
    rose += Design.objects.filter(pk=design.pk, version=seen.design).update(
        version=F("version") + 1
    )
    if rose != 2:
        raise StaleSheetError


def _put(
    rows: SiteRows, saved: SiteRows, premises: Premises, design: Design, by: Person | None
) -> list[str]:
    """Write everything beneath the premises; return the names of what changed."""
    lines = len(rows.existing.units) + len(rows.proposed.units)
    if lines > MOST_UNIT_LINES:
        raise TooManyUnitsError(lines)
    of_premises = {"premises": premises}
    by_part = {party.part: party for party in saved.parties}
    for party in rows.parties:
        if party.part in by_part:
            party.key = by_part[party.part].key
    changes = put_rows(Party, saved.parties, rows.parties, owner=of_premises, called="parties")
    changes += put_rows(
        SupplyNumber, saved.numbers, rows.numbers, owner=of_premises, called="supply numbers"
    )
    changes += put_rows(Cap, saved.caps, rows.caps, owner=of_premises, called="operator's answers")
    figures = put_rows(
        Override, saved.overrides, rows.overrides, owner=of_premises, called="engineer's figures"
    )
    if figures and by is not None and not by.is_engineer:
        raise EngineersFigureError
    changes += figures
    for called, old, new, of in (
        ("supply", saved.supply, rows.supply, None),
        ("changed supply", saved.new_supply, rows.new_supply, design),
    ):
        if old is not None and new is not None:
            new.key = old.key
        changes += put_rows(
            Supply,
            [old] if old is not None else [],
            [new] if new is not None else [],
            owner={"premises": premises, "design": of},
            called=called,
        )
    for part, old_plant, new_plant, of in (
        ("existing", saved.existing, rows.existing, None),
        ("proposed", saved.proposed, rows.proposed, design),
    ):
        for name, kind in PLANT.items():
            changes += put_rows(
                kind,
                getattr(old_plant, name),
                getattr(new_plant, name),
                owner={"premises": premises, "design": of},
                called=f"{part} {name}",
            )
    return changes + _put_removals(rows, saved, design)


def _put_removals(rows: SiteRows, saved: SiteRows, design: Design) -> list[str]:
    """Mark the existing units that the design removes."""
    by_key = {unit.key: unit for unit in (*saved.existing.units, *rows.existing.units)}
    there = {unit.key for unit in rows.existing.units}
    changes = []
    for key in sorted(saved.removed - rows.removed, key=str):
        Removal.objects.filter(design=design, unit__key=key).delete()
        changes.append(f"existing units: {by_key[key].label} stays")
    for key in sorted((rows.removed - saved.removed) & there, key=str):
        # The unit is in the database by now, but a new one has no primary key here: fetch by key.
        unit = by_key[key]
        Removal.objects.create(
            design=design, unit=unit if unit.pk else type(unit).objects.get(key=key)
        )
        changes.append(f"existing units: {unit.label} goes")
    return changes
