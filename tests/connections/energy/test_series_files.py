"""Uploaded series: what is read, what is filled, and each fault with its line, column and words."""

import datetime as dt
import functools
import re

import numpy as np
import pytest

from connections.energy.energy_errors import SeriesFileError
from connections.energy.files.irradiance import LEAST_LIGHT_KWH, MOST_LIGHT_KWH, read_irradiance
from connections.energy.files.meter import read_meter
from connections.energy.weather.pv import dc_w_per_kwp
from connections.energy.weather.regions import region, regions
from connections.energy.weather.sunshine import sun_of_weather
from connections.energy.weather.typical_year import typical_year
from connections.energy.year import energy_year

HALF_HOUR = dt.timedelta(minutes=30)


def stamps(begin, count, step=HALF_HOUR):
    return [begin + step * number for number in range(count)]


def utc(year, month, day, hour=0):
    return dt.datetime(year, month, day, hour, tzinfo=dt.UTC)


def meter(begin=None, count=17520, value=0.25, head="time,use kWh", step=HALF_HOUR):
    """Lines of a meter's file, each `value`, or what `value` makes of the time."""
    lines = [head]
    for at in stamps(begin if begin is not None else utc(2025, 1, 1), count, step):
        shown = value(at) if callable(value) else value
        lines.append(f"{at:%Y-%m-%d %H:%M},{shown}")
    return lines


def data(lines):
    return ("\n".join(lines) + "\n").encode()


@functools.cache
def common():
    return tuple(meter())


def altered(line, text):
    """The meter's file with another text in one line, lines counted from 1."""
    changed = list(common())
    changed[line - 1] = text
    return data(changed)


def test_a_meter_file_of_a_common_year():
    """0.25 kWh in each half hour are 0.5 kW and 4380 kWh."""
    load = read_meter(data(meter()), clock="utc")
    assert load.step_minutes == 30
    assert load.kwh == pytest.approx(4380)
    assert load.kw == pytest.approx(np.full(17520, 0.5))
    assert "by UTC" in load.told[0]


@pytest.mark.parametrize(
    ("head", "value", "kw"),
    [("time,use kWh", 0.25, 0.5), ("time,use_wh", 250, 0.5), ("timestamp,Power kW", 0.5, 0.5),
     ("time,W", 500, 0.5), ("\ufefftime,use kWh", 0.25, 0.5)],
)  # fmt: skip
def test_units_of_a_meter_file(head, value, kw):
    load = read_meter(data(meter(head=head, value=value)), clock="utc")
    assert load.kw[100] == pytest.approx(kw)


def test_stamps_at_the_end_of_each_step():
    """The first value then belongs to 00:00, though its stamp says 00:30."""
    lines = meter(begin=utc(2025, 1, 1) + HALF_HOUR, value=lambda at: at.hour)
    load = read_meter(data(lines), clock="utc", stamps="end")
    assert load.kw[1] == pytest.approx(2)
    assert load.kw[47] == pytest.approx(0)


def test_a_year_that_begins_in_summer_is_put_in_the_order_of_the_calendar():
    lines = meter(begin=utc(2024, 7, 1), value=lambda at: at.month)
    load = read_meter(data(lines), clock="utc")
    assert load.kw[0] == pytest.approx(2 * 1)
    assert load.kw[-1] == pytest.approx(2 * 12)
    assert any("begins on 01 July 2024" in sentence for sentence in load.told)


def test_29_february_is_left_out():
    lines = meter(begin=utc(2024, 1, 1), count=366 * 48, value=lambda at: at.month)
    load = read_meter(data(lines), clock="utc")
    assert load.kw[59 * 48] == pytest.approx(2 * 3)
    assert any("29 February was left out (48 steps)" in sentence for sentence in load.told)


def by_the_wall(begin, count, step=HALF_HOUR):
    from zoneinfo import ZoneInfo

    lines = ["time,use kWh"]
    for at in stamps(begin, count, step):
        wall = at.astimezone(ZoneInfo("Europe/London"))
        lines.append(f"{wall:%d/%m/%Y %H:%M},{at.hour + at.minute / 60}")
    return lines


