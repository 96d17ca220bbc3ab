"""Read uploaded CSV files of values over time strictly: a year of them, or a fault in words."""

import csv
import datetime as dt
import itertools
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from connections.energy.energy_errors import SeriesFileError
from connections.energy.steps.clock import DAYS, STEPS_MINUTES, local_minutes_ahead

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]

Clock = Literal["utc", "local"]
"""Clock of stamps without an offset: UTC, or local time in Great Britain."""

Stamps = Literal["begin", "end"]
"""Whether a stamp marks the begin or the end of its step."""

LARGEST_BYTES = 6_000_000
MOST_LINES = 40_000
"""A year of quarter hours has 35,136 lines; both caps are our choice."""

MOST_COLUMNS = 200
"""Most columns of a file of readings; our choice."""

MOST_MISSING = 0.05
"""Largest missing share of a year; more is refused. Our choice."""

_POINT = (
    "If its numbers have decimal commas, write them with a point (0.21), or save the file with "
    "semicolons between the cells."
)

_COMMA = re.compile(r"[+-]?\d+,\d+")
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})|(\d{1,2})/(\d{1,2})/(\d{4})")
_CLOCK = re.compile(r"[T ]+(\d{1,2}):(\d{2})(?::(\d{2})(?:\.0+)?)?")
_OFFSET = re.compile(r"Z|([+-])(\d{2}):?(\d{2})")


@dataclass(frozen=True)
class SeriesRow:
    """A line of the file: its number from 1, and its cells by column."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A parsed file: names of columns as written and in small letters, rows, its separator."""

    columns: tuple[str, ...]
    names: tuple[str, ...]
    rows: tuple[SeriesRow, ...]
    separator: str


@dataclass(frozen=True)
class Reading:
    """Values of one step with its start in UTC; None for an empty cell."""

    starts: dt.datetime
    values: tuple[float | None, ...]
    line: int


def read_table(data: bytes) -> Table:
    """Parse a CSV file. Raises SeriesFileError for a file that is none, or is too large."""
    if len(data) > LARGEST_BYTES:
        raise SeriesFileError(
            f"It has {len(data) / 1e6:.1f} MB; {LARGEST_BYTES // 1_000_000} MB are taken.",
            "Cut it to twelve months and to the columns that are needed.",
        )
    if data[:2] == b"PK" or b"\0" in data[:4000]:
        raise SeriesFileError("It is no text file.", "Save the sheet as CSV (comma separated).")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise SeriesFileError(
            "There is a character that is not UTF-8.", "Save it as CSV in UTF-8.", line=line
        ) from None
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        raise SeriesFileError(
            f"It has {len(lines):,} lines, more than the {MOST_LINES:,} taken.",
            "Cut it to twelve months, in steps of 15, 30 or 60 minutes.",
        )
    head = next((n for n, line in enumerate(lines) if line.strip()), None)
    if head is None:
        raise SeriesFileError("It is empty.", "Upload a file with a head and a line for each step.")
    separator = max(",;\t", key=lambda each: lines[head].count(each))
    if lines[head].count(separator) >= MOST_COLUMNS:
        raise SeriesFileError(
            f"It has more than {MOST_COLUMNS} columns.",
            "Cut it to the columns that are needed.",
            line=head + 1,
        )
    rows = _rows(lines, head, separator)
    columns = rows[0].cells
    if not any(re.search("[A-Za-z]", cell) for cell in columns):
        raise SeriesFileError(
            "The first line has no names of columns.", "Put a head above the values.", line=head + 1
        )
    for row in rows[1:]:
        if any(row.cells[len(columns) :]):
            raise SeriesFileError(
                f"It has {len(row.cells)} cells, and there are {len(columns)} names of columns.",
                _POINT if separator == "," else "Name each column in the first line.",
                line=row.line,
            )
    return Table(columns, tuple(name.lower() for name in columns), tuple(rows[1:]), separator)


def _rows(lines: list[str], head: int, separator: str) -> list[SeriesRow]:
    """Parse the lines from the head on that are not empty."""
    rows = []
    reader = csv.reader(lines[head:], delimiter=separator, strict=True)
    try:
        for number, cells in enumerate(reader, start=head + 1):
            if any(cell.strip() for cell in cells):
                rows.append(SeriesRow(number, tuple(cell.strip() for cell in cells)))
    except csv.Error:
        # Report the likely cause: an unclosed quotation mark joins the lines that follow.
        raise SeriesFileError(
            "It is not well-formed CSV from here on: a quotation mark stands alone.",
            "Close it or take it out, or save the file anew.",
            line=min(head + len(rows) + 1, len(lines)),
        ) from None
    return rows


