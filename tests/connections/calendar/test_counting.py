"""Counting working days, and the last day of a period: by hand, and properties of any day."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.calendar.bank_holidays import NATIONS
from connections.calendar.calendar_error import CalendarError
from connections.calendar.deadlines import last_day, months_after
from connections.calendar.working_days import (
    is_working_day,
    working_days_after,
    working_days_before,
)
from connections.facts.decision import Period

DAYS = st.dates(dt.date(2005, 1, 1), dt.date(2090, 12, 31))
NUMBERS = st.integers(1, 90)


def between(first, last, nation):
    """How many working days come after `first` up to and with `last`, counted one by one."""
    days = (first + dt.timedelta(days=n) for n in range(1, (last - first).days + 1))
    return sum(is_working_day(each, nation) for each in days)


def day(text):
    return dt.date.fromisoformat(text)


@pytest.mark.parametrize(
    ("start", "number", "nation", "expected"),
    [
        # Tuesday 24 November 2026: Wed 25 is day 1, Tue 1 December day 5, Tue 8 December day 10.
        ("2026-11-24", 10, "england", "2026-12-08"),
        # Scotland has St Andrew's Day between, Mon 30 November: one day later.
        ("2026-11-24", 10, "scotland", "2026-12-09"),
        # A Saturday: Monday is day 1.
        ("2026-11-28", 1, "england", "2026-11-30"),
        ("2026-11-28", 1, "scotland", "2026-12-01"),
        # Over Christmas 2026 from Wed 23: Thu 24 is 1; Fri 25, Mon 28 are off; Tue 29 is 2,
        # Wed 30 is 3, Thu 31 is 4; Fri 1 January is off; Mon 4 is 5. In Scotland 2 January
        # 2027 is a Saturday, so Mon 4 is off and Tue 5 is the fifth.
        ("2026-12-23", 5, "england", "2027-01-04"),
        ("2026-12-23", 5, "scotland", "2027-01-05"),
        # Ireland has no substitute day for Saturday 26: Mon 28 is 2, Tue 29 is 3, Wed 30 is 4.
        ("2026-12-23", 5, "ireland", "2026-12-31"),
    ],
)
def test_after(start, number, nation, expected):
    assert working_days_after(day(start), number, nation) == day(expected)
    assert between(day(start), day(expected), nation) == number


def test_before():
    # Back from Tuesday 29 December 2026: Thu 24 is the first (28, 27, 26, 25 are off), Wed 23.
    assert working_days_before(day("2026-12-29"), 2, "england") == day("2026-12-23")


@pytest.mark.parametrize(
    ("period", "event", "nation", "expected"),
    [
        # 12 February 2027 + 28 days: February 2027 has 28, so 12 March.
        (Period(28, "days", "commissioning"), "2027-02-12", "england", "2027-03-12"),
        # Days are counted through weekends and holidays, and the last one may be one:
        # 28 November 2026 + 28 = Saturday 26 December.
        (Period(28, "days", "commissioning"), "2026-11-28", "england", "2026-12-26"),
        # 15 days before 16 January 2027 is 1 January.
        (Period(15, "days", "before-commissioning"), "2027-01-16", "england", "2027-01-01"),
        (Period(3, "months", "submission"), "2026-11-30", "england", "2027-02-28"),
        (Period(3, "months", "submission"), "2027-11-30", "england", "2028-02-29"),
        (Period(1, "months", "before-commissioning"), "2027-03-31", "england", "2027-02-28"),
        (Period(10, "working-days", "submission"), "2026-11-24", "scotland", "2026-12-09"),
        (Period(2, "working-days", "before-commissioning"), "2026-12-29", "england", "2026-12-23"),
        (Period(0, "working-days", "submission"), "2026-12-26", "england", "2026-12-26"),
    ],
)
def test_last_day(period, event, nation, expected):
    assert last_day(period, day(event), nation) == day(expected)


def test_extra_days_off_move_a_deadline():
    # Without: 8 December. With Wednesday 2 December off: Wednesday 9.
    period = Period(10, "working-days", "submission")
    extra = {day("2026-12-02")}
    assert last_day(period, day("2026-11-24"), "england", extra) == day("2026-12-09")


@pytest.mark.parametrize(
    ("period", "event", "says"),
    [
        (Period(3, "weeks", "submission"), "2026-11-24", '"weeks" is no unit'),
        (Period(10**9, "days", "submission"), "2026-11-24", "is no date"),
        (Period(10**6, "months", "submission"), "2026-11-24", "is no date"),
        (Period(5, "working-days", "submission"), "2099-12-30", "and not in 2100"),
    ],
)
def test_what_cannot_be_told_is_said(period, event, says):
    with pytest.raises(CalendarError, match=says):
        last_day(period, day(event), "england")


def test_no_working_day_is_the_noughth():
    with pytest.raises(CalendarError, match="give at least 1"):
        working_days_after(day("2026-11-24"), 0, "england")


@given(start=DAYS, number=NUMBERS, nation=st.sampled_from(NATIONS))
def test_after_then_between(start, number, nation):
    end = working_days_after(start, number, nation)
    assert is_working_day(end, nation)
    assert between(start, end, nation) == number
    assert end > start


@given(start=DAYS, number=NUMBERS, nation=st.sampled_from(NATIONS))
def test_before_is_the_way_back(start, number, nation):
    begin = working_days_before(start, number, nation)
    assert is_working_day(begin, nation)
    # From there `start` is reached in that many working days, if it is one; else in one fewer.
    assert between(begin, start, nation) == number - (not is_working_day(start, nation))


@given(start=DAYS, number=NUMBERS, nation=st.sampled_from(NATIONS), off=st.sets(DAYS, max_size=3))
def test_extra_days_are_never_landed_on(start, number, nation, off):
    end = working_days_after(start, number, nation, off)
    assert end not in off
    assert end >= working_days_after(start, number, nation)


@given(start=DAYS, number=st.integers(-60, 60))
def test_months_keep_the_day_or_end_the_month(start, number):
    end = months_after(start, number)
    assert (end.year - start.year) * 12 + end.month - start.month == number
    assert end.day == start.day or (end + dt.timedelta(days=1)).day == 1
