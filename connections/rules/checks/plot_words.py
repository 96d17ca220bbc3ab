"""Plots of checks in words: for people who do not see them, and for the printed pack."""

from connections.rules.checks.basis.types import Check, PlotData, Series, amount

_HEADROOM = "headroom"


def plot_title(check: Check, data: PlotData) -> str:
    """The title of a plot: its quantity and its subject."""
    if data.kind == "along":
        return f"Voltage along the run to {check.subject}"
    names = [series.name for series in data.series]
    if _HEADROOM in names:
        return "Demand and headroom, by phase"
    words = " and ".join(names)
    return f"{words[:1].upper()}{words[1:]}, by phase"


def plot_words(data: PlotData) -> str:
    """Every figure of a plot in sentences: the lines or bars, then the limits."""
    said = [_along(one, data) if data.kind == "along" else _bars(one, data) for one in data.series]
    if data.levels:
        levels = "; ".join(
            f"{level.name} {amount(level.value, data.y_unit)}" for level in data.levels
        )
        said.append(f"Marked across: {levels}.")
    return " ".join(said)


def _along(series: Series, data: PlotData) -> str:
    places = ", then ".join(
        f"{amount(point.y, data.y_unit)} at {point.label} ({amount(point.x, data.x_unit)})"
        for point in series.points
    )
    return f"{series.name}: {places}."


def _bars(series: Series, data: PlotData) -> str:
    bars = ", ".join(f"{point.label} {amount(point.y, data.y_unit)}" for point in series.points)
    return f"{series.name[:1].upper()}{series.name[1:]}: {bars}."
