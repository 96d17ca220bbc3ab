"""Place the plots of electrical checks, for the printed pack and for pages."""

from itertools import pairwise
from math import isfinite

from connections.pack.content import Plotted
from connections.plots import chart
from connections.plots.chart import Bars, Line, Plot, bar_plot, line_plot
from connections.rules.checks.basis.types import Check, Level, PlotData, Point, Series, amount
from connections.rules.checks.plot_words import plot_title, plot_words

_ROOM = 21
"""Most letters of a line's name beside it; the description has the whole name."""
_WHOLE = 1000
"""A pack holds figures in thousandths."""
_AXES = {"V": "volts", "A": "amps"}
"""Words for the axes: a single letter printed sideways can't be read."""
_APART = 0.3
"""Least distance between places named on the axis, as a share of the run."""


def plot_of(check: Check) -> Plot | None:
    """The plot of a check, ready for `plots/plot.svg`; None where there is nothing to draw.

    Its `description` is the text alternative and tells every figure.
    """
    if check.plot is None:
        return None
    return drawn(plot_title(check, check.plot), plot_words(check.plot), check.plot)


def plot_of_block(block: Plotted) -> Plot | None:
    """The plot that a pack holds, with its frozen words."""
    data = PlotData(
        block.plot,
        block.x_unit,
        block.y_unit,
        tuple(
            Series(
                one.name,
                tuple(Point(p.label, p.x / _WHOLE, p.y / _WHOLE) for p in one.points),
            )
            for one in block.series
        ),
        tuple(Level(level.name, level.value / _WHOLE) for level in block.levels),
    )
    return drawn(block.title, block.told, data)


def drawn(title: str, description: str, data: PlotData) -> Plot | None:
    """Draw lines along a run, or bars by phase, with their limits marked across.

    None where there is nothing to draw, or a figure is not finite.
    """
    figures = [n for one in data.series for point in one.points for n in (point.x, point.y)]
    if not all(map(isfinite, (*figures, *(level.value for level in data.levels)))):
        return None
    levels = [
        chart.Level(f"{level.name}, {amount(level.value, data.y_unit)}", level.value)
        for level in data.levels
    ]
    try:
        if data.kind == "along":
            return line_plot(
                title,
                [
                    Line(_short(one.name), tuple((point.x, point.y) for point in one.points))
                    for one in data.series
                ],
                x_label=f"{data.x_unit} along the run",
                y_label=_AXES.get(data.y_unit, data.y_unit),
                description=description,
                levels=levels,
                x_words=_places(data),
            )
        groups = list(dict.fromkeys(p.label for one in data.series for p in one.points))
        values = [{point.label: point.y for point in one.points} for one in data.series]
        return bar_plot(
            title,
            groups,
            [
                Bars(one.name, tuple(at.get(group) for group in groups))
                for one, at in zip(data.series, values, strict=True)
            ],
            y_label=_AXES.get(data.y_unit, data.y_unit),
            description=description,
            levels=levels,
        )
    except ValueError:
        return None


def _places(data: PlotData) -> list[tuple[float, str]]:
    """Names of places for the run's axis; empty where two stand too close."""
    found = {
        point.x: f"{_short(point.label)}, {amount(point.x, data.x_unit)}"
        for one in data.series
        for point in one.points
    }
    at = sorted(found)
    if len(at) < 2:
        return []
    least = _APART * (at[-1] - at[0])
    if any(after - before < least for before, after in pairwise(at)):
        return []
    return [(x, found[x]) for x in at]


def _short(name: str) -> str:
    return name if len(name) <= _ROOM else f"{name[: _ROOM - 1]}…"
