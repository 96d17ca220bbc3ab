"""Read an uploaded CSV file of meter readings as use of the house."""

import datetime as dt
import re
from typing import Literal

from connections.energy.energy_errors import SeriesFileError
from connections.energy.files.series import (
    Clock,
    Reading,
    SeriesRow,
    Stamper,
    Stamps,
    Table,
    local_date,
    number_in,
    read_table,
    step_of,
    year_of,
)
from connections.energy.load import Load

Unit = Literal["kWh", "Wh", "kW", "W"]
"""Energy of each step, or mean power over it."""

LONGEST_GAP_HOURS = 24.0
"""A longer gap is refused. Our choice."""

MOST_KW = 1000.0
"""A higher use counts as a slip of unit. Our choice."""

_TIME = ("time", "timestamp", "datetime", "date and time")
_UNITS: dict[str, Unit] = {"kwh": "kWh", "wh": "Wh", "kw": "kW", "w": "W"}
_PERIODS = range(46, 51)
"""Half hours of a day in a file with a line for each day: 46 and 50 where clocks change."""


def read_meter(
    data: bytes, *, clock: Clock, stamps: Stamps = "begin", unit: Unit | None = None
) -> Load:
    """The use of a common year from a file with a line for each step, or for each day.

    With a line for each step, the file has a column time and one whose name ends with its unit
    (such as "use kWh"). With a line for each day, it has a column date and 48 columns of half
    hours. There may be 46 to 50 if they count the half hours of days on which clocks change. This
    form also needs `unit`. Raises SeriesFileError.
    """
    table = read_table(data)
    if any(name in _TIME for name in table.names):
        readings, of = _by_step(table, clock, unit)
        if stamps == "end":
            back = dt.timedelta(minutes=step_of(readings))
            readings = [Reading(each.starts - back, each.values, each.line) for each in readings]
    elif "date" in table.names:
        readings, of = _by_day(table, clock, unit)
    else:
        raise SeriesFileError(
            "There is neither a column time nor a column date.",
            f"Name one of them so; there are {', '.join(table.columns)[:200]}.",
            line=1,
        )
    step = step_of(readings)
    _plausible(readings, of, step)
    year = year_of(readings, "week", LONGEST_GAP_HOURS, clock)
    kw = year.columns[0] * _to_kw(of, step)
    by = "UTC" if clock == "utc" else "the clock on the wall in Great Britain"
    used = float(kw.sum()) * step / 60
    return Load(
        kw,
        step,
        (
            f"Use: an uploaded file of meter readings in steps of {step} minutes, {used:,.0f} kWh "
            f"a year, its times by {by} where they have no offset. If plant was already running "
            "behind that meter, the file shows what was bought, not what was used.",
            *year.told,
        ),
    )


def _by_step(table: Table, clock: Clock, unit: Unit | None) -> tuple[list[Reading], Unit]:
    at = next(n for n, name in enumerate(table.names) if name in _TIME)
    found = [
        (n, _UNITS[words[-1]])
        for n, name in enumerate(table.names)
        if n != at and (words := re.findall(r"[a-z]+", name)) and words[-1] in _UNITS
    ]
    if len(found) != 1:
        raise SeriesFileError(
            "There is no column with its unit." if not found else "Several columns have a unit.",
            "Keep one column of use, with a name that ends with kWh, Wh, kW or W; there are "
            f"{', '.join(table.columns)[:200]}.",
            line=1,
        )
    column, of = found[0]
    if unit is not None and unit != of:
        raise SeriesFileError(
            f"The column says {of}, and {unit} was chosen.", "Choose the unit of the file.",
            line=1, column=table.columns[column],
        )  # fmt: skip
    stamper = Stamper(clock)
    readings = []
    for row in table.rows:
        text = row.cells[at] if at < len(row.cells) else ""
        starts = stamper.utc(text, row, table.columns[at])
        readings.append(Reading(starts, (_use(table, row, column),), row.line))
    return readings, of


def _by_day(table: Table, clock: Clock, unit: Unit | None) -> tuple[list[Reading], Unit]:
    at = table.names.index("date")
    columns = [n for n in range(len(table.names)) if n != at]
    # Only columns of half hours; others, such as the meter's number, stand before the date.
    columns = [n for n in columns if n > at]
    if len(columns) not in _PERIODS:
        raise SeriesFileError(
            f"There are {len(columns)} columns after the date.",
            "A line for each day has 48 half hours after it (46 to 50 where they are counted).",
            line=1,
        )
    if unit is None:
        raise SeriesFileError(
            "The unit of the half hours is not said.", "Choose kWh (energy) or kW (power).", line=1
        )
    by_clock = all(re.fullmatch(r"\d{1,2}:\d{2}", table.names[n]) for n in columns)
    stamper = Stamper(clock)
    readings: list[Reading] = []
    for row in table.rows:
        text = row.cells[at] if at < len(row.cells) else ""
        day = local_date(text)
        if day is None:
            raise SeriesFileError(
                f"“{text[:40]}” is no date.", "Write 2025-06-21 or 21/06/2025.",
                line=row.line, column=table.columns[at],
            )  # fmt: skip
        midnight = stamper.utc(f"{day.isoformat()} 00:00", row, table.columns[at])
        for number, column in enumerate(columns):
            value = _use(table, row, column)
            if value is None:
                continue
            starts = midnight + dt.timedelta(minutes=30 * number)
            if by_clock and clock == "local":
                clocked = _half_hour_of(day, number)
                if clocked is None:
                    continue
                starts = clocked
            readings.append(Reading(starts, (value,), row.line))
    return readings, unit


def _half_hour_of(day: dt.date, number: int) -> dt.datetime | None:
    """Convert a local half hour to UTC; None in the hour that clocks leave out."""
    from connections.energy.steps.clock import local_minutes_ahead

    # Take it as UTC first; the offset is taken off below.
    wall = dt.datetime.combine(day, dt.time(), dt.UTC) + dt.timedelta(minutes=30 * number)
    for ahead in (60, 0):
        utc = wall - dt.timedelta(minutes=ahead)
        if local_minutes_ahead(utc) == ahead:
            return utc
    return None


def _use(table: Table, row: SeriesRow, column: int) -> float | None:
    value = number_in(table, row, column)
    if value is not None and value < 0:
        raise SeriesFileError(
            f"{value:g} is less than nothing.",
            "Give what is used or bought alone; export belongs to another column.",
            line=row.line,
            column=table.columns[column],
        )
    return value


def _to_kw(unit: Unit, step: int) -> float:
    """Factor from a value to mean power [kW]."""
    per_hour = 60 / step
    return {"kWh": per_hour, "Wh": per_hour / 1000, "kW": 1.0, "W": 0.001}[unit]


def _plausible(readings: list[Reading], unit: Unit, step: int) -> None:
    factor = _to_kw(unit, step)
    for reading in readings:
        value = reading.values[0]
        if value is not None and value * factor > MOST_KW:
            raise SeriesFileError(
                f"{value:g} {unit} in {step} minutes is {value * factor:,.0f} kW.",
                f"Check the unit; up to {MOST_KW:,.0f} kW is taken.",
                line=reading.line,
            )