def test_a_file_by_the_clock_on_the_wall_with_both_changes():
    """The spring day has 46 half hours and the autumn day 50, with an hour that comes twice."""
    load = read_meter(data(by_the_wall(utc(2025, 1, 1), 17520)), clock="local")
    hours = np.tile(np.arange(48) / 2, 365)
    assert load.kw == pytest.approx(2 * hours)
    assert len(load.told) == 1


def test_an_offset_counts_whatever_the_clock_is_said_to_be():
    lines = ["time,use kWh"]
    for at in stamps(utc(2025, 1, 1), 17520):
        east = at + dt.timedelta(hours=1)
        lines.append(f"{east:%Y-%m-%dT%H:%M:%S}+01:00,{at.hour}")
    load = read_meter(data(lines), clock="local")
    assert load.kw[2] == pytest.approx(2 * 1)


def by_day(columns, year=2025, days=365, value="0.25", head=None):
    lines = [head if head is not None else "meter,date," + ",".join(columns)]
    for number in range(days):
        day = dt.date(year, 1, 1) + dt.timedelta(days=number)
        lines.append(f"invented,{day:%d/%m/%Y}," + ",".join([value] * len(columns)))
    return lines


CLOCKED = [f"{n // 2:02d}:{n % 2 * 30:02d}" for n in range(48)]


def test_a_line_for_each_day():
    load = read_meter(data(by_day(CLOCKED)), clock="utc", unit="kWh")
    assert load.kwh == pytest.approx(4380)


def test_a_line_for_each_day_by_the_clock_on_the_wall():
    """Of the spring day an hour is left out; of the autumn day one is missing, and is filled."""
    load = read_meter(data(by_day(CLOCKED)), clock="local", unit="kW")
    assert load.kwh == pytest.approx(0.25 * 8760)
    assert any("2 missing steps (1 time) were filled" in sentence for sentence in load.told)


def test_a_line_for_each_day_with_counted_half_hours():
    """50 columns; only the day on which clocks go back fills them all, that in spring has 46."""
    columns = [f"p{n}" for n in range(1, 51)]
    lines = ["date," + ",".join(columns)]
    for number in range(365):
        day = dt.date(2025, 1, 1) + dt.timedelta(days=number)
        count = {dt.date(2025, 3, 30): 46, dt.date(2025, 10, 26): 50}.get(day, 48)
        lines.append(f"{day}," + ",".join(["0.25"] * count + [""] * (50 - count)))
    load = read_meter(data(lines), clock="local", unit="kWh")
    assert load.kwh == pytest.approx(4380)
    assert len(load.told) == 1


def test_small_gaps_are_filled_from_another_week_and_said():
    lines = meter(value=lambda at: at.hour)
    del lines[1000:1010]
    lines[2000] = lines[2000].split(",")[0] + ","
    load = read_meter(data(lines), clock="utc")
    assert load.kw == pytest.approx(np.tile(np.repeat(np.arange(24), 2), 365) * 2.0)
    assert any("11 missing steps (2 times) were filled from the same time" in t for t in load.told)


def test_a_semicolon_with_decimal_commas():
    lines = [line.replace(",", ";").replace("0.25", "0,25") for line in meter()]
    assert read_meter(data(lines), clock="utc").kwh == pytest.approx(4380)


LONG_GAP = common()[:1000] + common()[1060:]

