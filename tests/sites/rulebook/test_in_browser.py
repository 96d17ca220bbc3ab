"""The rulebook's pages at desktop and phone width, with axe-core, and what the policy stops."""

import pytest
from django.urls import reverse

from sites.looks.writing.local_entries import add_entry
from tests.sites.making import home, island, make_local_entry, make_person, make_premises
from tests.sites.rulebook.making import balance, cap, condition

pytestmark = [pytest.mark.browser, pytest.mark.looks, pytest.mark.django_db(transaction=True)]
ON = "on=2026-11-25"


@pytest.mark.parametrize("width", [1280, 360])
def test_every_page(window, axe, width):
    engineer = make_person("engineer")
    make_local_entry(by=engineer)
    for entry in (balance(), condition(), cap()):
        add_entry(area="gb-12", entry=entry, reason="Told.", by=engineer)
    units = home()["units"]
    units[1]["rated_w"] = None
    cases = [make_premises(), make_premises(**island()), make_premises(units=units)]
    page = window(engineer, width=width)
    for address in (
        reverse("rulebook"),
        f"{reverse('rulebook')}?on=1999-01-01",
        # What the whole list is made of, in fewer rows: axe-core takes half a minute over that.
        f"{reverse('rulebook-values')}?where=gb-12&q=limit&{ON}",
        f"{reverse('rulebook-values')}?show=common+practice&{ON}",
        f"{reverse('rulebook-values')}?q=herons&{ON}",
        f"{reverse('rulebook-value', args=['balance.limit'])}?where=gb-12&{ON}",
        f"{reverse('rulebook-value', args=['offer.validity'])}?where=gb-12&{ON}",
        f"{reverse('rulebook-table')}?where=gb-12&{ON}",
        f"{reverse('rulebook-table')}?where=ie-1&{ON}",
        f"{reverse('rulebook-steps')}?where=gb-12&{ON}",
        f"{reverse('rulebook-settings')}?{ON}",
        reverse("rulebook-sources"),
        reverse("rulebook-words"),
        reverse("values-to-read"),
        f"{reverse('rulebook-difference')}?where=gb-12&first_on=2025-07-01&second_on=2025-07-31",
        *(reverse("case-explained", args=[case.key]) for case in cases),
    ):
        page.goto(address)
        assert axe(page) == [], address
        assert page.faults == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address


@pytest.mark.parametrize("width", [1280, 360])
def test_the_longest_pages_fit(window, width):
    page = window(make_person("office"), width=width)
    for address in (
        f"{reverse('rulebook-values')}?where=gb-12&{ON}",
        f"{reverse('rulebook-difference')}?first=gb-2019&second=gb-2025",
    ):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, address
        assert page.faults == [], address


def test_a_value_is_looked_for_and_opened_by_keyboard(window):
    page = window(make_person("office"))
    page.goto(reverse("rulebook-values"))
    page.focus("#q")
    page.keyboard.type("unit limit micro-generation")
    page.keyboard.press("Enter")
    page.wait_for_selector("caption:has-text(' of ')")
    page.focus("a[href*='g98.unit_limit']")
    page.keyboard.press("Enter")
    page.wait_for_selector("h2:has-text('What each layer says')")
    assert "16 A" in page.inner_text(".page-head")


def test_each_row_of_the_table_is_a_block_on_a_phone(window):
    page = window(make_person("office"), width=360)
    page.goto(reverse("rulebook-table"))
    row = page.locator("#row-g98-single")
    assert row.evaluate("row => getComputedStyle(row).display") == "block"
    # A cell that isn't asked about takes no room; one that is says what it is of.
    empty = row.locator("td:empty").first
    assert not empty.is_visible()
    label = row.locator("td[data-label]").first.evaluate(
        "cell => getComputedStyle(cell, '::before').content"
    )
    assert "Voltage level" in label
