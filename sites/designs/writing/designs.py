"""Copies and names designs of a premises, and chooses the proposed one."""

import datetime as dt

from django.db import models, transaction
from django.db.models import F

from connections.prices.costing import Cost
from sites.cases.models import Case
from sites.cases.moves import ENDED
from sites.cases.writing import renew_kept
from sites.deciding.reading.deciding import decide_rows
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Design, Premises, Removal
from sites.premises.reading.site_rows import PLANT, rows_for, today
from sites.premises.refusals import NameTakenError
from sites.prices.reading import design_cost, latest_bases, price_list
from sites.prices.writing import record_choice


@transaction.atomic
def copy_design(*, design: Design, name: str, by: Person | None) -> Design:
    """Create a second design of the premises, equipped like `design`, with its own name.

    Names a first design that has no name, because there are two now. Raises NameTakenError.
    """
    premises = Premises.objects.select_for_update().get(pk=design.premises_id)
    others = list(Design.objects.select_for_update().filter(premises=premises))
    for other in others:
        if not other.name:
            taken = {each.name for each in others} | {name}
            other.name = _free(f"Design {len(others)}", taken)
            Design.objects.filter(pk=other.pk).update(name=other.name, version=F("version") + 1)
    if name.casefold() in {other.name.casefold() for other in others}:
        raise NameTakenError(name)
    rows = rows_for(premises, design)
    twin = Design.objects.create(premises=premises, name=name)
    if rows.new_supply is not None:
        _again(rows.new_supply, twin)
    for group in PLANT:
        for row in getattr(rows.proposed, group):
            _again(row, twin)
    for removal in Removal.objects.filter(design=design):
        Removal.objects.create(design=twin, unit_id=removal.unit_id)
    Premises.objects.filter(pk=premises.pk).update(version=F("version") + 1)
    record(
        "design.copied",
        by=by,
        subject=premises,
        data={"from": str(design.key), "to": str(twin.key)},
    )
    renew_kept(*premises.cases.all())
    return twin


@transaction.atomic
def choose_design(
    *,
    design: Design,
    by: Person | None,
    by_whom: str = "firm",
    on: dt.date | None = None,
    why: str = "",
) -> None:
    """Make a design the proposal of its premises and the one its application asks for.

    Records on each open case who chose it (`by_whom`: customer or firm), on which day and why, and
    freezes its cost by today's prices.
    """
    premises = Premises.objects.select_for_update().get(pk=design.premises_id)
    open_cases = Case.objects.filter(premises=premises).exclude(state__in=ENDED)
    open_cases.update(design=design)
    cost = _cost_now(premises, design)
    for case in open_cases:
        record_choice(
            case=case,
            design=design,
            by_whom=by_whom,
            on=on or today(),
            why=why,
            cost=cost,
            by=by,
        )
    if Design.objects.filter(pk=design.pk, is_proposal=True).exists():
        return
    # Two steps, because two designs may never be the proposal at once.
    Design.objects.filter(premises=premises, is_proposal=True).update(
        is_proposal=False, version=F("version") + 1
    )
    Design.objects.filter(pk=design.pk).update(is_proposal=True, version=F("version") + 1)
    Premises.objects.filter(pk=premises.pk).update(version=F("version") + 1)
    record("design.chosen", by=by, subject=premises, data={"design": str(design.key)})
    renew_kept(*premises.cases.all())


def _cost_now(premises: Premises, design: Design) -> Cost | None:
    decided = decide_rows(rows_for(premises, design))
    basis = latest_bases([design]).get(design.pk)
    return design_cost(decided.site, decided.decided, basis, price_list())


def free_name(premises: Premises, wanted: str = "") -> str:
    """Return a name that no design of the premises has.

    Takes the wanted name, with a number if it is taken; otherwise Design 2, Design 3, ...
    """
    names = set(premises.designs.values_list("name", flat=True))
    if not wanted:
        return _free(f"Design {len(names) + 1}", names)
    taken = {name.casefold() for name in names}
    tries = (wanted, *(f"{wanted} ({count})" for count in range(2, len(names) + 3)))
    return next(name for name in tries if name.casefold() not in taken)


def _free(wanted: str, taken: set[str]) -> str:
    words, _, number = wanted.rpartition(" ")
    count = int(number)
    while f"{words} {count}" in taken:
        count += 1
    return f"{words} {count}"


def _again(row: models.Model, design: Design) -> None:
    """Save a copy of the row under another design, with its own key."""
    kind = type(row)
    fields = {
        field.attname: getattr(row, field.attname)
        for field in kind._meta.concrete_fields
        if field.name not in ("id", "key", "design")
    }
    kind(**fields, design=design).save(force_insert=True)