# What is sent, line (0 for the whole file), column, and words of the message.
FAULTS = [
    (b"", 0, "", "It is empty. Upload a file with a head"),
    (b"PK\x03\x04 sheet", 0, "", "no text file. Save the sheet as CSV"),
    ("time,use kWh\n2025-01-01 00:00,½".encode("latin-1"), 2, "", "not UTF-8"),
    (b"x" * 7_000_000, 0, "", "7.0 MB; 6 MB are taken"),
    (b"a\n" * 41_000, 0, "", "41,000 lines, more than the 40,000 taken"),
    (b"1,2\n3,4\n", 1, "", "no names of columns"),
    (b"when,use kWh\n2025-01-01 00:00,1\n", 1, "", "neither a column time nor a column date"),
    (b"time,use\n2025-01-01 00:00,1\n", 1, "", "no column with its unit. Keep one column of use"),
    (b"time,use kWh,other kWh\n", 1, "", "Several columns have a unit"),
    (
        b'time,use kWh\n2025-01-01 00:00,"1\n',
        2,
        "",
        "not well-formed CSV from here on: a quotation",
    ),
    (b'time,use kWh\n2025-01-01 00:00,1\n"' + b"x" * 140_000, 3, "", "not well-formed CSV"),
    # Two names of columns and three cells: 0,210 is 0.210.
    (
        altered(5, "2025-01-01 01:30,0,210"),
        5,
        "",
        "It has 3 cells, and there are 2 names of columns. If its numbers have decimal commas, "
        "write them with a point",
    ),
    (
        altered(5, '2025-01-01 01:30,"0,210"'),
        5,
        "use kWh",
        "“0,210” is no number. Write it with a point: 0.210.",
    ),
    (
        b"time;use kWh\n2025-01-01 00:00;1;2\n",
        2,
        "",
        "3 cells, and there are 2 names of columns. Name",
    ),
    (
        data([common()[0], *reversed(common()[1:])]),
        0,
        "",
        "Its times go backwards from line to line.",
    ),
    (data([common()[0], *[common()[1]] * 9]), 0, "", "lines have the same time as the line before"),
    (altered(5, "2025-01-01 24:30,0.25"), 5, "time", "no time of day"),
    (altered(5, "9999-12-31 24:00,0.25"), 5, "time", "no time of day"),
    (b"time,use kWh\n2025-01-01 00:00,1\n", 0, "", "fewer than two values"),
    (data(meter(count=400, step=dt.timedelta(minutes=20))), 0, "", "20 minutes apart"),
    (altered(5, "yesterday,0.25"), 5, "time", "“yesterday” is no date and time. Write 2025-06-21"),
    (altered(5, "2025-13-01 00:00,0.25"), 5, "time", "is no date and time"),
    (altered(5, "2025-01-01 25:00,0.25"), 5, "time", "no time of day"),
    (altered(5, "2025-01-01 01:30 BST,0.25"), 5, "time", "something after the time"),
    (altered(5, "2025-01-01 01:31,0.25"), 5, "", "not on a full step of 30 minutes"),
    (altered(5, "2025-01-01 00:30,0.25"), 5, "", "not after that of the line before"),
    (altered(5, "2025-01-01 01:30,much"), 5, "use kWh", "“much” is no number"),
    (altered(5, "2025-01-01 01:30,1_0"), 5, "use kWh", "“1_0” is no number"),
    (altered(5, "2025-01-01 01:30,nan"), 5, "use kWh", "“nan” is no number"),
    (altered(5, "2025-01-01 01:30,-2"), 5, "use kWh", "less than nothing. Give what is used"),
    (
        altered(5, "2025-01-01 01:30,900"),
        5,
        "",
        "900 kWh in 30 minutes is 1,800 kW. Check the unit",
    ),
    (data(meter(count=14000)), 0, "", "3,520 of 17,520 steps of the year are missing (20%)"),
    (data(LONG_GAP), 1000, "", "30 hours in a row are missing after it; at most 24 are filled"),
    (data(meter(count=20000)), 20001, "", "It covers 416 days. Cut it to twelve months"),
    (data(by_day(CLOCKED[:20])), 1, "", "20 columns after the date. A line for each day has 48"),
    (data(by_day(CLOCKED)), 1, "", "unit of the half hours is not said. Choose kWh"),
]


@pytest.mark.parametrize(
    ("sent", "line", "column", "says"), FAULTS, ids=[fault[3][:40] for fault in FAULTS]
)
def test_a_meter_file_that_cannot_be_read(sent, line, column, says):
    with pytest.raises(SeriesFileError, match=re.escape(says)) as caught:
        read_meter(sent, clock="utc")
    assert (caught.value.line, caught.value.column) == (line, column)
    assert caught.value.mend
    if line:
        assert str(caught.value).startswith(f"Line {line}")


