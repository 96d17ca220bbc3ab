"""Two people save the same premises: the second sees both versions, and neither is lost."""

import pytest
from playwright.sync_api import expect

from sites.premises.models import Supply
from tests.browser.layout import SIZES
from tests.browser.reading import box, filled
from tests.sites.making import make_person, make_premises

pytestmark = [
    pytest.mark.browser,
    pytest.mark.database,
    pytest.mark.parametrize("size", SIZES),
]


def test_the_second_to_save_sees_both_versions(window, watch, axe, size):
    """Ann changes cut-out and customer; Bob changes cut-out and earthing, and saves second."""
    ann, bob = make_person(name="Ann Vole (invented)"), make_person(name="Bob Wren (invented)")
    case = make_premises(by=ann)
    address = f"/designs/{case.design.key}/sheet/"
    first, second = window(ann, size=size), window(bob, size=size)
    first.goto(address)
    second.goto(address)

    box(first, "customer-name").fill("Customer as Ann has it")
    box(first, "supply-cutout_a").fill("63")
    box(second, "supply-cutout_a").fill("100")
    box(second, "supply-earthing").select_option("TT")
    expect(second.locator("#kept")).to_contain_text("not saved yet")
    first.get_by_role("button", name="Save", exact=True).click()
    expect(first.get_by_text("The sheet is saved.")).to_be_visible()

    with watch.answers(422):
        second.get_by_role("button", name="Save", exact=True).click()
        conflict = second.locator("#conflict")
        expect(conflict).to_contain_text("Ann Vole (invented) saved this premises")
    assert filled(second)["supply-cutout_a"] == "100"
    assert filled(second)["supply-earthing"] == "TT"
    both = conflict.get_by_role("table", name="Both versions differ: look at each")
    expect(both).to_contain_text("63")
    expect(both).to_contain_text("100")
    theirs = conflict.get_by_role("table", name="Changed by them only")
    expect(theirs).to_contain_text("Customer as Ann has it")
    assert axe(second) == []
    assert Supply.objects.get().cutout_a == 63

    # Hers for the cut-out; the customer is hers by itself, the earthing his.
    both.get_by_label("their version of Supply, rating of the cut-out").check()
    second.get_by_role("button", name="Save", exact=True).click()
    expect(second.get_by_text("The sheet is saved.")).to_be_visible()
    expect(second.locator("main")).to_contain_text("Customer as Ann has it")
    supply = Supply.objects.get()
    assert (supply.cutout_a, supply.earthing) == (63, "TT")
