"""A network that breaks while somebody types, and Enter in a text box."""

import pytest
from playwright.sync_api import expect

from sites.premises.models import Draft, Premises
from tests.browser.reading import box, held
from tests.sites.making import make_person

pytestmark = pytest.mark.browser


def kept(draft_of):
    return {name: values[0] for name, values in Draft.objects.get(person=draft_of).content.items()}


def test_what_is_typed_while_the_network_is_cut_is_sent_by_itself(window):
    office = make_person()
    page = window(office)
    page.goto("/premises/new/", timeout=90_000)
    box(page, "case-reference").fill("BEFORE")
    expect(page.locator("#kept")).to_contain_text("not saved yet")

    page.context.set_offline(True)
    box(page, "case-reference").fill("AFTER-1")
    notice = page.locator("#session-notice")
    expect(notice).to_contain_text("The server cannot be reached.")
    box(page, "customer-name").fill("Barnaby Quill (invented)")
    typed = held(page)
    page.context.set_offline(False)

    expect(notice).to_contain_text("what was waiting has been sent")
    expect(page.locator("#kept")).to_contain_text("not saved yet")
    assert held(page) == typed
    content = kept(office)
    assert content["case-reference"] == "AFTER-1"
    assert content["customer-name"] == "Barnaby Quill (invented)"

    # Pressed while the network is cut, the button does its work afterwards, once.
    box(page, "supply-phases").select_option("1")
    page.context.set_offline(True)
    create = page.get_by_role("button", name="Create the premises")
    create.click()
    expect(notice).to_contain_text("The server cannot be reached.")
    create.click()
    page.context.set_offline(False)
    expect(page.get_by_role("heading", level=1)).to_contain_text("AFTER-1")
    assert Premises.objects.count() == 1


def test_enter_in_a_text_box_creates_nothing(window):
    page = window(make_person())
    page.goto("/premises/new/", timeout=90_000)
    box(page, "case-reference").fill("BY-ENTER")
    box(page, "supply-phases").select_option("1")
    for name in ("case-reference", "customer-name"):
        box(page, name).press("Enter")
    # The address and the page stay, so that a post would have been seen by now.
    expect(page.locator("#kept")).to_contain_text("not saved yet")
    assert page.url.endswith("/premises/new/")
    assert not Premises.objects.exists()
    page.get_by_role("button", name="Create the premises").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("BY-ENTER")
