"""A unit of the sheet begun with the values of a model of the catalogue; what follows is shown at
once, and what is saved is the unit's own."""

import pytest
from playwright.sync_api import expect

from sites.catalogue.models import Equipment
from sites.premises.models import Unit
from tests.sites.making import make_equipment, make_person, make_premises

pytestmark = pytest.mark.browser


def test_a_unit_has_the_values_of_a_model(window, axe):
    """PV 3600 W and storage 3600 W are 31.304 A; with another 1840 W 39.304 A."""
    make_equipment(model="H1.8", rated_w=1840)
    office = make_person()
    case = make_premises(by=office)
    page = window(office)
    page.goto(f"/designs/{case.design.key}/sheet/")
    panel = page.locator("#panel")
    expect(panel).to_contain_text("31.304 A")
    assert axe(page) == []
    page.get_by_label("Begin the next unit with").last.select_option("Invented Works H1.8")
    page.get_by_role("button", name="Add a unit", exact=True).click()
    expect(page.locator("#id_proposed-units-2-model")).to_have_value("H1.8")
    # Nothing was typed in the row, and the panel knows it all the same.
    expect(panel).to_contain_text("39.304 A")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("The sheet is saved.")).to_be_visible()
    unit = Unit.objects.get(design=case.design, model="H1.8")
    assert (unit.rated_w, unit.phases, unit.standard) == (1840, "L1", "G98")
    # Copied once: what changes in the catalogue changes no unit.
    Equipment.objects.update(rated_w=2000)
    unit.refresh_from_db()
    assert unit.rated_w == 1840
