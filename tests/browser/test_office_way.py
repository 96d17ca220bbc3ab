"""The office's way: from sign-in to a saved premises, by keyboard alone, with nothing lost."""

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from sites.cases.models import Case
from sites.premises.models import Unit
from tests.browser.layout import SIZES
from tests.browser.plain_home import (
    AT_MOST,
    CASE,
    PROPOSED,
    SUPPLY,
    SUPPLY_NUMBER,
    THERE,
    make_firm,
    type_in,
)
from tests.browser.reading import box, filled, held, is_marked, mark, message_at
from tests.sites.making import PASSWORD, make_person

pytestmark = [pytest.mark.browser, pytest.mark.parametrize("size", SIZES)]


def test_a_home_is_typed_by_keyboard_alone(window, keyboard, size):
    """2 x 3600 W / 230 V = 31.304 A: below the 32 A of a phase, each unit below its 16 A."""
    make_firm()
    office = make_person(password=PASSWORD)
    page = window(size=size)
    page.goto("/")
    keys = keyboard(page)
    keys.fill("E-mail", office.email)
    keys.fill("Password", PASSWORD)
    page.keyboard.press("Enter")

    expect(page.get_by_role("heading", level=1)).to_have_text("Work list")
    expect(page.get_by_text("There are no premises yet.")).to_be_visible()
    keys.push("New premises")
    expect(page.get_by_role("heading", level=1)).to_have_text("New premises")
    keys.filled.clear()
    mark(page)
    panel = page.locator("#panel")
    expect(panel).to_contain_text("Say how many phases the supply has.")

    type_in(keys, CASE)
    type_in(keys, SUPPLY)
    expect(panel).not_to_contain_text("Say how many phases the supply has.")
    type_in(keys, THERE)
    # 3600 W / 230 V = 15.652 A of PV alone: one small unit, told afterwards.
    expect(panel).to_contain_text("15.65 A")
    expect(panel.locator("#panel-procedure")).to_contain_text("notify", ignore_case=True)
    type_in(keys, PROPOSED)
    expect(panel).to_contain_text("31.304 A")
    expect(panel).to_contain_text("0.696 A below 32 A")
    expect(panel.locator("#panel-procedure")).to_have_text(
        "Short application: small generation installation below 60 A"
    )
    assert panel.locator(".steps li").count() >= 1
    expect(panel.get_by_role("img", name="L1: 31.304 A")).to_be_visible()
    diagram = panel.get_by_role("group", name="Single-line diagram, sheet 1 of 1")
    expect(diagram).to_contain_text("pv-1")
    expect(diagram).to_contain_text("bat-1")
    expect(page.locator("#panel-says")).to_contain_text("L1 31.304 A")
    assert is_marked(page)
    assert len(keys.filled) <= AT_MOST

    keys.push("Create the premises")
    expect(page.get_by_role("heading", level=1)).to_contain_text("KEYS-1")
    assert not is_marked(page)
    expect(page.get_by_text("KEYS-1 is created.")).to_be_visible()
    expect(page.locator("section[aria-labelledby=findings] > p")).to_have_text("Nothing.")
    expect(page.locator("section[aria-labelledby=sees]")).to_contain_text("31.304 A")
    order = page.locator("main section > h2").all_inner_texts()
    assert order == [
        "Where the case stands",
        "What the network sees",
        "What follows",
        "In the way (0)",
        "What would make it simpler",
        "Single-line diagram",
        "The rest",
    ]
    assert Case.objects.get().application.reference == "KEYS-1"


def kept(page):
    """Wait until the server has what was typed last."""
    page.wait_for_function("() => !document.querySelector('.htmx-request')")
    expect(page.locator("#kept")).to_contain_text("not saved yet")


def sign_in_elsewhere(page, person, keyboard):
    """Follow the link of the notice and sign in, in the window that it opens."""
    with page.expect_popup() as opened:
        keyboard(page).push("Sign in in a new window")
    expect(opened.value.get_by_role("heading", level=1)).to_have_text("Sign in")
    keys = keyboard(opened.value)
    keys.fill("E-mail", person.email)
    keys.fill("Password", PASSWORD)
    opened.value.keyboard.press("Enter")
    expect(opened.value.get_by_text("Go back to the window that you came from")).to_be_visible()
    opened.value.close()


WRONG_NUMBER = f"{SUPPLY_NUMBER[:-1]}{(int(SUPPLY_NUMBER[-1]) + 1) % 10}"


