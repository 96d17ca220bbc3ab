"""Rows that a value of the rulebook switches on: the plug-in route, open from a day on.

SI 2026/848 is in force from 27 August 2026, in Great Britain.
"""

import datetime as dt
from typing import Any

import pytest

from connections.rulebook.checking.table import check_table
from connections.rulebook.load import Books, RulebookError, load_books, resolve
from tests.connections.rules.editions import decided_under
from tests.connections.rules.local_books import book_with, value
from tests.site_files import unit

DAY = dt.date(2026, 8, 27)


@pytest.mark.parametrize(("on", "open_"), [(DAY - dt.timedelta(1), False), (DAY, True)])
def test_the_row_takes_part_from_its_day_on(shipped: Books, on: dt.date, open_: bool) -> None:
    book = resolve(shipped, on=on)
    [edition] = [part for part in shipped.editions if part.key == "gb-2025"]
    assert [row.id for row in edition.rows if row.switch] == ["plug-in"]
    assert ("plug-in" in [row.id for row in book.table]) is open_
    assert ("plug-in" in [outcome.key for outcome in book.outcomes]) is open_
    assert any("plug-in" in step.outcomes for step in book.steps) is open_
    assert check_table(book).complete
    kit = unit("kit", 800, plugged_in=True)
    assert (decided_under(book, kit).procedure == "plug-in") is open_


def test_an_entry_can_switch_it_off_again() -> None:
    off = book_with(value("plug_in.enabled", "yes-no", False))
    assert "plug-in" not in [outcome.key for outcome in off.outcomes]
    assert check_table(off).complete
    answer = decided_under(off, unit("kit", 800, plugged_in=True))
    assert answer.procedure == "g98-single"
    assert ("plug-in-refused", "kit") in answer.stops


@pytest.mark.parametrize(
    ("switch", "words"),
    [
        ("a.power", 'a.power is in "W", where "yes-no" is wanted; it is a row\'s switch'),
        ("a.switch", 'there is no value "a.switch"; check its spelling'),
    ],
)
def test_a_switch_is_a_yes_no_value(small_data: Any, switch: str, words: str) -> None:
    path = small_data / "editions/small/edition.toml"
    path.write_text(
        path.read_text().replace(
            'id = "small"\noutcome', f'id = "small"\nswitch = "{switch}"\noutcome'
        )
    )
    with pytest.raises(RulebookError) as refused:
        load_books(small_data)
    assert refused.value.fault == words


def test_a_missing_rule_says_who_knows_it(small_data: Any) -> None:
    path = small_data / "editions/small/edition.toml"
    path.write_text(
        path.read_text().replace('serves = "Form L"', 'serves = "Form L"\nmissing = "large plant"')
    )
    with pytest.raises(RulebookError, match="`missing` and `ask` go together"):
        load_books(small_data)
