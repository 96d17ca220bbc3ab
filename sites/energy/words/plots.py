"""Plots of a design's energy year: a summer day, a winter day, and the year by month."""

from collections.abc import Sequence

from connections.energy.result import Day, EnergyYear, Month
from connections.plots.chart import (
    SMALL,
    Bars,
    Level,
    Line,
    Plot,
    bar_plot,
    line_plot,
)
from sites.energy.words.amounts import LEAST_KWH, kwh

_CLOCK = ((0, "00:00"), (6, "06:00"), (12, "12:00"), (18, "18:00"), (24, "24:00"))


def plots_of(year: EnergyYear) -> tuple[Plot, ...]:
    """Return small plots with text alternatives that give their figures.

    Leaves out plots that would be empty.
    """
    return (
        *(
            _day(title, day, year)
            for title, day in (("A summer day", year.summer), ("A winter day", year.winter))
            if _highest(day) > 0
        ),
        *([_months(year)] if any(map(_in_bars, year.months)) else []),
    )


def _highest(day: Day) -> float:
    return max((*day.sun_kw, *day.used_kw, *day.exported_kw, *day.imported_kw))


def _in_bars(month: Month) -> bool:
    """Whether a month has energy for the bars, at the same threshold as the words."""
    return month.on_site + month.exported + month.clipped + month.lost >= LEAST_KWH


def _day(title: str, day: Day, year: EnergyYear) -> Plot:
    limit = year.export_limit_kw
    highest = _highest(day)
    # A limit far above all flows would flatten the curves.
    drawn = limit is not None and limit <= 2 * highest
    lines = (
        Line("sun", _points(day.hours, day.sun_kw)),
        Line("use", _points(day.hours, day.used_kw)),
        Line("sent out", _points(day.hours, day.exported_kw)),
        Line("bought", _points(day.hours, day.imported_kw)),
    )
    return line_plot(
        f"{title}: {day.name}",
        lines,
        x_label="",
        y_label="kW",
        description=_day_in_words(title, day, year),
        levels=(Level(f"limit {limit:g} kW", limit),) if limit is not None and drawn else (),
        x_words=_CLOCK,
        from_zero=True,
        sheet=SMALL,
    )


def _points(hours: Sequence[float], kw: Sequence[float]) -> tuple[tuple[float, float], ...]:
    return tuple(zip(hours, kw, strict=True))


def _day_in_words(title: str, day: Day, year: EnergyYear) -> str:
    hours = 24 / len(day.hours)
    peak = max(range(len(day.sun_kw)), key=lambda n: day.sun_kw[n])
    sun = "The sun gives nothing."
    if day.sun_kw[peak] > 0:
        minutes = round(day.hours[peak] * 60)
        sun = (
            f"The sun would give {kwh(sum(day.sun_kw) * hours)}, at most {day.sun_kw[peak]:.1f} kW "
            f"about {minutes // 60:02d}:{minutes % 60:02d}."
        )
    cells = ""
    if max(day.cells_kwh) > 0:
        cells = f" The cells hold {min(day.cells_kwh):.1f} to {max(day.cells_kwh):.1f} kWh."
    held = ""
    lost, clipped = sum(day.lost_kw) * hours, sum(day.clipped_kw) * hours
    if year.export_limit_kw is not None:
        held = f" Lost behind the limit of {year.export_limit_kw:g} kW: {kwh(lost)}."
    return (
        f"{title}, {day.name}, {day.why}, by the clock on the wall. {sun} The house uses "
        f"{kwh(sum(day.used_kw) * hours)}. Exported: {kwh(sum(day.exported_kw) * hours)}, at most "
        f"{max(day.exported_kw):.1f} kW. Bought: {kwh(sum(day.imported_kw) * hours)}. Clipped at "
        f"the inverter: {kwh(clipped)}.{held}{cells}"
    )


def _months(year: EnergyYear) -> Plot:
    months = year.months
    series = [
        Bars("used on site", tuple(each.on_site for each in months)),
        Bars("sent out", tuple(each.exported for each in months)),
        Bars("not made", tuple(each.clipped + each.lost for each in months)),
    ]
    told = "; ".join(
        f"{each.name} {each.on_site:,.0f}, {each.exported:,.0f}, {each.clipped + each.lost:,.0f}"
        for each in months
    )
    return bar_plot(
        "The year by month",
        [each.name[0] for each in months],
        series,
        y_label="kWh",
        description=(
            "The year by month in kWh: used on site, exported, clipped or lost behind the limit. "
            f"{told}."
        ),
        stacked=True,
        sheet=SMALL,
    )
