"""Sentences on costs, years in money, and the difference of two designs."""

from connections.prices.costing import Cost, amount_words, money_words
from connections.prices.earning import Difference, Moved, years_words
from sites.prices.models import Choice
from sites.prices.reading import YearOfMoney, frozen_cost


def cost_words(cost: Cost) -> tuple[str, ...]:
    """The cost in lines: the sum with VAT, and how many things are not counted in it."""
    vat_missing = any(each.startswith("VAT ") for each in cost.not_counted)
    vat = "without all of its VAT" if vat_missing else "with VAT"
    priceless = [each for each in cost.not_counted if each.endswith("no price is entered.")]
    return (
        f"{money_words(cost.gross_minor, cost.currency)} {vat}",
        *((f"not counted: {len(priceless)} without a price",) if priceless else ()),
    )


def line_rows(cost: Cost) -> list[tuple[str, str, str, str]]:
    """Each line of a cost: what, how many, price of one, sum without VAT."""
    return [
        (
            line.what,
            amount_words(line),
            money_words(line.each_minor, cost.currency),
            money_words(line.minor, cost.currency),
        )
        for line in cost.lines
    ]


def vat_rows(cost: Cost) -> list[tuple[str, str]]:
    """Each class of VAT on its sum."""
    rows = []
    for line in cost.vat:
        whole, rest = divmod(line.rate, 100)
        rate = f"{whole}.{rest:02d}".rstrip("0") if rest else f"{whole}"
        rows.append(
            (
                f"VAT, {line.vat} rate, {rate} % of {money_words(line.net_minor, cost.currency)}",
                money_words(line.minor, cost.currency),
            )
        )
    return rows


def year_words(year: YearOfMoney) -> str:
    """What a year's energy costs in all; negative where it brings more."""
    net = round(year.net / 100) * 100
    if net < 0:
        return f"brings {money_words(-net)} more than it costs"
    return f"costs {money_words(net)}"


def difference_words(found: Difference) -> str:
    """The difference of two designs in a sentence or two."""
    more = money_words(found.cost)
    year = money_words(round(abs(found.saves) / 100) * 100)
    saves = f"saves {year} more in a year" if found.saves > 0 else f"saves {year} less in a year"
    if found.cost == 0:
        return f"{found.dearer} costs the same as {found.cheaper} and {saves}."
    costs = f"{found.dearer} costs {more} more than {found.cheaper}"
    if found.saves > 0:
        return f"{costs} and {saves}. It earns that back in {earned_words(found)}."
    if found.least is not None:
        return f"{costs} and {saves}. It earns that back in {earned_words(found)}."
    return f"{costs} and {saves}. It never earns that back under the assumptions tried."


def earned_words(found: Difference) -> str:
    """The range of years in words."""
    return years_words(found.least, found.most)


def mover_words(moved: Moved) -> str:
    """An assumption with its band, and the years at its ends."""
    return f"{moved.what}, {moved.band}: {years_words(moved.least, moved.most)}"


def choice_words(choice: Choice) -> str:
    """Which design is chosen, when, by whom and why, and what it cost then, in a sentence."""
    who = "The customer chose" if choice.by_whom == "customer" else "The firm proposed"
    said = f"{who} {choice.design.name or 'this design'} on {choice.on.day} {choice.on:%B %Y}"
    cost = frozen_cost(choice)
    if cost is not None:
        said += f", at {cost_words(cost)[0]}"
    return f"{said}.{f' Why: {choice.why}' if choice.why else ''}"
