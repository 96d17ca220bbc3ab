"""Numbers and dates as text, exact."""

import datetime as dt

import pytest

from connections.facts.reading import read_site
from connections.pack.figures import (
    counted,
    fixed,
    listed,
    long_date,
    quantity,
    short,
    short_date,
)
from connections.pack.places import assumed_words, missing_words, subject_words
from connections.pack.sections.layout import shared_width


@pytest.mark.parametrize(
    ("amount", "decimals", "full", "brief"),
    [
        (3680, 3, "3.680", "3.68"),
        (0, 3, "0.000", "0"),
        (7, 3, "0.007", "0.007"),
        (-1200, 3, "−1.200", "−1.2"),
        (1234567, 0, "1,234,567", "1,234,567"),
        (10, 0, "10", "10"),
        (1000000, 3, "1,000.000", "1,000"),
    ],
)
def test_decimals(amount: int, decimals: int, full: str, brief: str) -> None:
    assert (fixed(amount, decimals), short(amount, decimals)) == (full, brief)


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        (21739, "mA", "21.739 A"),
        (16000, "mA per phase", "16 A"),
        (262200, "mV", "262.2 V"),
        (47500, "mHz", "47.5 Hz"),
        (1000, "mHz/s", "1 Hz/s"),
        (500, "ms", "0.5 s"),
        (3, "count", "3"),
        (12, "degrees", "12 degrees"),
        (10, "working-days", "10 working days"),
    ],
)
def test_quantities(amount: int, unit: str, words: str) -> None:
    assert quantity(amount, unit) == words


def test_dates_do_not_hang_on_the_machines_language() -> None:
    day = dt.date(2026, 3, 1)
    assert (long_date(day), short_date(day)) == ("1 March 2026", "1 Mar 2026")


def test_counts_and_lists() -> None:
    assert (counted(1, "unit"), counted(2, "unit")) == ("1 unit", "2 units")
    assert [listed(()), listed(("a",)), listed(("a", "b")), listed(["a", "b", "c"], "or")] == [
        "",
        "a",
        "a and b",
        "a, b or c",
    ]


@pytest.mark.parametrize("shares", [[1], [1, 1, 1], [15, 13, 27, 17, 15, 8], [100]])
def test_widths_come_to_a_hundred(shares: list[int]) -> None:
    assert sum(shared_width(shares)) == 100


SITE = read_site(
    '{"format":"site/1","reference":"x","on_date":"2026-11-24","supply":{"phases":1},'
    '"units":[{"id":"a","source":"pv","rated_w":1,"phases":["L1"]},'
    '{"id":"b","source":"storage","rated_w":1,"phases":["L1"]}],'
    '"arrays":[{"unit_id":"a"}],"storage":[{"unit_id":"b"}]}'
)


def test_places_in_words() -> None:
    paths = ("units[0].quantity", "units[1].quantity", "nearby.premises", "units[0].odd", "other")
    assert assumed_words(paths, SITE) == [
        "a and b: one unit",
        "no other premises of the firm near by",
        "a: units[0].odd",
        "other",
    ]
    missing = ("units[0].rated_w", "units[1].standards[0].type_tested", "supply.voltage_level")
    assert missing_words(missing, SITE) == [
        "a: registered capacity",
        "b: type-test standing",
        "voltage level of the supply",
    ]


@pytest.mark.parametrize(
    ("subject", "words"),
    [
        ("a", "a"),
        ("units[1]", "b"),
        ("arrays[0]", "Panels behind a"),
        ("storage[0]", "Cells behind b"),
        ("supply/looped", "Supply"),
        ("premises.supply_numbers[0].value", "Premises"),
        ("g99-short.limit", "Rulebook value g99-short.limit"),
        ("rulebook", "Rulebook"),
        ("L1", "L1"),
    ],
)
def test_subjects_in_words(subject: str, words: str) -> None:
    assert subject_words(subject, SITE) == words
