"""The pages of local entries at desktop and phone width, with axe-core, and by the keyboard."""

import pytest
from django.urls import reverse

from sites.looks.writing.local_entries import add_entry
from sites.rulebook.models import LocalEntry
from tests.sites.making import make_local_entry, make_person, make_premises
from tests.sites.rulebook.making import balance, cap, condition

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def check(page, axe, width):
    assert axe(page) == []
    assert page.faults == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.looks
@pytest.mark.parametrize("width", [1280, 360])
def test_every_page(window, axe, width):
    engineer = make_person("engineer")
    make_premises(premises={"feeder": "North 7", "licence_area": "gb-12"})
    row = make_local_entry(by=engineer)
    for entry in (balance(), condition()):
        add_entry(area="", entry=entry, reason="Told.", by=engineer)
    page = window(engineer, width=width)
    for address in (
        reverse("local-list"),
        reverse("local-choose"),
        f"{reverse('local-new-value')}?key=operator.looped_service",
        reverse("local-new-cap"),
        reverse("local-new-condition"),
        reverse("local-load"),
        reverse("local-entry", args=[row.key]),
    ):
        page.goto(address)
        check(page, axe, width)


@pytest.mark.parametrize("width", [1280, 360])
def test_a_cap_is_entered_and_ended(window, axe, width):
    engineer = make_person("engineer")
    case = make_premises(premises={"feeder": "North 7", "licence_area": "gb-12"})
    page = window(engineer, width=width)
    page.goto(reverse("local-new-cap"))
    page.click("text=See what it would change")
    page.wait_for_selector("#faults")
    check(page, axe, width)
    for name, typed in cap().content.items():
        if name in ("limit", "says"):
            page.fill(f"[name={name}]", typed)
    page.fill("[name=feeders]", "North 7")
    page.select_option("[name=per]", "total")
    page.select_option("[name=area]", "gb-12")
    page.fill("[name=title]", "Letter (invented)")
    page.fill("[name=reason]", "The operator wrote.")
    page.click("text=See what it would change")
    page.wait_for_selector("h1:has-text('What it would change')")
    assert case.premises.reference in page.inner_text("main")
    check(page, axe, width)
    page.click("button:has-text('Enter it')")
    page.wait_for_selector("h1:has-text('Cap on export')")
    check(page, axe, width)
    page.fill("[name=reason]", "It is stronger now.")
    page.click("text=See what it would change")
    page.wait_for_selector("h1:has-text('What it would change')")
    page.click("button:has-text('End it')")
    page.wait_for_selector("text=It is ended.")
    assert LocalEntry.objects.get().end_reason == "It is stronger now."
