"""Which edition and which amount hold on a day."""

import datetime as dt
from pathlib import Path

import pytest

from connections.rulebook.load import Books, RulebookError, load_books, resolve

DATED = """value = "16 A"
"""
TWO = """values = [
  { from = 2025-01-01, value = "16 A" },
  { from = 2026-07-01, value = "20 A", certainty = "secondary", note = "It was raised." },
]
"""


def changed(data: Path, old: str, new: str) -> Path:
    """The small edition with its first `old` replaced."""
    edition = data / "editions/small/edition.toml"
    text = edition.read_text()
    assert old in text
    edition.write_text(text.replace(old, new, 1))
    return data


@pytest.mark.parametrize(
    ("on", "ma", "since", "certainty"),
    [
        (dt.date(2025, 1, 1), 16_000, dt.date(2025, 1, 1), "common practice"),
        (dt.date(2026, 6, 30), 16_000, dt.date(2025, 1, 1), "common practice"),
        (dt.date(2026, 7, 1), 20_000, dt.date(2026, 7, 1), "secondary"),
        (dt.date(2026, 7, 2), 20_000, dt.date(2026, 7, 1), "secondary"),
    ],
)
def test_the_amount_in_force(
    small_data: Path, on: dt.date, ma: int, since: dt.date, certainty: str
) -> None:
    book = resolve(load_books(changed(small_data, DATED, TWO)), on=on)
    value = book.values["a.limit"]
    assert (value.amount, value.since, value.certainty) == (ma, since, certainty)
    assert value.written == f"{ma // 1000} A"
    assert value.note == ("It was raised." if ma == 20_000 else "")


@pytest.mark.parametrize(
    ("on", "there"),
    [
        (dt.date(2025, 3, 31), False),
        (dt.date(2025, 4, 1), True),
        (dt.date(2025, 6, 30), True),
        (dt.date(2025, 7, 1), False),
        (dt.date(2025, 9, 1), True),
    ],
)
def test_a_value_is_there_only_on_its_days(small_data: Path, on: dt.date, there: bool) -> None:
    spells = """values = [
  { from = 2025-04-01, until = 2025-06-30, value = "17 kW" },
  { from = 2025-09-01, value = "18 kW" },
]
"""
    book = resolve(load_books(changed(small_data, 'value = "17 kW"\n', spells)), on=on)
    assert ("a.power" in book.values) is there
    if not there:
        with pytest.raises(KeyError, match=r"a\.power"):
            book.amount("a.power")


def second_edition(data: Path, first_until: str) -> Path:
    """The small edition until a day, and one that follows it from 1 July 2026 on."""
    text = (data / "editions/small/edition.toml").read_text()
    (data / "editions/next").mkdir()
    later = text.replace('"small"\ntitle', '"next"\ntitle', 1)
    later = later.replace("from = 2025-01-01", "from = 2026-07-01", 1)
    (data / "editions/next/edition.toml").write_text(later)
    if first_until:
        changed(data, "from = 2025-01-01", f"from = 2025-01-01\nuntil = {first_until}")
    return data


@pytest.mark.parametrize(
    ("on", "key"),
    [
        (dt.date(2025, 1, 1), "small"),
        (dt.date(2026, 6, 30), "small"),
        (dt.date(2026, 7, 1), "next"),
        (dt.date(2030, 1, 1), "next"),
    ],
)
def test_the_edition_in_force(small_data: Path, on: dt.date, key: str) -> None:
    books = load_books(second_edition(small_data, "2026-06-30"))
    book = resolve(books, on=on, nation="england")
    assert (book.key, book.on_date) == (key, on)


def test_two_editions_on_one_day_are_refused(small_data: Path) -> None:
    with pytest.raises(RulebookError, match="its dates overlap those of editions/small"):
        load_books(second_edition(small_data, ""))


def test_editions_of_different_nations_may_overlap(small_data: Path) -> None:
    second_edition(small_data, "")
    edition = small_data / "editions/next/edition.toml"
    edition.write_text(edition.read_text().replace('["england"]', '["ireland"]'))
    books = load_books(small_data)
    assert resolve(books, on=dt.date(2027, 1, 1), nation="ireland").key == "next"
    assert resolve(books, on=dt.date(2027, 1, 1)).key == "small"


def test_a_day_between_two_editions(small_data: Path) -> None:
    books = load_books(second_edition(small_data, "2026-05-31"))
    with pytest.raises(RulebookError, match="Test issue 1 holds until 2026-05-31"):
        resolve(books, on=dt.date(2026, 6, 15))


@pytest.mark.parametrize(
    ("on", "nation", "words"),
    [
        (
            dt.date(2019, 4, 26),
            None,
            "on_date: no edition is known for 2019-04-26; the first one, EREC G98 Issue 1 and "
            "EREC G99 Issue 1, holds from 2019-04-27",
        ),
        (
            dt.date(2023, 5, 31),
            "ireland",
            "on_date: no edition is known for 2023-05-31; the first one, Conditions of Ireland "
            "for micro-, mini- and small-scale generation, holds from 2023-06-01",
        ),
        (dt.date(2026, 1, 1), "utopia", 'nation: there is no edition for "utopia" yet'),
    ],
)
def test_no_edition(shipped: Books, on: dt.date, nation: str | None, words: str) -> None:
    with pytest.raises(RulebookError) as refused:
        resolve(shipped, on=on, nation=nation)
    assert str(refused.value) == words


@pytest.mark.parametrize("nation", [None, "", "england", "wales", "scotland"])
def test_great_britain_has_one_edition(shipped: Books, nation: str | None) -> None:
    assert resolve(shipped, on=dt.date(2025, 3, 10), nation=nation).key == "gb-2025"
