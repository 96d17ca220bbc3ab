"""Working days against the published lists of bank holidays, 2024 to 2027, for each nation.

Sources: for England and Wales, Scotland and Northern Ireland the government's list of bank
holidays (https://www.gov.uk/bank-holidays); for Ireland the public holidays of the Second Schedule
to the Organisation of Working Time Act 1997 (first Monday of February since 2023, or 1 February
where that is a Friday). All dates below are written from memory of those lists, which were not at
hand; but for 15 June 2026 in Scotland, read in reports of the proclamation of 4 February 2026
under section 1(3) of the Banking and Financial Dealings Act 1971. Easter Sundays, from the
calendar: 31 March 2024, 20 April 2025, 5 April 2026, 28 March 2027.
"""

import datetime as dt

import pytest

from connections.calendar.bank_holidays import NATIONS, bank_holidays, extra_days
from connections.calendar.calendar_error import CalendarError
from connections.calendar.working_days import is_working_day

ENGLAND_AND_WALES = {
    # New Year, Good Friday, Easter Monday, early May, spring, summer, Christmas, Boxing Day
    2024: "01-01 03-29 04-01 05-06 05-27 08-26 12-25 12-26",
    2025: "01-01 04-18 04-21 05-05 05-26 08-25 12-25 12-26",
    # Boxing Day 2026 is a Saturday: Monday 28 December in its place.
    2026: "01-01 04-03 04-06 05-04 05-25 08-31 12-25 12-28",
    # Christmas 2027 is a Saturday, Boxing Day a Sunday: Monday 27 and Tuesday 28 in their place.
    2027: "01-01 03-26 03-29 05-03 05-31 08-30 12-27 12-28",
}
SCOTLAND = {
    # New Year, 2 January, Good Friday, early May, spring, summer (first Monday of August),
    # St Andrew's Day, Christmas, Boxing Day. No Easter Monday, no last Monday of August.
    # St Andrew's Day 2024 is a Saturday: Monday 2 December; 2025 a Sunday: Monday 1 December.
    2024: "01-01 01-02 03-29 05-06 05-27 08-05 12-02 12-25 12-26",
    2025: "01-01 01-02 04-18 05-05 05-26 08-04 12-01 12-25 12-26",
    # 15 June once, for the men's football team at the World Cup.
    2026: "01-01 01-02 04-03 05-04 05-25 06-15 08-03 11-30 12-25 12-28",
    # 2 January 2027 is a Saturday: Monday 4 January.
    2027: "01-01 01-04 03-26 05-03 05-31 08-02 11-30 12-27 12-28",
}
NORTHERN_IRELAND = {
    # England's, and St Patrick's Day (17 March) and the Battle of the Boyne (12 July).
    # 17 March 2024 is a Sunday: Monday 18.
    2024: "01-01 03-18 03-29 04-01 05-06 05-27 07-12 08-26 12-25 12-26",
    # 12 July 2025 is a Saturday: Monday 14.
    2025: "01-01 03-17 04-18 04-21 05-05 05-26 07-14 08-25 12-25 12-26",
    # 12 July 2026 is a Sunday: Monday 13.
    2026: "01-01 03-17 04-03 04-06 05-04 05-25 07-13 08-31 12-25 12-28",
    2027: "01-01 03-17 03-26 03-29 05-03 05-31 07-12 08-30 12-27 12-28",
}
IRELAND = {
    # New Year, St Brigid's, St Patrick's, Easter Monday, first Mondays of May, June and August,
    # last Monday of October, Christmas, St Stephen's. No Good Friday; the Act has no substitute
    # days: one on a weekend gives another day off, which each employer chooses.
    2024: "01-01 02-05 04-01 05-06 06-03 08-05 10-28 12-25 12-26",
    2025: "01-01 02-03 03-17 04-21 05-05 06-02 08-04 10-27 12-25 12-26",
    2026: "01-01 02-02 03-17 04-06 05-04 06-01 08-03 10-26 12-25",
    2027: "01-01 02-01 03-17 03-29 05-03 06-07 08-02 10-25",
}
PUBLISHED = {
    "england": ENGLAND_AND_WALES,
    "wales": ENGLAND_AND_WALES,
    "scotland": SCOTLAND,
    "northern_ireland": NORTHERN_IRELAND,
    "ireland": IRELAND,
}


def test_every_nation_is_in_the_table():
    assert set(PUBLISHED) == set(NATIONS)


@pytest.mark.parametrize("year", [2024, 2025, 2026, 2027])
@pytest.mark.parametrize("nation", NATIONS)
def test_every_day_of_the_year(nation, year):
    off = {dt.date.fromisoformat(f"{year}-{day}") for day in PUBLISHED[nation][year].split()}
    assert all(day.weekday() < 5 for day in off)
    day = dt.date(year, 1, 1)
    while day.year == year:
        expected = day.weekday() < 5 and day not in off
        assert is_working_day(day, nation) is expected, day
        day += dt.timedelta(days=1)


@pytest.mark.parametrize(
    ("day", "working_in", "off_in"),
    [
        # Easter Monday 2026 and the last Monday of August 2026: not in Scotland.
        ("2026-04-06", {"scotland"}, {"england", "wales", "northern_ireland", "ireland"}),
        ("2026-08-31", {"scotland", "ireland"}, {"england", "wales", "northern_ireland"}),
        ("2026-06-15", {"england", "wales", "northern_ireland", "ireland"}, {"scotland"}),
        ("2026-03-17", {"england", "wales", "scotland"}, {"northern_ireland", "ireland"}),
        ("2026-07-13", {"england", "wales", "scotland", "ireland"}, {"northern_ireland"}),
        ("2027-12-27", {"ireland"}, {"england", "wales", "scotland", "northern_ireland"}),
    ],
)
def test_the_nations_differ(day, working_in, off_in):
    date = dt.date.fromisoformat(day)
    assert {nation for nation in NATIONS if is_working_day(date, nation)} == working_in
    assert {nation for nation in NATIONS if not is_working_day(date, nation)} == off_in


def test_a_configured_day_off():
    # 17 May 2027 is a Monday and on no list.
    day = dt.date(2027, 5, 17)
    assert is_working_day(day, "england")
    assert not is_working_day(day, "england", extra_days(["2027-05-17"]))


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: extra_days(["17 May"]), '"17 May" is not a date; write days off like 2027-05-17'),
        (lambda: bank_holidays("france", 2026), 'there is no calendar for "france"'),
        (lambda: bank_holidays("england", 2100), "from 2000 to 2099, and not in 2100"),
        (lambda: bank_holidays("england", 1999), "from 2000 to 2099, and not in 1999"),
    ],
)
def test_what_cannot_be_told_is_said(ask, says):
    with pytest.raises(CalendarError) as fault:
        ask()
    assert says in str(fault.value)
