"""Rows that compare designs by the energy of a year and by the losses of conversion."""

from collections.abc import Callable, Sequence

from connections.energy.efficiencies import RANGES, RouteRange, routes_with_ranges
from connections.energy.result import AtPrice, EnergyYear, Figures, Money
from connections.remedies.designs import DesignFacts, RouteName
from connections.rules.figures import plural
from sites.energy.models import EnergyInputs
from sites.energy.reading.years import YearState
from sites.energy.words.amounts import LEAST_KWH, in_words, left_in_cells, left_over, on_the_way
from sites.energy.words.amounts import kwh as kwh
from sites.energy.words.compared import ComparedGroup, ComparedRow
from sites.energy.words.entered import named, pence, price_words, window_words

_NOT_KNOWN = "not known"
_LEAST_POUNDS = 0.005
_EXACT_BELOW_POUNDS = 10

_ROUTES: dict[RouteName, tuple[str, str]] = {
    "sun-to-house": ("sun to house", "From sun to house"),
    "sun-to-cells-to-house": ("sun to cells to house", "From sun to cells to house"),
    "grid-to-cells-to-house": ("network to cells to house", "From network to cells to house"),
}
"""For each route its name in `connections.energy`, and its row."""


def between(year: EnergyYear, of: Callable[[Figures], float]) -> str:
    """Return the low and high case of a figure in words, empty if there are none."""
    if year.low is None or year.high is None:
        return ""
    low, high = kwh(of(year.low.figures)), kwh(of(year.high.figures))
    return "" if low == high == "none" else f"low case {low}, high case {high}"


def share_lost(figures: Figures) -> str:
    """Return the share that the limit takes, in words; never 0.0 % for a real loss."""
    percent = figures.lost_percent
    return "less than 0.1 %" if 0 < percent < 0.05 else f"{percent:.1f} %"


def energy_group(years: Sequence[YearState], inputs: EnergyInputs | None = None) -> ComparedGroup:
    """Return the year of each design: its state and, if worked out, its figures.

    Adds money if prices are known.
    """
    rows = [
        ComparedRow(
            "Energy year", "", tuple((*each.says, *_nothing_to_fill(each)) for each in years)
        )
    ]
    if any(each.result is not None for each in years):
        stores = any(each.result is not None and _stores(each.result.figures) for each in years)
        rows += [
            ComparedRow(question, hint, tuple(_answer(each, tell) for each in years))
            for question, hint, tell in _FIGURES
            if stores or tell not in _OF_CELLS
        ]
    rows += [
        ComparedRow(question, hint, tuple(_in_money(each, of, tell) for each in years))
        for question, hint, of, tell in _MONEY
        if any(each.result is not None and of(each.result.money) is not None for each in years)
    ]
    return ComparedGroup("Energy in a year", tuple(rows), rests_on(years, inputs))


def _nothing_to_fill(state: YearState) -> tuple[str, ...]:
    """Say what to do if cells stay empty all year."""
    if state.result is None or state.asked is None or not state.asked.plant.with_cells:
        return ()
    figures = state.result.figures
    if figures.dc >= LEAST_KWH or figures.bought >= LEAST_KWH:
        return ()
    if state.asked.options.cheap is not None:
        return ()
    return (
        "Its cells have nothing to fill from: there are no panels, and no hours are given in which "
        "they fill from the network. Give them below, under “Windows and prices”.",
    )


def rests_on(years: Sequence[YearState], inputs: EnergyInputs | None = None) -> str:
    """Return in short what the finished years are based on; empty if there are none.

    `inputs` are those of the premises' years, for the names of files.
    """
    one = next((each for each in years if each.result is not None), None)
    if one is None or one.asked is None or one.result is None:
        return ""
    asked, options = one.asked, one.asked.options
    if asked.irradiance is None:
        sun = (
            f"Sun: a typical year of the region {asked.region.name}, made from published monthly "
            "means (Standard Assessment Procedure, Appendix U)."
        )
    else:
        file = inputs.irradiance_file if inputs is not None else None
        of = f"the file {named(file)}" if file is not None else "an uploaded file"
        sun = f"Sun: irradiance of {of}, at the place of the region {asked.region.name}."
    if asked.measured_kwh is not None:
        sun += f" A measured yield of {asked.measured_kwh:,} kWh sets how much it is."
    if asked.meter is None:
        use = (
            f"Use: {asked.yearly_use_kwh:,} kWh a year in a published standard shape of households."
        )
    else:
        file = inputs.meter_file if inputs is not None else None
        of = f"the file {named(file)}" if file is not None else "an uploaded file"
        use = f"Use: {one.result.figures.used:,.0f} kWh a year as metered, in {of}."
    steps = f"Steps of {one.result.step_minutes} minutes."
    prices = price_words(options)
    found = [each.result.figures for each in years if each.result is not None]
    # The customer's comparison has only one page, and prices fill it.
    if not prices and any(figures.on_the_way >= LEAST_KWH for figures in found):
        steps = f"The rest of what is made is lost in converting and storing it. {steps}"
    return " ".join((sun, use, *window_words(options), *prices, steps))


