"""The survey sheet in a real browser: by keyboard, on a desk and on a phone, and what axe-core and
the policy on content say to it."""

import pytest
from django.contrib.sessions.models import Session
from django.urls import reverse

from sites.premises.models import Draft
from tests.sites.deciding.test_two_people import Desk
from tests.sites.making import PASSWORD, island, make_person, make_premises

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WIDTHS = [1280, 360]


@pytest.fixture
def person():
    return make_person("office", name="Ann Vole", password=PASSWORD)


def panel_after(page, act):
    """Do something and wait until the panel has come for it."""
    with page.expect_response(lambda answer: "/panel/" in answer.url and answer.ok):
        act()
    page.wait_for_selector(".htmx-request", state="detached")


def sheet_of(case):
    return reverse("design-sheet", args=[case.design.key])


@pytest.mark.parametrize("width", WIDTHS)
def test_a_premises_by_keyboard_alone(window, person, width):
    page = window(person, width=width)
    page.goto("/premises/new/")
    page.focus("#id_case-reference")
    page.keyboard.type("By keyboard")
    page.focus("#id_supply-phases")
    page.keyboard.type("single")  # chooses in the list
    page.keyboard.press("Tab")
    page.keyboard.type("80")
    page.focus("#id_proposed-units-0-source")
    page.keyboard.type("PV")
    page.keyboard.press("Tab")
    page.keyboard.type("3680")
    # A panel sent before the last digit asks about a shorter number; the next replaces its answers.
    page.wait_for_selector("#msg-proposed-units-0-rated_w input[value^='3680 =']")
    # The cursor stays where it was while messages and panel come.
    assert page.evaluate("document.activeElement.id") == "id_proposed-units-0-rated_w"
    page.keyboard.press("Tab")  # to the answers: one is chosen with the arrows
    page.wait_for_selector("#msg-proposed-units-0-rated_w input:focus")
    page.keyboard.press("ArrowDown")
    page.wait_for_selector("text=16 A at 230 V")
    assert page.is_checked("#meant-proposed-units-0-rated_w-1")
    # A row is added and taken out by keyboard, too.
    page.focus("text=Add cells >> nth=1")
    page.keyboard.press("Enter")
    page.wait_for_selector("#row-proposed-cells-0")
    # The cursor goes into the new row once htmx has settled it.
    page.wait_for_selector("#id_proposed-cells-0-usable_wh:focus")
    page.keyboard.type("9,5")
    page.focus("#id_proposed-cells-0-gone")
    page.keyboard.press("Space")
    page.wait_for_selector("#row-proposed-cells-0 .row-out-done")
    assert not page.is_visible("#id_proposed-cells-0-usable_wh")
    page.keyboard.press("Space")
    assert page.input_value("#id_proposed-cells-0-usable_wh") == "9,5"
    page.keyboard.press("Space")
    page.focus("text=Create the premises")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=By keyboard is created.")
    assert "3.68 kW" in page.inner_text("main")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.faults == []


@pytest.mark.looks
@pytest.mark.parametrize("width", WIDTHS)
def test_pages_have_nothing_against_them(window, axe, person, width):
    case = make_premises(**island())
    page = window(person, width=width)
    for address in (
        "/premises/new/",
        sheet_of(case),
        reverse("premises", args=[case.premises.key]),
    ):
        page.goto(address)
        page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
        assert axe(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.faults == []


@pytest.mark.looks
@pytest.mark.parametrize("width", WIDTHS)
def test_a_sheet_with_faults_has_nothing_against_it(window, axe, person, width):
    case = make_premises()
    page = window(person, width=width)
    page.goto(sheet_of(case))
    page.fill("#id_case-reference", "")
    page.fill("#id_supply-cutout_a", "12345")
    page.fill("#id_proposed-units-0-rated_w", "3,600")
    page.click("button:text-is('Save')")
    page.wait_for_selector(".faults")
    assert page.evaluate("document.activeElement.id") == "faults"
    assert axe(page) == []
    page.click(".faults a >> nth=0")
    assert page.evaluate("document.activeElement.id") == "id_case-reference"
    assert page.input_value("#id_supply-cutout_a") == "12345"
    assert page.faults == []


@pytest.mark.parametrize("width", WIDTHS)
def test_two_versions_have_nothing_against_them(window, axe, person, width):
    case = make_premises()
    other = Desk("Bo Teal", case)
    page = window(person, width=width)
    page.goto(sheet_of(case))
    panel_after(page, lambda: page.fill("#id_supply-cutout_a", "63"))
    panel_after(page, lambda: page.fill("#id_premises-postcode", "ZZ1 7AA"))
    other.types(supply__cutout_a="100")
    other.saves()
    page.click("button:text-is('Save')")
    page.wait_for_selector("#conflict")
    assert "Bo Teal saved this premises" in page.inner_text("#conflict")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.check('input[name="take|supply||cutout_a"][value=theirs]')
    page.click("button:text-is('Save')")
    page.wait_for_selector("text=The sheet is saved.")
    assert "100 A" in page.text_content("main")
    assert "ZZ1 7AA" in page.text_content("main")
    assert page.faults == []


def test_typing_survives_a_closed_tab(window, person):
    case = make_premises()
    page = window(person)
    page.goto(sheet_of(case))
    panel_after(page, lambda: page.fill("#id_supply-cutout_a", "a hundred?"))
    page.wait_for_selector("text=not saved yet")
    context = page.context
    page.close()
    again = context.new_page()
    again.goto(sheet_of(case))
    assert again.input_value("#id_supply-cutout_a") == "a hundred?"
    assert "You typed this on" in again.inner_text("#draft-notice")
    again.click("text=Drop what I typed")
    again.wait_for_selector("text=What you typed is thrown away")
    assert again.input_value("#id_supply-cutout_a") == "80"


def test_typing_goes_on_when_the_session_has_ended(window, person):
    case = make_premises()
    page = window(person)
    page.goto(sheet_of(case))
    Session.objects.all().delete()
    page.fill("#id_supply-cutout_a", "63")
    page.wait_for_selector("text=You have been signed out.")
    assert page.input_value("#id_supply-cutout_a") == "63"
    with page.expect_popup() as opened:
        page.click("#session-notice a")
    other = opened.value
    other.fill("#id_username", person.email)
    other.fill("#id_password", PASSWORD)
    other.press("#id_password", "Enter")
    other.wait_for_selector("text=Go back to the window that you came from")
    other.close()
    panel_after(page, lambda: page.click("text=send it again"))
    page.wait_for_selector("text=not saved yet")
    assert Draft.objects.get(person=person).content["supply-cutout_a"] == ["63"]


def test_saving_right_after_typing_leaves_no_draft(window, person):
    case = make_premises()
    page = window(person)
    page.goto(sheet_of(case))
    page.fill("#id_supply-cutout_a", "63")
    page.click("button:text-is('Save')")
    page.wait_for_selector("text=The sheet is saved.")
    page.goto(sheet_of(case))
    assert page.query_selector("#draft-notice") is None
    assert page.input_value("#id_supply-cutout_a") == "63"