def test_empty_cells_behind_the_last_column_are_let_be():
    lines = [*meter()[:3], *(f"{line},," for line in meter()[3:])]
    assert read_meter(data(lines), clock="utc").kwh == pytest.approx(4380)


def test_a_day_that_ends_at_24_is_the_next_at_0():
    """Stamped with ends, the last step of a day says 24:00."""
    lines = meter(begin=utc(2025, 1, 1) + HALF_HOUR, value=lambda at: at.hour)
    ends = []
    for line in lines:
        stamp, comma, value = line.partition(",")
        if stamp.endswith(" 00:00"):
            day = dt.datetime.fromisoformat(stamp) - dt.timedelta(days=1)
            stamp = f"{day:%Y-%m-%d} 24:00"
        ends.append(stamp + comma + value)
    assert sum(" 24:00" in each for each in ends) == 365
    for clock in ("utc", "local"):
        if clock == "local":
            ends = [ends[0], *(f"{each.replace(',', 'Z,')}" for each in ends[1:])]
        load = read_meter(data(ends), clock=clock, stamps="end")
        assert load.kw == pytest.approx(read_meter(data(lines), clock="utc", stamps="end").kw)


def test_a_file_by_the_wall_that_is_read_as_utc_is_told_so():
    """Its hour that comes twice in autumn is no fault of the file."""
    with pytest.raises(SeriesFileError, match="comes twice in autumn, say that the file goes by"):
        read_meter(data(by_the_wall(utc(2025, 1, 1), 17520)), clock="utc")


def test_light_of_every_region_is_plausible():
    for each in regions():
        kwh = typical_year(each).ghi.sum() / 4000
        assert LEAST_LIGHT_KWH * 1.2 < kwh < MOST_LIGHT_KWH / 1.2


@pytest.mark.parametrize(
    ("factor", "says"),
    [
        (0.001, "1.1 kWh/m² of light on the level in a year; 500 to 1,500 can be here. These seem "
                "to be kW/m²: multiply them by 1,000."),
        # About 1,000 kWh/m2 a year: four tenths and 1.6 times of it lie outside.
        (0.4, "can be here. Check its unit: mean W/m² of each step."),
        (1.6, "can be here. Check its unit: mean W/m² of each step."),
    ],
)  # fmt: skip
def test_light_that_cannot_be_in_a_year_is_refused(factor, says):
    head, *lines = sunny(60)
    pairs = (line.split(",") for line in lines)
    scaled = [f"{at},{float(value) * factor:.4f}" for at, value in pairs]
    with pytest.raises(SeriesFileError, match=re.escape(says)):
        read_irradiance(data([head, *scaled]), HERE, clock="utc", stamps="begin")


def test_the_hour_that_clocks_leave_out():
    with pytest.raises(SeriesFileError, match="leave out in spring"):
        read_meter(data(common()), clock="local")


def test_a_unit_that_the_file_gainsays():
    with pytest.raises(SeriesFileError, match="The column says kWh, and kW was chosen"):
        read_meter(data(common()), clock="utc", unit="kW")


HERE = region(3)


@functools.cache
def sunny(step=60, columns="ghi", shift=0):
    """The typical year of the region as somebody would upload it."""
    weather = typical_year(HERE)
    per = step // 15
    names = {"ghi": weather.ghi, "dni": weather.dni, "dhi": weather.dhi,
             "temp_c": weather.temperature_c, "wind": weather.wind_m_s}  # fmt: skip
    chosen = columns.split(",")
    means = [names[name].reshape(-1, per).mean(axis=1) for name in chosen]
    lines = ["time," + columns]
    begin = utc(2025, 1, 1) + dt.timedelta(minutes=shift)
    for number, at in enumerate(stamps(begin, len(means[0]), dt.timedelta(minutes=step))):
        lines.append(
            f"{at:%Y-%m-%dT%H:%MZ}," + ",".join(f"{values[number]:.2f}" for values in means)
        )
    return tuple(lines)


