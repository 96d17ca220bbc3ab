"""Interface protection settings: shares of nominal voltage as volts.

Source: EREC G99 Issue 2 (2025), Table 10.1 (long-term parallel) and Table 10.2 (infrequent
short-term parallel), low voltage, phase to neutral; older tables from memory.
"""

import datetime as dt
from fractions import Fraction

import pytest

from connections.rulebook.book import Rulebook, Setting
from connections.rulebook.load import Books, resolve

TABLE_10_1 = [
    ("undervoltage", 1, "mV", 184_000, 2_500),
    ("overvoltage", 1, "mV", 262_200, 1_000),
    ("overvoltage", 2, "mV", 273_700, 500),
    ("underfrequency", 1, "mHz", 47_500, 20_000),
    ("underfrequency", 2, "mHz", 47_000, 500),
    ("overfrequency", 1, "mHz", 52_000, 500),
    ("rate of change of frequency", 1, "mHz/s", 1_000, 500),
]
TABLE_10_2 = [
    ("undervoltage", 1, "mV", 207_000, 500),
    ("overvoltage", 1, "mV", 262_200, 500),
    ("underfrequency", 1, "mHz", 49_500, 500),
    ("overfrequency", 1, "mHz", 50_500, 500),
]


def settings(book: Rulebook, table_id: str) -> tuple[Setting, ...]:
    return next(table.settings for table in book.settings if table.id == table_id)


@pytest.mark.parametrize(
    ("table_id", "rows"),
    [("g99-lv-long", TABLE_10_1), ("g98-lv-long", TABLE_10_1), ("g99-lv-short", TABLE_10_2)],
)
def test_tables(book: Rulebook, table_id: str, rows: list[tuple[str, int, str, int, int]]) -> None:
    found = [(s.function, s.stage, s.unit, s.amount, s.delay_ms) for s in settings(book, table_id)]
    assert found == rows


@pytest.mark.parametrize(
    ("share", "written"),
    [
        # 0.80 x 230 = 184.0; 1.14 x 230 = 262.2; 1.19 x 230 = 273.7; 0.90 x 230 = 207
        (Fraction(80, 100), "184.0 V (−20 %)"),
        (Fraction(114, 100), "262.2 V (+14 %)"),
        (Fraction(119, 100), "273.7 V (+19 %)"),
        (Fraction(90, 100), "207 V (−10 %)"),
        # Older: 0.87 x 230 = 200.1
        (Fraction(87, 100), "200.1 V (−13 %)"),
    ],
)
def test_shares_of_230_volts(book: Rulebook, share: Fraction, written: str) -> None:
    amounts = {s.amount for t in book.settings for s in t.settings if s.written == written}
    assert amounts == {share * book.whole("voltage.nominal")}


def test_every_voltage_setting_is_the_share_that_it_says(book: Rulebook) -> None:
    checked = 0
    for table in book.settings:
        for setting in table.settings:
            if setting.unit not in ("mV", "%"):
                continue
            percent = int(setting.written.split("(")[1].rstrip(" %)").replace("−", "-"))
            whole = book.whole("voltage.nominal") if setting.unit == "mV" else 100
            assert setting.amount * 100 == (100 + percent) * whole, (table.id, setting)
            checked += 1
    assert checked == 3 + 3 + 3 + 2 + 4 + 4


def test_certainty_of_each_table(book: Rulebook) -> None:
    assert {table.id: table.certainty for table in book.settings} == {
        "g99-lv-long": "published",
        "g98-lv-long": "from memory",
        "g99-hv-long": "from memory",
        "g99-lv-short": "published",
        "g83-lv-long": "from memory",
        "g59-lv-long": "from memory",
    }


def test_older_plant_detects_loss_of_mains_by_vector_shift(book: Rulebook) -> None:
    shift = next(s for s in settings(book, "g83-lv-long") if s.function == "vector shift")
    assert (shift.amount, shift.unit, shift.delay_ms, shift.written) == (12, "degrees", None, "12°")


G59 = [
    # Commissioning form of EREC G59/3, 13.3, Amendment 2 of 2015, phase to neutral: as published.
    ("undervoltage", 1, 200_100, 2500),
    ("undervoltage", 2, 184_000, 500),
    ("overvoltage", 1, 262_200, 1000),
    ("overvoltage", 2, 273_700, 500),
]


@pytest.mark.parametrize("on", [dt.date(2026, 11, 24), dt.date(2024, 6, 1)])
def test_voltages_of_g59_as_published(shipped: Books, on: dt.date) -> None:
    book = resolve(shipped, on=on)
    [table] = [table for table in book.settings if table.id == "g59-lv-long"]
    voltages = [s for s in table.settings if s.function.endswith("voltage")]
    assert [(s.function, s.stage, s.amount, s.delay_ms) for s in voltages] == G59
    assert (table.source.title, table.source.clause) == ("EREC G59", "13.3, commissioning form")
    assert "frequencies and vector shift" in table.note


def test_how_far_a_setting_of_g59_may_miss(book: Rulebook) -> None:
    # ±3.45 V, which is 1.5 % of 230 V, and 0.1 s.
    assert (book.whole("earlier.g59_pick_up"), book.whole("earlier.g59_late")) == (3450, 100)
    assert book.whole("earlier.g59_pick_up") * 1000 == 15 * book.whole("voltage.nominal")
