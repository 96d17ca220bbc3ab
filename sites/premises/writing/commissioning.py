"""Enters what is known once the plant runs: dates, serial numbers and the declaration."""

import datetime as dt
from collections.abc import Mapping
from uuid import UUID

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from msgspec import Struct

from sites.cases.models import Case
from sites.cases.writing import move, renew_kept
from sites.house.refusals import RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Design, Premises, Unit


class Installed(Struct, frozen=True):
    """When a line of like units was commissioned, and the serial numbers on them."""

    commissioned_on: dt.date
    serials: str


class Declared(Struct, frozen=True):
    """The installer's declaration: who gave it, and when."""

    by: str
    on: dt.date


@transaction.atomic
def commission(
    *,
    case: Case,
    installed: Mapping[UUID, Installed],
    declared: Declared,
    seen: int,
    by: Person,
) -> None:
    """Enter the commissioning of every proposed unit (by key) and move the case to commissioned.

    Raises RefusedError for a day ahead, for units that have changed since, and as `move`.
    """
    premises = Premises.objects.select_for_update().get(pk=case.premises_id)
    design = Design.objects.select_for_update().get(pk=case.design_id)
    units = {unit.key: unit for unit in Unit.objects.filter(design=design)}
    if units.keys() != installed.keys():
        raise RefusedError("The proposed units have changed. Look at them again.")
    today = timezone.localdate()
    if any(each.commissioned_on > today for each in installed.values()):
        raise RefusedError("A day of commissioning lies ahead. Enter it once the plant runs.")
    if declared.on > today:
        raise RefusedError("This day lies ahead; give the day of the declaration.", "declared_on")
    for key, each in installed.items():
        unit = units[key]
        unit.commissioned_on, unit.commissioned_to = each.commissioned_on, each.commissioned_on
        unit.serials = each.serials
        unit.save(update_fields=["commissioned_on", "commissioned_to", "serials"])
    for row in (premises, design):
        type(row)._default_manager.filter(pk=row.pk).update(version=F("version") + 1)
    Case.objects.filter(pk=case.pk).update(declared_by=declared.by, declared_on=declared.on)
    record(
        "premises.saved",
        by=by,
        subject=premises,
        data={"fields": ["proposed units: commissioned_on", "proposed units: serials"]},
    )
    renew_kept(case)
    move(case=case, act="commission", by=by, seen=seen)
