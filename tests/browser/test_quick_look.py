"""The quick look by thumb: answers change the ways at once, and one is kept as a case."""

import pytest
from playwright.sync_api import expect

from sites.cases.models import Case
from tests.sites.making import make_person

pytestmark = pytest.mark.browser


def test_a_look_on_a_phone_becomes_a_case(window, axe):
    page = window(make_person(), size=(390, 844))
    page.goto("/quick-look/")
    # 4 kW and 3.6 kW add; a hybrid inverter is capped by its rating.
    ways = page.locator(".ways")
    expect(ways).to_contain_text("7.6 kW, sun and battery add")
    taps = 0
    page.get_by_label("3 phases").check()
    taps += 1
    # 7,600 W / 3 / 230 V = 11.02 A
    expect(ways).to_contain_text("on L3")
    page.get_by_label("Battery inverter").fill("5")
    page.get_by_label("Battery inverter").press("Tab")
    taps += 1
    expect(ways).to_contain_text("9 kW, sun and battery add")
    assert "battery_w=5" in page.url
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.get_by_label("Proposed way").select_option("One hybrid inverter")
    page.get_by_label("Reference").fill("FH-950 from a look")
    page.get_by_role("button", name="Keep as a case").click()
    taps += 3
    expect(page.get_by_role("heading", level=1)).to_contain_text("FH-950")
    assert Case.objects.get().design.name == "One hybrid inverter"
    assert taps <= 12
