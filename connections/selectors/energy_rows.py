"""The energy of a year and what conversions let through, as rows in which designs are compared."""

from collections.abc import Callable, Sequence

from connections.energy.efficiencies import RANGES, RouteRange, routes_with_ranges
from connections.energy.result import EnergyYear, Figures
from connections.remedies.designs import DesignFacts, RouteName
from connections.rules.figures import plural
from connections.selectors.compared_rows import Group, Row
from connections.selectors.energy_years import YearState

_NOT_KNOWN = "not known"
_LEAST_KWH = 0.05
_EXACT_BELOW_KWH = 10

_ROUTES: dict[RouteName, tuple[str, str]] = {
    "sun-to-house": ("sun to house", "From sun to house"),
    "sun-to-cells-to-house": ("sun to cells to house", "From sun to cells to house"),
    "grid-to-cells-to-house": ("network to cells to house", "From network to cells to house"),
}
"""The name of a route in the energy room, and its row."""


def kwh(amount: float) -> str:
    """An amount of a year in words: whole, or to a tenth where it is small."""
    if amount < _LEAST_KWH:
        return "none"
    return f"{amount:.1f} kWh" if amount < _EXACT_BELOW_KWH else f"{amount:,.0f} kWh"


def between(year: EnergyYear, of: Callable[[Figures], float]) -> str:
    """The low and the high case of a figure in words, empty where there are none."""
    if year.low is None or year.high is None:
        return ""
    low, high = kwh(of(year.low.figures)), kwh(of(year.high.figures))
    return "" if low == high == "none" else f"low case {low}, high case {high}"


def energy_group(years: Sequence[YearState]) -> Group:
    """The year of each design: how it stands, and its figures where it is worked out."""
    rows = [Row("Energy year", "", tuple(each.says for each in years))]
    if any(each.result is not None for each in years):
        rows += [
            Row(question, hint, tuple(_answer(each, tell) for each in years))
            for question, hint, tell in _FIGURES
        ]
    return Group("Energy in a year", tuple(rows), rests_on(years))


def rests_on(years: Sequence[YearState]) -> str:
    """What the years that are worked out rest on, in short; empty where there is none."""
    one = next((each for each in years if each.result is not None), None)
    if one is None or one.asked is None or one.result is None:
        return ""
    asked = one.asked
    measured = ""
    if asked.measured_kwh is not None:
        measured = f" A measured yield of {asked.measured_kwh:,} kWh sets how much it is."
    return (
        f"Sun: a typical year of the region {asked.region.name}, made from published monthly means "
        f"(Standard Assessment Procedure, Appendix U).{measured} Use: {asked.yearly_use_kwh:,} kWh "
        f"a year in a published standard shape of households. Steps of {one.result.step_minutes} "
        "minutes."
    )


def _answer(state: YearState, tell: Callable[[EnergyYear], tuple[str, ...]]) -> tuple[str, ...]:
    if state.result is None:
        return (_NOT_KNOWN,)
    return tuple(line for line in tell(state.result) if line)


def _made(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.made), between(year, lambda f: f.made)


def _on_site(year: EnergyYear) -> tuple[str, ...]:
    figures = year.figures
    later = ""
    if figures.from_cells >= _LEAST_KWH:
        later = f"{kwh(figures.direct)} of it at once, {kwh(figures.from_cells)} from the cells"
    return kwh(figures.on_site), later, between(year, lambda f: f.on_site)


def _exported(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.exported), between(year, lambda f: f.exported)


def _clipped(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.clipped), between(year, lambda f: f.clipped)


def _lost(year: EnergyYear) -> tuple[str, ...]:
    if year.export_limit_kw is None:
        return ("none: export is not limited",)
    figures = year.figures
    part = ""
    if figures.lost >= _LEAST_KWH:
        part = (
            f"{figures.lost_percent:.1f} % of what could be made, in "
            f"{figures.hours_limited:,.0f} hours, at a limit of {year.export_limit_kw:g} kW"
        )
    return kwh(figures.lost), part, between(year, lambda f: f.lost)


def _imported(year: EnergyYear) -> tuple[str, ...]:
    return kwh(year.figures.imported), between(year, lambda f: f.imported)


_FIGURES: tuple[tuple[str, str, Callable[[EnergyYear], tuple[str, ...]]], ...] = (
    ("Made", "at AC, less what is clipped or held back", _made),
    ("Used on site", "by the house, from sun and cells", _on_site),
    ("Exported", "", _exported),
    ("Clipped at the inverter", "more sun than the inverter’s rating lets through", _clipped),
    ("Lost behind the export limit", "neither used, stored nor let out", _lost),
    ("Bought from the network", "", _imported),
)


def arriving_group(facts: Sequence[DesignFacts | None]) -> Group:
    """How much of the energy arrives on each way of a design, with ranges and their source."""
    rows: list[Row] = []
    for name, (_, question) in _ROUTES.items():
        answers = tuple((_NOT_KNOWN,) if each is None else arriving(each, name) for each in facts)
        rows.append(Row(question, "", answers))
    return Group("How much of the energy arrives", tuple(rows), SOURCE)


def arriving(facts: DesignFacts, name: RouteName) -> tuple[str, ...]:
    """What one way of a design lets through, in lines; "no such way" where it has none."""
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
    """What each way of this name lets through in a design."""
    wanted = _ROUTES[name][0]
    return tuple(
        each
        for route in facts.routes
        if route.name == name
        for each in routes_with_ranges("shared" if route.coupling == "dc" else "separate")
        if each.route.name == wanted
    )


_INVERTERS = {"separate": "inverter of its own", "shared": "shared inverter"}

SOURCE = (
    "At the rating. In brackets the range of measured devices, all conversions at their lowest and "
    "highest together. " + RANGES[0].source[0].upper() + RANGES[0].source[1:] + "."
)
"""What the shares rest on, as the energy room names it."""
