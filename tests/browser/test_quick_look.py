"""The quick look by thumb: answers change the ways at once, and one is kept as a case."""

import pytest
from playwright.sync_api import expect

from connections.ways.asked import Asked
from sites.cases.models import Case
from sites.ways.reading import ways_to_keep
from sites.ways.writing import keep_as_case
from tests.sites.making import make_person
from tests.sites.prices.making import make_prices

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


def test_a_price_by_thumb_gives_the_ways_a_cost_and_a_choice_is_recorded(window, axe):
    person = make_person()
    make_prices()
    page = window(person, size=(390, 844))
    page.goto("/prices/new/")
    assert axe(page) == []
    page.get_by_label("Price of").select_option("Scaffold")
    page.get_by_label("Name on a cost").fill("Scaffold, one face")
    page.get_by_label("Price without VAT [£]").fill("680")
    page.get_by_label("VAT", exact=True).select_option("outside VAT")
    page.get_by_label("How many a design usually takes").fill("1")
    page.get_by_label("Source").fill("INVENTED/6")
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("main")).to_contain_text("Scaffold, one face: kept.")
    page.goto("/quick-look/")
    # The hybrid: 1500 + 2500 + 13 x 150 + 2 x 500 = 6950, 20 % VAT, and 680 outside it.
    ways = page.locator(".ways")
    expect(ways).to_contain_text("£9,020 with VAT")
    ways_kept = ways_to_keep(Asked())
    case = keep_as_case(ways=ways_kept, chosen="hybrid", reference="FH-951", by=person)
    page.goto(f"/premises/{case.premises.key}/costs/")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.get_by_label("Design", exact=True).select_option("Battery only")
    page.get_by_label("Why").fill("It fits the budget.")
    page.get_by_role("button", name="Record the choice").click()
    expect(page.get_by_role("main")).to_contain_text("The customer chose Battery only on")
    assert case.choices.count() == 2
    page.goto(f"/designs/{case.design.key}/cost/")
    assert axe(page) == []
