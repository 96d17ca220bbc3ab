"""Enters and ends prices and rates of VAT, says what a cost rests on, and records choices."""

import datetime as dt
from collections.abc import Mapping
from typing import TypeVar

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone
from msgspec import to_builtins

from connections.prices.costing import Cost
from connections.rulebook.telling import day_in_words
from sites.cases.models import Case
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.people.models import OFFICE, Firm, Person
from sites.premises.models import Design
from sites.prices.models import Choice, CostBasis, Price, VatRate
from sites.prices.reading import in_force

Dated = TypeVar("Dated", Price, VatRate)

_DAY = dt.timedelta(days=1)


def may_price(person: Person) -> bool:
    """Whether the person may change the firm's prices: the office and managers."""
    return person.is_manager or person.has_role(OFFICE)


@transaction.atomic
def enter_price(*, wanted: Price, by: Person | None) -> Price:
    """Enter a price; one for the same, that holds then, ends the day before.

    `by` None is the demonstration. Raises NotAllowedError as `may_price` says, and RefusedError
    where a price for the same begins on that day or later.
    """
    _allowed(by)
    this = Q(label__iexact=wanted.label)
    if wanted.model:
        this |= Q(maker__iexact=wanted.maker, model__iexact=wanted.model)
    elif wanted.size is not None:
        this |= Q(size=wanted.size, model="")
    same = Price.objects.filter(this, kind=wanted.kind)
    others = Price.objects.filter(in_force(wanted.starts), label__iexact=wanted.label)
    if others.exclude(kind=wanted.kind).exists():
        raise RefusedError("A price of another kind has this name. Give another name.", "label")
    return _enter(wanted, same, by)


@transaction.atomic
def enter_vat(*, wanted: VatRate, by: Person | None) -> VatRate:
    """Enter a rate of VAT, as `enter_price` enters a price."""
    _allowed(by)
    return _enter(wanted, VatRate.objects.filter(vat=wanted.vat), by)


@transaction.atomic
def end_row(*, row: Price | VatRate, last_day: dt.date, by: Person) -> None:
    """End a price or a rate: `last_day` is the last one on which it holds.

    The day before its first day takes it back. Raises NotAllowedError as `may_price` says, and
    RefusedError where it is ended already or the day is earlier than that.
    """
    _allowed(by)
    _end(row, last_day, by)


@transaction.atomic
def enter_basis(
    *,
    design: Design,
    amounts: Mapping[str, int],
    method: str = "",
    made_kwh: int | None = None,
    used_kwh: int | None = None,
    saves_minor: int | None = None,
    by: Person,
) -> CostBasis:
    """Enter what the cost of a design rests on, and a scheme's figures; CostBasis says what each
    is.

    Raises RefusedError for figures without their method, and for more used than made.
    """
    figures = (made_kwh, used_kwh, saves_minor)
    if any(each is not None for each in figures) and not method:
        raise RefusedError("Name the scheme’s method, with its edition.", "method")
    if method and all(each is None for each in figures):
        raise RefusedError("Give a figure of the scheme, or leave its method empty.", "made_kwh")
    if made_kwh is not None and used_kwh is not None and used_kwh > made_kwh:
        raise RefusedError("The house can’t use more of it than is made.", "used_kwh")
    made = CostBasis.objects.create(
        design=design,
        amounts=dict(amounts),
        method=method,
        made_kwh=made_kwh,
        used_kwh=used_kwh,
        saves_minor=saves_minor,
        entered_by=by,
        entered_at=timezone.now(),
    )
    record("cost.entered", by=by, subject=design.premises, data={"design": str(design.key)})
    return made


@transaction.atomic
def record_choice(
    *,
    case: Case,
    design: Design,
    by_whom: str,
    on: dt.date,
    why: str,
    cost: Cost | None,
    by: Person | None,
) -> Choice:
    """Record on a case which design is chosen, and freeze its cost."""
    made = Choice.objects.create(
        case=case,
        design=design,
        by_whom=by_whom,
        on=on,
        why=why,
        cost=None if cost is None else to_builtins(cost),
        recorded_by=by,
        recorded_at=timezone.now(),
    )
    record(
        "choice.recorded",
        by=by,
        subject=design.premises,
        data={"design": str(design.key), "by": by_whom},
    )
    return made


def _allowed(by: Person | None) -> None:
    if by is not None and not may_price(by):
        raise NotAllowedError("Only the office or a manager may change prices.")


def _end(row: Price | VatRate, last_day: dt.date, by: Person | None) -> None:
    if last_day < row.starts - _DAY:
        raise RefusedError(
            f"It holds from {day_in_words(row.starts)} on; the earliest last day is the day "
            "before, which takes it back.",
            "last_day",
        )
    kind = type(row)
    ended = kind._default_manager.filter(pk=row.pk, ended_at__isnull=True).update(
        ends=last_day, ended_by=by, ended_at=timezone.now()
    )
    if not ended:
        raise RefusedError("It is ended already.", "last_day")
    act = "price.ended" if isinstance(row, Price) else "vat.ended"
    record(act, by=by, subject=row, data={"ends": last_day.isoformat()})


def _enter(wanted: Dated, same: "QuerySet[Dated]", by: Person | None) -> Dated:
    """Save a row and end the one that it follows."""
    # Whoever enters next waits here, so that two prices of one thing never hold together.
    list(Firm.objects.select_for_update().values_list("pk"))
    going_on = same.filter(in_force(wanted.starts) | Q(starts__gt=wanted.starts))
    for row in going_on.exclude(ends__lt=F("starts")):
        if row.starts >= wanted.starts:
            raise RefusedError(
                f"There is one from {day_in_words(row.starts)} already. Give a later day, or end "
                "that one first.",
                "starts",
            )
        if row.ended_at is None:
            _end(row, wanted.starts - _DAY, by)
        else:
            raise RefusedError(
                f"There is one until {day_in_words(row.ends or wanted.starts)}. Give a later day.",
                "starts",
            )
    wanted.entered_by, wanted.entered_at = by, timezone.now()
    wanted.save(force_insert=True)
    act = "price.entered" if isinstance(wanted, Price) else "vat.entered"
    record(act, by=by, subject=wanted)
    return wanted
