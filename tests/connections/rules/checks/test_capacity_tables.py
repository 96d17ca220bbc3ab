"""The tables of cable capacity in the rulebook, against what public extracts print."""

import datetime as dt
from itertools import pairwise
from math import log

import pytest

from connections.rules.checks.cables import TABLES, table_of
from tests.connections.rules.editions import book_of
from tests.site_files import book

SIZES = ("1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120")

READ = [
    # Single-core, 70 °C (table 4D1A, read in a public extract): A, B, C by loaded conductors.
    ("singles", "A", 2, "14.5 20 26 34 46 61 80 99 119 151 182"),
    ("singles", "A", 3, "13.5 18 24 31 42 56 73 89 108 136 164"),
    ("singles", "B", 2, "17.5 24 32 41 57 76 101 125 151 192 232"),
    ("singles", "B", 3, "15.5 21 28 36 50 68 89 110 134 171 207"),
    ("singles", "C", 2, "20 27 37 47 65 87 114 141 182 234 284"),
    ("singles", "C", 3, "18 25 33 43 59 79 104 129 167 214 261"),
    # Multicore without armour (SANS 10142-1 table 6.3(a), of the same table of IEC 60364-5-52).
    ("unarmoured", "A", 2, "14 18.5 25 32 43 57"),
    ("unarmoured", "A", 3, "13 17.5 23 29 39 52"),
    ("unarmoured", "B", 2, "16.5 23 30 38 52 69"),
    ("unarmoured", "B", 3, "15 20 27 34 46 62"),
    ("unarmoured", "C", 2, "19.5 27 36 46 63 85"),
    ("unarmoured", "C", 3, "17.5 24 32 41 57 76"),
    # Flat twin and earth, clipped (table 4D5 in public lists, which agree up to 6 mm²).
    ("flat twin and earth", "C", 2, "20 27 37 47"),
]
# Armoured, thermosetting, 90 °C (table 4E4A, three public extracts that agree; secondary).
HOT = {
    ("C", 2): "27 36 49 62 85 110 146 180 219 279 338 392",
    ("C", 3): "23 31 42 53 73 94 124 154 187 238 289 335",
    ("D", 2): "25 33 43 53 71 91 116 139 164 203 239 271",
    ("D", 3): "21 28 36 44 58 75 96 115 135 167 197 223",
    ("E", 2): "29 39 52 66 90 115 152 188 228 291 354 410",
    ("E", 3): "25 33 44 56 78 99 131 162 197 251 304 353",
}


def tables(kind):
    held = book().values[TABLES[kind]].amount
    assert isinstance(held, tuple)
    return table_of(held)


@pytest.mark.parametrize(("kind", "method", "loaded", "amps"), READ)
def test_what_was_read(kind, method, loaded, amps):
    column = tables(kind)[method, loaded]
    for size, a in zip(SIZES, amps.split(), strict=False):
        assert column[size] == float(a), size


def test_the_recalled_armoured_table_against_the_read_one():
    # What a conductor bears goes with the root of its temperature rise: from 90 to 70 °C in air at
    # 30 °C sqrt(40 / 60), in ground at 20 °C sqrt(50 / 70). The tables agree with it within 7.5 %.
    held = tables("armoured")
    assert set(held) == set(HOT)
    for (method, loaded), amps in HOT.items():
        ambient = 20 if method == "D" else 30
        root = ((70 - ambient) / (90 - ambient)) ** 0.5
        for size, hot in zip(SIZES, amps.split(), strict=True):
            assert held[method, loaded][size] == pytest.approx(float(hot) * root, rel=0.075)


@pytest.mark.parametrize("kind", TABLES)
def test_a_column_grows_as_a_power_of_the_size(kind):
    # IEC 60364-5-52, annex D, fits I = A S^m, m near 0.6, to every column (from memory). A digit
    # that was copied wrongly stands out between its neighbours.
    for column in tables(kind).values():
        for (small, a), (large, b) in pairwise(column.items()):
            power = log(b / a) / log(float(large) / float(small))
            assert 0.4 < power < 0.75, (small, large)


def test_three_loaded_conductors_carry_less_and_insulation_costs():
    for kind in TABLES:
        held = tables(kind)
        for (method, loaded), column in held.items():
            if loaded == 2 and (method, 3) in held:
                assert all(held[method, 3][size] < a for size, a in column.items())
    flat = tables("flat twin and earth")
    for size in flat["C", 2]:
        by = {method: column[size] for (method, _), column in flat.items()}
        assert by["103"] < by["101"] < by["100"] <= by["102"] < by["C"]
        assert by["101"] < by["A"] < by["C"]


def test_both_editions_hold_the_same():
    older = book_of("england", dt.date(2024, 1, 1))
    for key in TABLES.values():
        assert older.values[key].amount == book().values[key].amount


def test_a_row_in_another_form_is_left_out():
    # A firm's own entry may replace a table.
    assert table_of(("C, 2 loaded: 6 mm² 47 A", "clipped 6 mm² 47 A")) == {("C", 2): {"6": 47.0}}
