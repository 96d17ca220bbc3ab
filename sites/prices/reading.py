"""The price list of a day, costs of designs by it, and choices."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from msgspec import ValidationError, convert

from connections.energy.result import EnergyYear, Money
from connections.facts.site import Site
from connections.prices.costing import Cost, cost_of
from connections.prices.earning import Priced, VariedMoney, YearMoney
from connections.prices.price_list import Price as PriceOfList
from connections.prices.price_list import PriceList, Vat
from connections.rules.decide import UNDETERMINED, Decided
from sites.premises.models import Design, Premises
from sites.premises.reading.site_rows import today
from sites.prices.models import CURRENCY, Choice, CostBasis, Price, VatRate


def in_force(on: dt.date) -> Q:
    """What holds on a day."""
    return Q(starts__lte=on) & (Q(ends__isnull=True) | Q(ends__gte=on))


def prices_on(on: dt.date) -> QuerySet[Price]:
    """The prices of a day."""
    return Price.objects.filter(in_force(on), currency=CURRENCY)


def price_list(on: dt.date | None = None) -> PriceList:
    """The price list of a day, or of today; two queries."""
    day = on or today()
    rates: dict[Vat, int] = {}
    for rate in VatRate.objects.filter(in_force(day)):
        rates[convert(rate.vat, Vat)] = rate.rate
    return PriceList(tuple(of_list(row) for row in prices_on(day)), rates, CURRENCY)


def of_list(row: Price) -> PriceOfList:
    """A row as the library knows a price."""
    names = PriceOfList.__struct_fields__
    return convert({name: getattr(row, name) for name in names}, PriceOfList)


def waits_for(decided: Decided | None) -> bool | None:
    """Whether the operator's answer is waited for; None where the procedure is not known."""
    if decided is None or decided.procedure == UNDETERMINED:
        return None
    return any(step.wait for step in decided.steps)


def latest_bases(designs: Iterable[Design]) -> dict[int, CostBasis]:
    """What the cost of each design rests on, by its primary key; one query."""
    rows = CostBasis.objects.filter(design__in=list(designs)).select_related("entered_by")
    return {row.design_id: row for row in rows.order_by("pk")}


def design_cost(
    site: Site | None,
    decided: Decided | None,
    basis: CostBasis | None,
    prices: PriceList,
) -> Cost | None:
    """The cost of a design; None without its facts, and without any price."""
    if site is None or not prices.prices:
        return None
    amounts: Mapping[str, int] = basis.amounts if basis is not None else {}
    return cost_of(site, waits=waits_for(decided), amounts=amounts, prices=prices)


def latest_choice(premises: Premises) -> Choice | None:
    """The last choice of the premises' last case; one query."""
    return (
        Choice.objects.filter(case__premises=premises)
        .select_related("design", "recorded_by")
        .order_by("-case__pk", "-pk")
        .first()
    )


def frozen_cost(choice: Choice) -> Cost | None:
    """The cost that a choice froze; None where there is none."""
    try:
        return convert(choice.cost, Cost)
    except ValidationError:
        return None


@dataclass(frozen=True)
class YearOfMoney:
    """A year's money in minor units, with its standing charge and other assumptions."""

    year: YearMoney
    standing: int
    varied: tuple[VariedMoney, ...]

    @property
    def net(self) -> int:
        """What the year's energy costs in all."""
        return self.year.net + self.standing


def year_of_money(result: EnergyYear | None) -> YearOfMoney | None:
    """The money of a year in whole minor units; None where a price is not known."""
    if result is None:
        return None
    year = _minor(result.money)
    if year is None:
        return None
    varied = []
    for each in result.varied:
        low, high = _minor(each.low), _minor(each.high)
        if low is not None and high is not None:
            varied.append(VariedMoney(each.what, each.band, low, high))
    return YearOfMoney(year, round((result.money.standing_cost or 0) * 100), tuple(varied))


def _minor(money: Money) -> YearMoney | None:
    if money.import_cost is None or money.export_value is None:
        return None
    return YearMoney(round(money.import_cost * 100), round(money.export_value * 100))


def priced(name: str, cost: Cost | None, year: YearOfMoney | None) -> Priced | None:
    """A design for a difference; None while its cost or its year is not known."""
    if cost is None or year is None:
        return None
    return Priced(name, cost.gross_minor, year.year, year.varied)
