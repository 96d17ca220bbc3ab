"""People, a store of the test's own, premises, and a headless browser that hears of everything that
the policy on content stops."""

import html
import re
from pathlib import Path

import pytest
from django.db import transaction

from tests.sites.making import island, make_person, make_premises
from tests.sites.own_database import own_database, template

HERE = Path(__file__).parent

# WCAG 2.2 level AA, and what axe-core calls good practice on top.
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


# Fixtures of a test of rows, and of one that asks for pages.
ROWS = {"db", "transactional_db", "own"}
PAGES = {"client", "live_server"}


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """Mark as `database` what uses rows and asks for no page."""
    for item in items:
        if item.path.is_relative_to(HERE):
            used = {*item.fixturenames}
            if (used & ROWS or item.get_closest_marker("django_db")) and not used & PAGES:
                item.add_marker("database")


@pytest.fixture
def window(chromium, live_server):
    """`window(person, width=1280)`: a page of a signed-in person's browser, with `faults`, what its
    console and the policy on content complained of."""
    opened = []

    def open_window(person=None, *, width=1280, height=800):
        context = chromium.new_context(
            viewport={"width": width, "height": height}, base_url=live_server.url
        )
        context.set_default_timeout(10_000)
        opened.append(context)
        if person is not None:
            context.add_cookies([session_cookie(person, live_server.url)])
        page = context.new_page()
        page.faults = []
        page.on("pageerror", lambda fault: page.faults.append(str(fault)))
        page.on("console", lambda said: note(page, said))
        return page

    yield open_window
    for context in opened:
        context.close()


def note(page, said):
    """Keep what went wrong; that a server answered 4xx is what some tests are about."""
    answered = ("Failed to load resource", "Response Status Error Code")
    if said.type in {"error", "warning"} and not said.text.startswith(answered):
        page.faults.append(said.text)


def session_cookie(person, url):
    """The cookie of a session of this person, as sign-in would set it."""
    from django.test import Client

    client = Client()
    client.force_login(person)
    return {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": url}


@pytest.fixture
def axe():
    """`axe(page)`: what axe-core finds wrong on a page, in words; empty if nothing."""
    from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]

    def look(page):
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": AXE_TAGS}})
        return [
            f"{fault['id']}: {fault['help']} ({node['html'][:200]})"
            for fault in found.response["violations"]
            for node in fault["nodes"]
        ]

    return look


@pytest.fixture
def words():
    """`words(answer)`: what a page says, without its marks."""

    def read(answer):
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())

    return read


@pytest.fixture(autouse=True)
def store(settings, tmp_path):
    """The files of one test; nothing of it is kept."""
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT / "files"


@pytest.fixture(scope="module")
def rows_for_all(django_db_setup, django_db_blocker):
    """Rows written now are there for all tests of a file; each of them undoes what it does itself.
    For files without `transaction=True`, which would clear the database between two tests."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="session")
def own_template(tmp_path_factory):
    with template(tmp_path_factory.mktemp("template")) as name:
        yield name


@pytest.fixture
def own(own_template, tmp_path):
    """A database of the test's own, with two engineers and a premises, for several processes."""
    with own_database(tmp_path, copy_of=own_template) as found:
        yield found


@pytest.fixture
def quick_print(monkeypatch):
    """Print in a moment, for tests of what becomes of a print; the bytes follow from the pack."""

    def bytes_of(pack, _files=None):
        return b"%PDF-1.7 " + pack.digests.pack.encode()

    for name in ("render", "render_annex"):
        monkeypatch.setattr(f"connections.documents.render.{name}", bytes_of)


@pytest.fixture
def engineer(db):
    return make_person("engineer")


@pytest.fixture
def office(db):
    return make_person("office")


@pytest.fixture
def plain(office):
    """A line with nothing to settle: PV and storage of 3.6 kW each, by application."""
    return make_premises(by=office)


@pytest.fixture
def flagged(office):
    """The same, but the battery can run as an island, which an engineer decides."""
    return make_premises(by=office, **island())


@pytest.fixture
def by_engineer(client, engineer):
    """A browser in which the engineer is signed in."""
    client.force_login(engineer)
    return client


@pytest.fixture
def by_office(client, office):
    """A browser in which the office is signed in."""
    client.force_login(office)
    return client