def number_in(table: Table, row: SeriesRow, column: int) -> float | None:
    """The number in a cell, None where it is empty. Raises SeriesFileError for anything else."""
    text = row.cells[column] if column < len(row.cells) else ""
    if not text:
        return None
    plain = text
    if "," in plain and table.separator != "," and "." not in plain:
        plain = plain.replace(",", ".")
    try:
        value = math.nan if "_" in plain else float(plain)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise SeriesFileError(
            f"“{text[:40]}” is no number.",
            f"Write it with a point: {text.replace(',', '.')}."
            if _COMMA.fullmatch(text)
            else "Put a number there, or leave the cell empty.",
            line=row.line,
            column=table.columns[column],
        )
    return value


def local_date(text: str) -> dt.date | None:
    """A date written as year-month-day or day/month/year, None where it is neither."""
    found = _DATE.fullmatch(text)
    if found is None:
        return None
    parts = (found[1], found[2], found[3]) if found[1] else (found[6], found[5], found[4])
    try:
        return dt.date(*(int(part) for part in parts))
    except ValueError:
        return None


class Stamper:
    """Converts the stamps of a file, in their order, to starts of steps in UTC.

    In autumn one local hour comes twice; the second time a stamp of that hour comes, it counts as
    the later one. Stamps in the hour that spring leaves out are refused.
    """

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._last: dt.datetime | None = None

    def utc(self, text: str, row: SeriesRow, column: str) -> dt.datetime:
        """Convert a stamp to UTC. Raises SeriesFileError for a text that is no time."""
        date, time = _DATE.match(text), None
        if date is not None:
            time = _CLOCK.match(text, date.end())
        day = local_date(date[0]) if date is not None else None
        if day is None or time is None:
            raise SeriesFileError(
                f"“{text[:40]}” is no date and time.",
                "Write 2025-06-21 13:30, 21/06/2025 13:30, or with an offset 2025-06-21T13:30Z.",
                line=row.line,
                column=column,
            )
        try:
            hour, minute, second = int(time[1]), int(time[2]), int(time[3] or 0)
            if (hour, minute, second) == (24, 0, 0):
                # The end of a day, in files stamped with the ends of steps.
                day, hour = day + dt.timedelta(days=1), 0
            # Take it as UTC first; the offset is taken off below.
            stamp = dt.datetime.combine(day, dt.time(hour, minute, second), dt.UTC)
        except (ValueError, OverflowError):
            raise SeriesFileError(
                f"“{text[:40]}” is no time of day.", "Write 00:00 to 23:59, or 24:00.",
                line=row.line, column=column,
            ) from None  # fmt: skip
        rest = text[time.end() :].strip()
        offset = _OFFSET.fullmatch(rest)
        if rest and offset is None:
            raise SeriesFileError(
                f"“{text[:40]}” has something after the time.", "Write an offset such as Z there.",
                line=row.line, column=column,
            )  # fmt: skip
        if offset is not None:
            if offset[1]:
                ahead = dt.timedelta(hours=int(offset[2]), minutes=int(offset[3]))
                stamp = stamp - ahead if offset[1] == "+" else stamp + ahead
        elif self._clock == "local":
            stamp = self._from_wall(stamp, text, row, column)
        self._last = stamp
        return stamp

    def _from_wall(self, wall: dt.datetime, text: str, row: SeriesRow, column: str) -> dt.datetime:
        summer, winter = wall - dt.timedelta(hours=1), wall
        fits = [
            each
            for each, ahead in ((summer, 60), (winter, 0))
            if local_minutes_ahead(each) == ahead
        ]
        if not fits:
            raise SeriesFileError(
                f"“{text[:40]}” is in the hour that clocks leave out in spring.",
                "Say that the file goes by UTC, or take the line out.",
                line=row.line,
                column=column,
            )
        if len(fits) == 2 and self._last is not None and fits[0] <= self._last:
            return fits[1]
        return fits[0]


def step_of(readings: list[Reading]) -> int:
    """The step of a file [minutes]: the commonest distance from one line to the next."""
    ways: dict[int, int] = {}
    for one, next_one in itertools.pairwise(readings):
        minutes = round((next_one.starts - one.starts).total_seconds() / 60)
        ways[minutes] = ways.get(minutes, 0) + 1
    step = max(ways, key=lambda each: ways[each], default=0)
    if step in STEPS_MINUTES:
        return step
    if not ways:
        fault = "It has fewer than two values."
    elif step > 0:
        fault = f"Its lines are {step} minutes apart."
    elif step < 0:
        fault = "Its times go backwards from line to line."
    else:
        fault = "Most of its lines have the same time as the line before."
    raise SeriesFileError(fault, "Give a year in steps of 15, 30 or 60 minutes, oldest first.")


_OTHER_CLOCK: dict[Clock, str] = {
    "local": "say UTC if the file has no summer time.",
    "utc": "if an hour comes twice in autumn, say that the file goes by the clock on the wall.",
}
"""Advice on times that are not in order, by the clock that read them."""


