"""A headless browser against a server of the test's own; everything that goes wrong is watched."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.keyboard import Keyboard
from tests.browser.layout import SIZES
from tests.browser.watching import Watch

# WCAG 2.2 level AA, and what axe-core calls good practice on top.
_AXE = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    },
    "resultTypes": ["violations"],  # what passes is not described, which takes half the time
    "preload": False,  # no film or sound is played here
}


@pytest.fixture
def watch() -> Iterator[Watch]:
    """What goes wrong in this test's windows; nothing may."""
    watching = Watch()
    yield watching
    assert not watching.faults, "\n".join(watching.faults)


@pytest.fixture
def window(chromium, live_server, watch, settings, tmp_path) -> Iterator[Any]:
    """`window(person, size="phone")`: a page in a browser of its own; without a person, signed out.

    `size` is one of SIZES, or a width and a height.
    """
    settings.MEDIA_ROOT = tmp_path / "media"
    contexts = []

    def open_window(person=None, *, size="desktop", **options):
        width, height = SIZES.get(size, size)
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            base_url=live_server.url,
            locale="en-GB",
            timezone_id="Europe/London",
            # No smooth scrolling: what is measured after a key stands still.
            reduced_motion="reduce",
            **options,
        )
        contexts.append(context)
        context.set_default_timeout(10_000)
        watch.look_at(context)
        if person is not None:
            context.add_cookies([session_cookie(person, live_server.url)])
        return context.new_page()

    yield open_window
    for context in contexts:
        context.close()


def session_cookie(person, url):
    """The cookie of a session of this person, as sign-in would set it."""
    from django.test import Client

    client = Client()
    client.force_login(person)
    return {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": url}


@pytest.fixture
def keyboard() -> Iterator[Any]:
    """`keyboard(page)`: a page used with the keyboard alone, its focus in sight at every stop."""
    given = []

    def use(page):
        given.append(Keyboard(page))
        return given[-1]

    yield use
    lost = [fault for each in given for fault in sorted(each.lost)]
    assert not lost, "\n".join(lost)


@pytest.fixture
def axe():
    """`axe(page)`: what axe-core finds wrong on a page, in words; empty if nothing."""
    from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]

    def look(page):
        found = Axe().run(page, options=_AXE)
        return [
            f"{fault['id']}: {fault['help']} ({node['target']}: {node['html'][:200]})"
            for fault in found.response["violations"]
            for node in fault["nodes"]
        ]

    return look


@pytest.fixture
def work_waiting_tasks():
    """`work_waiting_tasks()`: what the worker does, once, until nothing waits any more."""
    from django.core.management import call_command

    def work():
        call_command("db_worker", batch=True, startup_delay=False, verbosity=0)

    return work
