"""Tables are walked when their files are read, for every stretch of days, and only once."""

import datetime as dt
import time
from pathlib import Path

import msgspec
import pytest

from connections.rulebook.checking import gaps
from connections.rulebook.checking.table import check_table
from connections.rulebook.load import (
    RulebookError,
    check_local,
    load_books,
    read_file,
    read_local,
    resolve,
    with_file,
)

HEAD = """
[book]
format = "rulebook/1"
kind = "{kind}"
key = "{key}"
title = "A file for tests"
from = {since}
{areas}
"""
VALUE = """
[[value]]
key = "{key}"
says = "A value."
unit = "{unit}"
applies_to = "tests"
{amount}
source = {{ document = "practice" }}
checked = 2026-11-25
"""
DAY = dt.date(2026, 1, 1)


def entries(*values: str, since: str = "2025-01-01", areas: str = "", kind: str = "local") -> bytes:
    head = HEAD.format(kind=kind, key=f"of-{kind}", since=since, areas=areas)
    text = head + "".join(values)
    if kind != "local":
        text = text.replace("checked =", 'certainty = "common practice"\nchecked =')
    return text.encode()


def words(amount: str) -> str:
    return VALUE.format(key="a.words", unit="list", amount=amount)


@pytest.fixture
def walked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The rulebooks whose tables are walked, with nothing kept from before."""
    found: list[str] = []

    def walk(book: object) -> object:
        found.append(book.on_date.isoformat())  # type: ignore[attr-defined]
        return check_table(book)  # type: ignore[arg-type]

    monkeypatch.setattr(gaps, "_kept", {})
    monkeypatch.setattr(gaps, "check_table", walk)
    return found


def test_each_stretch_of_days_is_walked_once(small_data: Path, walked: list[str]) -> None:
    edition = small_data / "editions/small/edition.toml"
    dated = (
        'values = [{ from = 2025-01-01, value = "16 A" }, { from = 2026-07-01, value = "20 A" }]'
    )
    edition.write_text(edition.read_text().replace('value = "16 A"', dated, 1))
    load_books(small_data)
    assert walked == ["2025-01-01", "2026-07-01"]
    load_books.cache_clear()
    load_books(small_data)
    assert len(walked) == 2


def test_a_day_on_which_no_limit_changes_is_not_walked(small_data: Path, walked: list[str]) -> None:
    edition = small_data / "editions/small/edition.toml"
    dated = (
        'values = [{ from = 2025-01-01, value = "17 kW" }, { from = 2026-07-01, value = "18 kW" }]'
    )
    edition.write_text(edition.read_text().replace('value = "17 kW"', dated, 1))
    load_books(small_data)
    assert walked == ["2025-01-01"]


def test_local_entries_without_a_limit_are_not_walked(small_data: Path, walked: list[str]) -> None:
    books = load_books(small_data)
    local = read_local(
        entries(VALUE.format(key="a.power", unit="W", amount='value = "1 W"')), "x.toml", books
    )
    resolve(books, on=DAY, local=[local])
    check_local(books, [local])
    assert len(walked) == 1


def test_a_gap_on_a_later_day_is_refused_at_the_door(small_data: Path) -> None:
    books = load_books(small_data)
    later = read_local(
        entries(words('values = [{ from = 2027-01-01, value = ["no"] }]')), "later.toml", books
    )
    # It doesn't hold yet, so today's sites are decided as before.
    assert resolve(books, on=DAY, local=[later]).words("a.words") == ("no", "yes")
    with pytest.raises(RulebookError) as refused:
        check_local(books, [later])
    assert str(refused.value) == (
        "later.toml: value a.words: with it no row holds from 2027-01-01 on for a site with "
        "largest_rated below 16000 mA, islanding yes; give a value with which every site has a row"
    )
    with pytest.raises(RulebookError, match=r"no row holds from 2027-01-01 on"):
        resolve(books, on=dt.date(2027, 3, 1), local=[later])


def test_a_gap_in_one_area_is_refused(small_data: Path) -> None:
    books = load_books(small_data)
    one = read_local(entries(words('value = ["no"]'), areas='areas = ["gb-11"]'), "one.toml", books)
    assert resolve(books, on=DAY, area="gb-12", local=[one]).key == "small"
    with pytest.raises(RulebookError, match=r"^one\.toml: value a\.words: with it no row"):
        check_local(books, [one])


def test_two_entries_that_overlap_are_refused_at_the_door(small_data: Path) -> None:
    books = load_books(small_data)
    one = read_local(entries(words('value = ["no", "yes"]')), "one.toml", books)
    two = read_local(entries(words('value = ["no", "yes"]'), since="2026-01-01"), "two.toml", books)
    assert resolve(books, on=dt.date(2025, 6, 1), local=[one, two]).key == "small"
    with pytest.raises(RulebookError, match=r"two\.toml: value a\.words: one\.toml gives it too"):
        check_local(books, [one, two])


@pytest.mark.parametrize("kind", ["operator", "local"])
def test_a_file_of_any_kind_is_checked_on_top(small_data: Path, kind: str) -> None:
    books = load_books(small_data)
    areas = 'areas = ["gb-12"]' if kind == "operator" else ""
    good = entries(words('value = ["no", "yes"]'), kind=kind, areas=areas)
    together = with_file(books, read_file(good, "good.toml", books))
    assert len(together.operators) == (1 if kind == "operator" else 0)
    bad = entries(words('value = ["no"]'), kind=kind, areas=areas)
    with pytest.raises(RulebookError, match=r"^bad\.toml: value a\.words: with it no row holds"):
        with_file(books, read_file(bad, "bad.toml", books))


def test_an_edition_in_one_file_takes_the_place_of_the_one_with_its_key(small_data: Path) -> None:
    books = load_books(small_data)
    content = (small_data / "editions/small/edition.toml").read_bytes()
    again = read_file(content.replace(b'"16 A"', b'"17 A"'), "again.toml", books)
    together = with_file(books, again)
    assert [part.file for part in together.editions] == ["again.toml"]
    other = content.replace(b'key = "small"\ntitle', b'key = "other"\ntitle', 1)
    with pytest.raises(RulebookError, match=r"its dates overlap those of other\.toml"):
        with_file(books, read_file(other, "other.toml", books))


def test_a_file_of_no_kind_is_refused(small_data: Path) -> None:
    books = load_books(small_data)
    for content in (b"", b"book = 1", b'[book]\nkind = "other"'):
        with pytest.raises(
            RulebookError, match=r"^x\.toml: book: `kind` must be one of edition, operator, local"
        ):
            read_file(content, "x.toml", books)


def test_days_between_changes_resolve_to_one_rulebook() -> None:
    books = load_books()
    one, other = (resolve(books, on=dt.date(2026, 11, day), area="gb-12") for day in (20, 24))
    assert (one.on_date.day, other.on_date.day) == (20, 24)
    assert one.values is other.values
    assert one.digest == other.digest
    began = time.process_time()
    for n in range(1000):
        resolve(books, on=dt.date(2026, 1, 1) + dt.timedelta(days=n), area="gb-12")
    # A thousand days in well under a tenth of a millisecond of processor each.
    assert time.process_time() - began < 0.1


def test_local_files_of_equal_content_resolve_once() -> None:
    books = load_books()
    content = entries(VALUE.format(key="firm.x", unit="W", amount='value = "1 W"'))
    one, two = (read_local(content, "x.toml", books) for _ in range(2))
    assert resolve(books, on=DAY, local=[one]).values is resolve(books, on=DAY, local=[two]).values
    other = read_local(content.replace(b"1 W", b"2 W"), "x.toml", books)
    assert resolve(books, on=DAY, local=[other]).whole("firm.x") == 2


def test_every_shipped_row_can_be_reached() -> None:
    for edition in load_books().editions:
        for _, report in gaps.table_reports(edition):
            assert report.complete


def test_the_digest_is_that_of_all_that_a_walk_reads() -> None:
    book = resolve(load_books(), on=dt.date(2026, 11, 24))
    limit = book.values["g98.unit_limit"]
    changed = {**book.values, "g98.unit_limit": msgspec.structs.replace(limit, amount=1)}
    before = gaps.table_report(book)
    assert gaps.table_report(msgspec.structs.replace(book, on_date=DAY)) is before
    assert gaps.table_report(msgspec.structs.replace(book, values=changed)) is not before
    assert gaps.table_report(msgspec.structs.replace(book, table=book.table[:-1])).gaps
