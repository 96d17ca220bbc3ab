"""Take pictures of pages with Chromium, from the demonstration in a scratch database.

playwright drives Chromium; both are tools for tests.
"""

import importlib
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from sites.bootstrap.system_packages import command_to_type
from sites.management.scratch_demo import scratch_demo, served, session_cookie

WIDTH_PX = 1280
WORK_ASKED_FOR = "FH-103 string inverter, AC-coupled storage, 16 A limit"
OUT_OF_BALANCE = "FH-106 three-phase, out of balance"
_ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]


class Page(NamedTuple):
    """A page to take: its file, the role of its person, the premises, and the page's name.

    `at` is the id of a heading to bring to the top of the window, `folded` selects the parts to
    fold first. `height` is that of the window in CSS pixels.
    """

    file: str
    role: str
    reference: str
    name: str
    height: int
    at: str = ""
    folded: str = ""


PAGES = (
    Page("page-sheet.png", "office", WORK_ASKED_FOR, "design-sheet", 900, at="part-proposed"),
    Page("page-review.png", "engineer", OUT_OF_BALANCE, "case-review", 1000, folded=".rests-on"),
    Page("page-pack.png", "engineer", WORK_ASKED_FOR, "pack-preview", 1150),
)


class ToolMissingError(Exception):
    """Chromium or playwright is not there; the message says how to install it."""


def page_pictures() -> Iterator[tuple[str, bytes]]:
    """File name and PNG of each page. Raises ToolMissingError, or RuntimeError for a page that
    does not come."""
    program = chromium()
    with scratch_demo(), served() as address:
        # Query the database first: Django takes playwright's thread for one that must not wait, and
        # refuses queries there.
        wanted = [(page, *_signed_in(page, address)) for page in PAGES]
        with _browser(program) as browser:
            for page, path, cookie in wanted:
                yield page.file, _taken(browser, page, f"{address}{path}", cookie)


def chromium() -> str:
    """Path of the browser. Raises ToolMissingError if the browser or playwright is missing."""
    try:
        importlib.import_module("playwright.sync_api")
    except ImportError:
        raise ToolMissingError(
            "playwright is not installed, which drives the browser; "
            "`python3 -m sites.bootstrap test` installs the tools."
        ) from None
    program = shutil.which("chromium")
    if program is None:
        raise ToolMissingError(
            f"chromium is not installed; type: {command_to_type(['chromium'])}"
        ) from None
    return program


@contextmanager
def _browser(program: str) -> Iterator[Any]:
    sync_api = importlib.import_module("playwright.sync_api")
    try:
        with sync_api.sync_playwright() as started:
            browser = started.chromium.launch(executable_path=program, args=_ARGUMENTS)
            try:
                yield browser
            finally:
                browser.close()
    except sync_api.Error as fault:
        raise RuntimeError(f"Chromium says: {fault.message.splitlines()[0]}") from None


def _signed_in(page: Page, address: str) -> tuple[str, dict[str, str]]:
    """The path of a page, and the cookie of its signed-in person."""
    from django.urls import reverse

    from sites.cases.models import Case
    from sites.desk.writing.demonstration import PEOPLE

    case = Case.objects.select_related("application", "design").get(
        premises__reference=page.reference
    )
    of = {"design-sheet": case.design, "case-review": case, "pack-preview": case.application}
    email = next(email for email, _name, role in PEOPLE if role == page.role)
    return reverse(page.name, args=[of[page.name].key]), session_cookie(email, address)


def _taken(browser: Any, page: Page, url: str, cookie: dict[str, str]) -> bytes:
    context = browser.new_context(
        viewport={"width": WIDTH_PX, "height": page.height},
        locale="en-GB",
        timezone_id="Europe/London",
        reduced_motion="reduce",
    )
    try:
        context.add_cookies([cookie])
        tab = context.new_page()
        answer = tab.goto(url, wait_until="networkidle")
        if answer is None or answer.status != 200:
            raise RuntimeError(f"the page {page.name} of {page.reference} does not come")
        if page.folded:
            tab.eval_on_selector_all(page.folded, "parts => parts.forEach(p => p.open = false)")
        if page.at:
            tab.eval_on_selector(f"#{page.at}", "heading => heading.scrollIntoView()")
        picture: bytes = tab.screenshot()
        return picture
    finally:
        context.close()
