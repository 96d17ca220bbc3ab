"""Costs of the designs of a premises: differences from the cheapest, and reasons."""

from dataclasses import dataclass

from connections.prices.earning import Difference, difference
from sites.designs.reading.side_by_side import Compared, SideBySide


@dataclass(frozen=True)
class Costs:
    """What the designs cost, and what each dearer one earns back beside the cheapest."""

    page: SideBySide
    cheapest: Compared | None
    differences: dict[int, Difference]
    """By the primary key of the other design."""


def costs_of(page: SideBySide) -> Costs:
    """Compare every design with the cheapest; designs without a cost or a year are left out."""
    known = [(one, one.priced) for one in page.designs]
    cheapest = min(
        ((one, found) for one, found in known if found is not None),
        key=lambda each: each[1].cost,
        default=None,
    )
    if cheapest is None:
        return Costs(page, None, {})
    first, its = cheapest
    return Costs(
        page,
        first,
        {
            one.design.pk: difference(found, its)
            for one, found in known
            if found is not None and one.design.pk != first.design.pk
        },
    )


def reasons(one: Compared, page: SideBySide) -> tuple[str, ...]:
    """What a design is strictly best in among all that are decided; empty for one design."""
    mine = _measures(one)
    others = [_measures(each) for each in page.designs if each is not one and each.facts]
    if not others:
        return ()
    return tuple(
        what
        for what, value in mine.items()
        if value is not None
        and all(other[what] is not None and value < (other[what] or 0) for other in others)
    )


def _measures(one: Compared) -> dict[str, int | None]:
    """Figures of which the least is best."""
    facts, money, cost = one.facts, one.money, one.cost
    return {
        "the quickest procedure": None if facts is None else facts.order,
        "the lowest cost": None if cost is None else cost.gross_minor,
        "the most power at once": None
        if facts is None or facts.power_w is None
        else -facts.power_w,
        "the cheapest year": None if money is None else money.net,
        "the longest back-up": None
        if facts is None or facts.backup_wh is None
        else -facts.backup_wh,
    }
