"""The entry pages at desktop and phone width: nothing for axe-core to find, nothing that the policy
on content stops, nothing that runs off the side, and the keyboard alone is enough."""

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.premises.models import Draft
from tests.sites.making import (
    PASSWORD,
    home,
    island,
    make_pack_row,
    make_person,
    make_premises,
    make_question,
)

pytestmark = [pytest.mark.browser, pytest.mark.looks, pytest.mark.django_db(transaction=True)]

WIDTHS = pytest.mark.parametrize("width", [1280, 360])


def check(page, axe, width):
    assert axe(page) == []
    assert page.faults == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@WIDTHS
def test_sign_in_by_keyboard(window, axe, live_server, width):
    ann = make_person(password=PASSWORD)
    page = window(width=width)
    page.goto("/")
    check(page, axe, width)

    page.keyboard.type(ann.email)  # the first box has the focus
    page.keyboard.press("Tab")
    page.keyboard.type("wrong wrong wrong")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=That did not work")
    assert page.evaluate("document.activeElement.id") == "faults"
    check(page, axe, width)

    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(f"{live_server.url}/")
    assert page.inner_text("h1") == "Work list"


@WIDTHS
def test_the_work_list(window, axe, width):
    office, engineer = make_person(), make_person("engineer")
    page = window(office, width=width)
    page.goto("/")
    assert "There are no premises yet" in page.inner_text("main")
    check(page, axe, width)

    long = home()["premises"] | {"name": "Themanwhonevertypesaspace" * 4}
    make_premises(premises=long)
    make_question(make_premises(**island()), by=engineer)
    make_pack_row(make_premises(), by=engineer)
    Draft.objects.create(person=office, page="premises/new", changed_at=timezone.now())
    page.goto("/")
    assert "1 to 3 of 3" in page.inner_text("caption")
    check(page, axe, width)

    page.focus("#q")
    page.keyboard.type("Reedcutter")
    page.keyboard.press("Enter")
    page.wait_for_selector(".chips")
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    check(page, axe, width)


@WIDTHS
def test_the_first_tab_skips_to_the_content(window, width):
    page = window(make_person(), width=width)
    page.goto("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"


@WIDTHS
def test_events_and_trouble(window, axe, width):
    office = make_person()
    case = make_premises(by=office)
    page = window(office, width=width)
    for address in (reverse("events", args=[case.premises.key]), "/no/such/page/", "/sign-in/"):
        page.goto(address)
        check(page, axe, width)
    assert "You are signed in" in page.inner_text("h1")


@pytest.mark.parametrize("address", ["/", "/sign-in/"])
def test_at_twice_the_size_nothing_runs_off(window, address):
    # 200 % of a window of 1280 is one of 640 in CSS.
    page = window(make_person(), width=640)
    page.goto(address)
    assert page.evaluate("document.documentElement.scrollWidth") <= 640


def test_what_can_be_pressed_is_large_enough(window):
    """WCAG 2.2, 2.5.8: 24 by 24 CSS pixels, but for links within a sentence."""
    make_premises()
    page = window(make_person(), width=360)
    page.goto("/")
    sizes = page.eval_on_selector_all(
        "button:enabled, select, input:not([type=hidden]), .masthead-nav a, .wordmark",
        "found => found.map(e => [e.outerHTML.slice(0, 60), e.getBoundingClientRect().height,"
        " e.getBoundingClientRect().width])",
    )
    assert len(sizes) >= 4
    for element, height, width in sizes:
        assert min(height, width) >= 24, element