def _answer(state: YearState, tell: Callable[[EnergyYear], tuple[str, ...]]) -> tuple[str, ...]:
    if state.result is None:
        return (_NOT_KNOWN,)
    return tuple(line for line in tell(state.result) if line)


def _made(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.made), between(year, lambda f: f.made)


def _on_site(year: EnergyYear) -> tuple[str, ...]:
    figures = year.figures
    later = ""
    if figures.from_cells >= LEAST_KWH:
        later = f"{kwh(figures.direct)} of it at once, {kwh(figures.from_cells)} from the cells"
    return kwh(figures.on_site), later, between(year, _used_on_site)


def _used_on_site(figures: Figures) -> float:
    return figures.on_site


def filled_from_network(figures: Figures) -> str:
    """Return the energy that cells took from the network, which their output partly consists of.

    Empty if only the sun fills them.
    """
    if figures.bought < LEAST_KWH:
        return ""
    return f"{kwh(figures.bought)} went into the cells from the network"


def _exported(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.exported), between(year, lambda f: f.exported)


def _clipped(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.clipped), between(year, lambda f: f.clipped)


def _lost(year: EnergyYear) -> tuple[str, ...]:
    if year.export_limit_kw is None:
        return ("none: export is not limited",)
    figures = year.figures
    part = ""
    if figures.lost >= LEAST_KWH:
        part = (
            f"{share_lost(figures)} of what could be made, in "
            f"{figures.hours_limited:,.0f} hours, at a limit of {year.export_limit_kw:g} kW"
        )
    return kwh(figures.lost), part, between(year, lambda f: f.lost)


def _imported(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.imported), between(year, lambda f: f.imported)


def _into_cells(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.bought), between(year, lambda f: f.bought)


def _lost_on_the_way(year: EnergyYear) -> tuple[str, ...]:
    figures, ends = year.figures, ""
    if year.low is not None and year.high is not None:
        low, high = (in_words(on_the_way(case.figures)) for case in (year.low, year.high))
        ends = "" if low == high == "none" else f"low case {low}, high case {high}"
    lost = on_the_way(figures)
    apart = left_over(figures) - lost
    rounded = f"figures are rounded each by itself: their sum is {in_words(abs(apart))} out"
    spared = "cells on the DC side spare the inverter its low loads"
    return (
        in_words(lost), rounded if apart else "", spared if lost < 0 else "", ends
    )  # fmt: skip


def _left(year: EnergyYear) -> tuple[str, ...]:
    return (in_words(left_in_cells(year.figures)),)


_OF_CELLS = (_into_cells, _lost_on_the_way, _left)
"""Rows shown only for designs with cells."""


def _stores(figures: Figures) -> bool:
    """Whether the cells took any energy."""
    return figures.charged + figures.bought >= LEAST_KWH


_FIGURES: tuple[tuple[str, str, Callable[[EnergyYear], tuple[str, ...]]], ...] = (
    ("Made", "at AC behind its inverter, less what is clipped or held back", _made),
    ("Into the cells from the network", "in the cheap window", _into_cells),
    ("Used on site", "by the house, from sun and cells", _on_site),
    ("Exported", "", _exported),
    (
        "Lost in conversion and cells",
        "on the way into the cells and out: what is made and what cells take from the network, "
        "less what is used on site, exported and left",
        _lost_on_the_way,
    ),
    ("Left in the cells at the end", "they begin the year empty", _left),
    (
        "Clipped at the inverter",
        "more sun than the inverter’s rating lets through, counted at AC behind it: no part of "
        "what is made",
        _clipped,
    ),
    (
        "Lost behind the export limit",
        "neither used, stored nor let out: no part of what is made",
        _lost,
    ),
    ("Bought from the network", "by the house and by the cells", _imported),
)


def pounds(amount: float) -> str:
    """Return a yearly sum in words: whole pounds, or with pence if small."""
    if abs(amount) < _LEAST_POUNDS:
        return "nothing"
    shown = f"{abs(amount):,.2f}" if abs(amount) < _EXACT_BELOW_POUNDS else f"{abs(amount):,.0f}"
    return f"{'-' if amount < 0 else ''}£{shown}"


def energy_cost(money: Money) -> float | None:
    """Return cost of energy bought less value exported [pounds]; None if a price is not known.

    A standing charge counts where one is entered.
    """
    bought, brings = money.import_cost, money.export_value
    if bought is None or brings is None:
        return None
    return bought - brings + (money.standing_cost or 0)