@dataclass(frozen=True, eq=False)
class YearOfValues:
    """Values of a common year in UTC, one array for each column, and sentences on what was done."""

    step_minutes: int
    columns: tuple["Series", ...]
    told: tuple[str, ...]


def year_of(
    readings: list[Reading],
    fill: Literal["between", "week"],
    longest_gap_hours: float,
    clock: Clock,
) -> YearOfValues:
    """Put readings into a common year by their month, day and time in UTC, and fill small gaps.

    29 February is left out. `fill` takes the values on both sides, or the same time a week before
    or after. `clock` is the clock that read the file, for the words of faults. Raises
    SeriesFileError for readings that are no year, are out of order, or lack too much.
    """
    import numpy as np

    step = step_of(readings)
    per_day = 1440 // step
    size = 365 * per_day
    width = len(readings[0].values)
    values = np.full((width, size), np.nan)
    line_at = np.zeros(size, dtype=int)
    left_out = doubled = 0
    before: Reading | None = None
    span = readings[-1].starts - readings[0].starts
    if span > dt.timedelta(days=367):
        raise SeriesFileError(
            f"It covers {span.days} days.", "Cut it to twelve months.", line=readings[-1].line
        )
    for reading in readings:
        starts = reading.starts
        if before is not None and starts <= before.starts:
            raise SeriesFileError(
                f"Its time ({starts:%Y-%m-%d %H:%M} UTC) is not after that of the line before.",
                f"Put the lines in order, oldest first, each time once; {_OTHER_CLOCK[clock]}",
                line=reading.line,
            )
        before = reading
        minute = starts.hour * 60 + starts.minute
        if minute % step or starts.second:
            raise SeriesFileError(
                f"Its time ({starts:%H:%M:%S} UTC) is not on a full step of {step} minutes.",
                "Round the times to the steps.",
                line=reading.line,
            )
        if (starts.month, starts.day) == (2, 29):
            left_out += 1
            continue
        day = sum(DAYS[: starts.month - 1]) + starts.day - 1
        place = day * per_day + minute // step
        if line_at[place]:
            doubled += 1
            continue
        line_at[place] = reading.line
        values[:, place] = [np.nan if each is None else each for each in reading.values]
    told = []
    if left_out:
        told.append(f"29 February was left out ({left_out} steps).")
    if doubled:
        told.append(
            f"{doubled} steps at the end have the date and time of others and were left out."
        )
    if readings[0].starts.timetuple()[1:3] != (1, 1):
        told.append(
            f"The file begins on {readings[0].starts:%d %B %Y}; its months were put in the order "
            "of the calendar."
        )
    told += _fill(values, line_at, step, fill, longest_gap_hours)
    return YearOfValues(step, tuple(values), tuple(told))


def _fill(
    values: "Series", line_at: "npt.NDArray[np.int_]", step: int, fill: str, longest_hours: float
) -> list[str]:
    """Fill missing values in place, and describe it."""
    import numpy as np

    missing: npt.NDArray[np.bool_] = np.any(np.isnan(values), axis=0)
    count = int(missing.sum())
    if not count:
        return []
    size = len(missing)
    if count > MOST_MISSING * size:
        raise SeriesFileError(
            f"{count:,} of {size:,} steps of the year are missing ({count / size:.0%}).",
            f"Upload twelve months with at most {MOST_MISSING:.0%} missing.",
        )
    runs = list(_runs(missing))
    longest, begin = max((length, begin) for begin, length in runs)
    if longest * step > longest_hours * 60:
        line = int(line_at[begin - 1])
        raise SeriesFileError(
            f"{longest * step / 60:g} hours in a row are missing after it; at most "
            f"{longest_hours:g} are filled.",
            "Upload a file without that gap.",
            line=line,
        )
    known = np.flatnonzero(~missing)
    gaps = np.flatnonzero(missing)
    week = 7 * 1440 // step
    for series in values:
        if fill == "between":
            series[gaps] = np.interp(gaps, known, series[known], period=size)
            continue
        source = series.copy()
        for gap in gaps:
            for places in (1, -1, 2, -2):
                other = source[(gap - places * week) % size]
                if not np.isnan(other):
                    series[gap] = other
                    break
            else:
                raise SeriesFileError(
                    "A gap comes back at the same time of several weeks.",
                    "Upload a file without it.",
                    line=int(line_at[gap - 1]),
                )
    how = (
        "from the values beside them" if fill == "between" else "from the same time of another week"
    )
    times = "time" if len(runs) == 1 else "times"
    return [f"{count} missing steps ({len(runs)} {times}) were filled {how}."]


def _runs(missing: "npt.NDArray[np.bool_]") -> Iterable[tuple[int, int]]:
    """Begin and length of each gap; the year is a ring."""
    import numpy as np

    size = len(missing)
    begins = np.flatnonzero(missing & ~np.roll(missing, 1))
    for begin in begins.tolist():
        length = 1
        while missing[(begin + length) % size]:
            length += 1
        yield begin, length
