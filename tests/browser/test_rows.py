"""Rows are added and taken out without losing anything, and what was taken out can be put back."""

import pytest
from playwright.sync_api import expect

from sites.premises.models import Unit
from tests.browser.layout import SIZES
from tests.browser.reading import box, held, is_marked, mark
from tests.sites.making import make_person, make_premises

pytestmark = [pytest.mark.browser, pytest.mark.parametrize("size", SIZES)]


def test_rows_come_and_go_and_nothing_is_lost(window, keyboard, size):
    """PV 3600 W and storage 3600 W are 31.304 A; with another 1000 W 35.65 A; without the first
    storage 20 A."""
    office = make_person()
    case = make_premises(by=office)
    page = window(office, size=size)
    page.goto(f"/designs/{case.design.key}/sheet/")
    mark(page)
    keys = keyboard(page)
    panel = page.locator("#panel")
    expect(panel).to_contain_text("31.304 A")
    before = held(page)

    keys.add_row("Add a unit", "Unit 3")
    assert held(page).items() >= before.items()
    keys.choose("proposed-units-2-source", "storage")
    keys.fill("proposed-units-2-rated_w", "1")
    keys.fill("proposed-units-2-maker", "invented third")
    expect(panel).to_contain_text("35.65 A")
    three = held(page)
    assert three.items() >= before.items()

    # The row in the middle is taken out, and put back.
    keys.tick("proposed-units-1-gone", back=True)
    expect(panel).to_contain_text("20 A")
    assert held(page) == {**three, "proposed-units-1-gone": True}
    page.keyboard.press("Space")
    expect(panel).to_contain_text("35.65 A")
    assert held(page) == three

    # Taken out for good, with another row added afterwards: the numbers of rows do not shift.
    page.keyboard.press("Space")
    expect(panel).to_contain_text("20 A")
    keys.add_row("Add a unit", "Unit 4")
    keys.choose("proposed-units-3-source", "pv")
    keys.fill("proposed-units-3-rated_w", "500 W")
    expect(panel).to_contain_text("22.17 A")  # (3600 + 1000 + 500) W / 230 V
    assert held(page).items() >= {**three, "proposed-units-1-gone": True}.items()
    assert is_marked(page)

    keys.push("Save")
    expect(page.get_by_text("The sheet is saved.")).to_be_visible()
    saved = Unit.objects.filter(design=case.design).order_by("rated_w")
    assert [(unit.rated_w, unit.maker) for unit in saved] == [
        (500, ""),
        (1000, "invented third"),
        (3600, "Invented Works"),
    ]


def test_an_empty_row_is_no_fault_and_many_rows_are_refused_in_words(window, watch, size):
    page = window(make_person(), size=size)
    page.goto("/premises/new/")
    box(page, "case-reference").fill("MANY-1")
    add = page.get_by_role("button", name="Add cells").last
    rows = page.locator("#rows-proposed-cells > fieldset")
    with watch.answers(409):
        for number in range(1, 41):
            add.click()
            expect(rows).to_have_count(number)
        add.click()
        expect(page.locator("#session-notice")).to_contain_text("A sheet can hold 40 rows")
    expect(rows).to_have_count(40)
    page.get_by_role("button", name="Create the premises").click()
    expect(page.get_by_text("MANY-1 is created.")).to_be_visible()