def _in_money(
    state: YearState, of: Callable[[Money], float | None], tell: Callable[[YearState], str]
) -> tuple[str, ...]:
    if state.result is None:
        return (_NOT_KNOWN,)
    amount = of(state.result.money)
    if amount is None:
        return (_NOT_KNOWN,)
    lines = (pounds(amount), tell(state), _between_pounds(state.result, of))
    return tuple(line for line in lines if line)


def _between_pounds(year: EnergyYear, of: Callable[[Money], float | None]) -> str:
    """Return the low and high case in money, empty if there are none."""
    low = None if year.low is None else of(year.low.money)
    high = None if year.high is None else of(year.high.money)
    if low is None or high is None:
        return ""
    said = pounds(low), pounds(high)
    return "" if said == ("nothing", "nothing") else f"low case {said[0]}, high case {said[1]}"


def _at(parts: Sequence[AtPrice]) -> str:
    """Return what was bought or sold at each price; one price needs no energy beside it."""
    if len(parts) < 2:
        return "".join(f"at {pence(part.pence)} a kWh" for part in parts)
    return "; ".join(
        f"{kwh(part.kwh)} at {pence(part.pence)} "
        f"{'in ' if part.hours.startswith('all') else 'from '}{part.hours}"
        for part in parts
    )


def _bought_at(state: YearState) -> str:
    return "" if state.result is None else _at(state.result.money.bought)


def _exported_at(state: YearState) -> str:
    return "" if state.result is None else _at(state.result.money.sold)


def _standing_at(state: YearState) -> str:
    standing = None if state.asked is None else state.asked.options.prices.standing_pence
    return "" if standing is None else f"{pence(standing)} a day"


def _which_is_more(state: YearState) -> str:
    cost = None if state.result is None else energy_cost(state.result.money)
    return "export brings more than is paid" if cost is not None and cost < 0 else ""


def _lost_at(state: YearState) -> str:
    if state.result is not None and state.result.export_limit_kw is None:
        return "export is not limited"
    parts = () if state.result is None else state.result.money.sold
    return _at(parts) if len(parts) < 2 else "at the prices of export"


_MONEY: tuple[
    tuple[str, str, Callable[[Money], float | None], Callable[[YearState], str]], ...
] = (
    (
        "What is bought costs",
        "at the prices entered, without the standing charge",
        lambda m: m.import_cost,
        _bought_at,
    ),
    ("What is exported brings", "at the prices entered", lambda m: m.export_value,
     _exported_at),
    (
        "What is lost behind the limit would have brought",
        "had it been exported, at the prices entered",
        lambda m: m.lost_value,
        _lost_at,
    ),
    ("Standing charge", "it is the same with every design", lambda m: m.standing_cost,
     _standing_at),
    (
        "Bought less exported",
        "with any standing charge; nothing of what the plant costs is in it",
        energy_cost,
        _which_is_more,
    ),
)  # fmt: skip
"""A question, its hint, the money [pounds], and the prices it uses."""


def arriving_group(facts: Sequence[DesignFacts | None]) -> ComparedGroup:
    """Return the share of energy that arrives on each route of a design, with range and source."""
    rows: list[ComparedRow] = []
    for name, (_, question) in _ROUTES.items():
        answers = tuple((_NOT_KNOWN,) if each is None else arriving(each, name) for each in facts)
        rows.append(ComparedRow(question, "", answers))
    return ComparedGroup("How much of the energy arrives", tuple(rows), SOURCE)


def arriving(facts: DesignFacts, name: RouteName) -> tuple[str, ...]:
    """Return the shares of one route in lines; "no such way" if the design has none."""
    found = ranges_of(facts, name)
    lines: list[str] = []
    for each in found:
        route = each.route
        which = "" if len(found) == 1 else f"{_INVERTERS[route.coupling]}: "
        lines.append(f"{which}{route.share:.1%} ({each.least:.1%} to {each.most:.1%})")
        cells = " and the cells" if "cells" in route.name else ""
        lines.append(f"{plural(route.steps, 'conversion')}{cells}: {route.workings}")
    return tuple(lines) or ("no such way",)


def ranges_of(facts: DesignFacts, name: RouteName) -> tuple[RouteRange, ...]:
    """Return the shares, with ranges, of the design's routes of this name."""
    wanted = _ROUTES[name][0]
    return tuple(
        each
        for route in facts.routes
        if route.name == name
        for each in routes_with_ranges("shared" if route.coupling == "dc" else "separate")
        if each.route.name == wanted
    )


_INVERTERS = {"separate": "inverter of its own", "shared": "hybrid inverter"}

SOURCE = (
    "At the rating. In brackets the range of measured devices, all conversions at their lowest and "
    "highest together. " + RANGES[0].source[0].upper() + RANGES[0].source[1:] + "."
)
"""The basis of the shares, with the source that `connections.energy` names."""