def test_bad_entries_are_said_at_their_boxes_and_nothing_is_lost(window, keyboard, watch, size):
    page = window(make_person(), size=size)
    page.goto("/premises/new/")
    keys = keyboard(page)
    keys.fill("case-planned_on", "the day after the 31st of June")
    keys.fill("customer-name", "Barnaby Quill (invented)")
    keys.fill("numbers-0-value", WRONG_NUMBER)
    keys.choose("supply-phases", "1")
    keys.choose("proposed-units-0-source", "storage")
    keys.fill("proposed-units-0-rated_w", "3680")
    page.keyboard.press("Tab")

    # 3680 kW is asked about: in a box of kW, watts may be meant.
    asked = message_at(page, "proposed-units-0-rated_w")
    expect(asked).to_contain_text("3680 kW is far more than usual")
    expect(message_at(page, "case-planned_on")).to_contain_text("write day, month and")
    expect(message_at(page, "numbers-0-value")).to_contain_text("check digit")
    expect(page.locator("#panel")).to_contain_text("Not readable yet")
    typed = filled(page)
    assert typed["proposed-units-0-rated_w"] == "3680"
    assert typed["numbers-0-value"] == WRONG_NUMBER
    assert typed["case-planned_on"] == "the day after the 31st of June"

    # Sent all the same: it comes back with everything in it, a summary that has the focus, and
    # links that lead to the boxes.
    with watch.answers(422):
        keys.push("Create the premises")
        summary = page.locator("#faults")
        expect(summary).to_be_focused()
    expect(summary.get_by_role("heading")).to_contain_text("need another look")
    assert filled(page) == typed
    page.keyboard.press("Tab")
    first = keys.here()
    assert first.name.startswith("Reference")
    page.keyboard.press("Enter")
    expect(box(page, "case-reference")).to_be_focused()
    for name in ("case-planned_on", "numbers-0-value", "proposed-units-0-rated_w"):
        link = summary.locator(f'a[href="#id_{name}"]')
        expect(link).to_be_visible()
        expect(box(page, name)).to_have_attribute("aria-invalid", "true")

    # A closed tab: the draft has all of it.
    context = page.context
    page.close()
    page = context.new_page()
    page.goto("/")
    page.get_by_role("link", name="Go on typing").click()
    assert filled(page) == typed

    # Mended one by one. "3680 W is meant" takes effect: 3680 W / 230 V = 16 A.
    keys = keyboard(page)
    keys.fill("case-reference", "MENDED-1")
    keys.fill("case-planned_on", "18 January 2027")
    keys.fill("numbers-0-value", SUPPLY_NUMBER)
    keys.pick("proposed-units-0-rated_w-meant", "Yes, I mean 3680 W")
    expect(page.locator("#panel")).to_contain_text("16 A")
    expect(message_at(page, "case-planned_on")).to_be_empty()
    expect(message_at(page, "numbers-0-value")).to_be_empty()
    keys.push("Create the premises")
    expect(page.get_by_text("MENDED-1 is created.")).to_be_visible()
    assert Unit.objects.get().rated_w == 3680


def test_a_session_that_ends_while_typing_costs_nothing(window, keyboard, watch, size):
    office = make_person(password=PASSWORD)
    page = window(office, size=size)
    page.goto("/premises/new/")
    keys = keyboard(page)
    keys.fill("case-reference", "KEPT-1")
    keys.choose("supply-phases", "1")
    keys.choose("proposed-units-0-source", "storage")
    kept(page)
    Session.objects.all().delete()

    notice = page.locator("#session-notice")
    with watch.answers(401):
        keys.fill("proposed-units-0-rated_w", "3.6")
        keys.fill("proposed-units-0-model", "typed while signed out")
        expect(notice).to_contain_text("You have been signed out.")
        assert box(page, "proposed-units-0-model").input_value() == "typed while signed out"
        typed = held(page)
        sign_in_elsewhere(page, office, keyboard)

    keys.push("I have signed in: send it again")
    expect(notice).to_contain_text("You are signed in again")
    # 3600 W / 230 V = 15.652 A
    expect(page.locator("#panel")).to_contain_text("15.65 A")
    assert held(page) == typed
    keys.push("Create the premises")
    expect(page.get_by_role("heading", level=1)).to_contain_text("KEPT-1")
    unit = Unit.objects.get()
    assert (unit.rated_w, unit.model) == (3600, "typed while signed out")


def test_saving_after_the_session_ended_waits_for_sign_in(window, keyboard, watch, size):
    office = make_person(password=PASSWORD)
    page = window(office, size=size)
    page.goto("/premises/new/")
    keys = keyboard(page)
    keys.fill("case-reference", "SENT-ONCE")
    keys.choose("supply-phases", "1")
    kept(page)
    typed = held(page)
    Session.objects.all().delete()
    with watch.answers(401):
        keys.push("Create the premises")
        expect(page.locator("#session-notice")).to_contain_text("You have been signed out.")
        assert held(page) == typed
        sign_in_elsewhere(page, office, keyboard)
    # A headless browser gives no window the focus; this is the event that coming back makes.
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    expect(page.get_by_role("heading", level=1)).to_contain_text("SENT-ONCE")
    assert Case.objects.count() == 1