@pytest.mark.parametrize("step", [30, 60])
@pytest.mark.parametrize("columns", ["ghi", "ghi,dni,dhi,temp_c,wind"])
def test_an_irradiance_file_gives_the_yield_of_its_year(step, columns):
    weather = read_irradiance(data(sunny(step, columns)), HERE, clock="utc", stamps="begin")
    assert weather.step_minutes == step
    true = dc_w_per_kwp(typical_year(HERE), 35, 180).sum() / 4
    made = dc_w_per_kwp(weather, 35, 180).sum() * step / 60
    assert made == pytest.approx(true, rel=0.03 if step == 60 else 0.02)
    told = " ".join(weather.told)
    assert ("after Erbs" in told) == (columns == "ghi")
    assert ("Air temperature is not in the file" in told) == (columns == "ghi")


def test_an_uploaded_year_runs_through(plants, use):
    weather = read_irradiance(data(sunny(60)), HERE, clock="utc", stamps="begin")
    year = energy_year(plants["shared"](), sun_of_weather(weather), use)
    assert year.finer.figures is None or year.finer.figures.dc == pytest.approx(year.figures.dc)
    assert "an uploaded file of irradiance" in year.method[0]


def test_stamps_at_the_end_are_moved_back():
    lines = sunny(60, shift=60)
    weather = read_irradiance(data(lines), HERE, clock="utc", stamps="end")
    assert weather.ghi[12] == pytest.approx(typical_year(HERE).ghi[48:52].mean(), abs=0.01)


def test_light_an_hour_late_is_told():
    weather = read_irradiance(data(sunny(60, shift=60)), HERE, clock="utc", stamps="begin")
    assert any("after the sun's noon" in sentence for sentence in weather.told)


def test_light_in_the_night_is_refused():
    with pytest.raises(SeriesFileError, match=r"comes while the sun is down in Southern England"):
        read_irradiance(data(sunny(60, shift=360)), HERE, clock="utc", stamps="begin")


def test_an_honest_file_has_no_word_on_noon():
    weather = read_irradiance(data(sunny(30)), HERE, clock="utc", stamps="begin")
    assert not any("noon" in sentence for sentence in weather.told)


@pytest.mark.parametrize(
    ("change", "line", "column", "says"),
    [
        (lambda rows: ["time,sun", *rows[1:]], 1, "", "There is no column ghi. Name one of them"),
        (lambda rows: ["when,ghi", *rows[1:]], 1, "", "There is no column time"),
        (lambda rows: ["time,ghi,dni", *rows[1:]], 1, "", "no column dhi. Give both dni and dhi"),
        (lambda rows: ["time,ghi,GHI_W_m2", *rows[1:]], 0, "GHI_W_m2", "Two columns could be ghi"),
        (lambda rows: [*rows[:9], rows[9].split(",")[0] + ",2500", *rows[10:]], 10, "ghi",
         "2500 W/m2 cannot be (-20 to 1600 can). Check the unit"),
        (lambda rows: [*rows[:9], rows[9].split(",")[0] + ",-50", *rows[10:]], 10, "ghi",
         "-50 W/m2 cannot be"),
        (lambda rows: rows[:400] + rows[405:], 400, "", "5 hours in a row are missing after it"),
        (lambda rows: [line.split(",")[0] + ",0" if n else line for n, line in enumerate(rows)],
         0, "ghi", "There is no light in it"),
    ],
)  # fmt: skip
def test_an_irradiance_file_that_cannot_be_read(change, line, column, says):
    with pytest.raises(SeriesFileError, match=re.escape(says)) as caught:
        read_irradiance(data(change(sunny())), HERE, clock="utc", stamps="begin")
    assert (caught.value.line, caught.value.column) == (line, column)


def test_a_head_of_many_columns_is_refused_before_it_is_taken_apart():
    head = "time,use kWh," + ",".join(f"c{n}" for n in range(500_000))
    with pytest.raises(SeriesFileError, match="more than 200 columns"):
        read_meter(f"{head}\n2025-01-01 00:00,1\n".encode(), clock="utc")
