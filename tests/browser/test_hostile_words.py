"""HTML in names, reasons and titles is shown as it was typed, and never runs."""

from io import BytesIO

import pypdfium2
import pytest
from PIL import Image
from playwright.sync_api import expect

from sites.cases.models import Case
from sites.house.boxes.fields import LinesBox, WordsBox
from sites.packs.models import FrozenPack
from sites.premises.forms.sheet import GROUPS, SINGLES
from tests.browser.pages import addresses, keys_of
from tests.sites.making import island, make_person, make_premises

pytestmark = pytest.mark.browser

HOSTILE = "\"'></text><img src=x onerror=window.ran=1>"
"""Leaves an attribute, an SVG text and a paragraph; were it taken for HTML, an element would appear
that no page of ours has, and its script would run or be reported by the policy on content."""


def boxes_for_words() -> list[str]:
    """Boxes of the sheet that take any words, by the name under which they are posted. Not those
    that name another row, and no limit, which would want figures."""
    not_free = {"unit_id", "serves", "value"}
    forms = {name: form for name, form in SINGLES.items() if not name.endswith(("port", "changed"))}
    forms |= {f"{group}-0": form for group, form in GROUPS.items() if not group.startswith("caps")}
    return [
        f"{prefix}-{name}"
        for prefix, form in forms.items()
        for name, box in form.base_fields.items()
        if type(box) in {WordsBox, LinesBox} and name not in not_free
    ]


def type_everywhere(page) -> int:
    """Put the words into every box there is on the page for any words; how many there were."""
    count = page.evaluate(
        """([names, words]) => names.map((name) => document.getElementsByName(name)[0])
          .filter(Boolean)
          .map((box) => {
            box.value = words;
            box.dispatchEvent(new Event("input", {bubbles: true}));
          }).length""",
        [boxes_for_words(), HOSTILE],
    )
    return int(count)


def nothing_ran(page) -> None:
    """No script ran, and no element was made of the words."""
    assert page.evaluate("typeof window.ran") == "undefined"
    assert page.locator("[onerror], img").count() == 0


def picture() -> bytes:
    out = BytesIO()
    Image.new("RGB", (40, 40), "white").save(out, "PNG")
    return out.getvalue()


def test_words_that_are_html_never_run(window, work_waiting_tasks):
    engineer = make_person("engineer", name=f"Edmund {HOSTILE}")
    case = make_premises(by=engineer, **island())
    page = window(engineer)

    # On the sheet: every box for words, also in rows for devices, cables and loads.
    page.goto(f"/designs/{case.design.key}/sheet/")
    for summary in ("Protective devices", "Cables", "Large loads"):
        page.locator("summary", has_text=summary).last.click()
    for button in ("Add a device", "Add a cable", "Add a load"):
        page.get_by_role("button", name=button, exact=True).last.click()
        page.wait_for_function("() => !document.querySelector('.htmx-request')")
    assert type_everywhere(page) > 20
    page.locator("[name$='loads-0-w']").last.fill("1")  # no pack is issued without it
    panel = page.locator("#panel")
    expect(panel).to_contain_text("onerror=window.ran=1")
    expect(page.locator("#kept")).to_contain_text("not saved yet")
    nothing_ran(page)
    page.reload()
    nothing_ran(page)  # the draft, as the server wrote it
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("The sheet is saved.")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_contain_text(HOSTILE)
    nothing_ran(page)

    # In a copy's name, a question, its answer, a reason and the title of a file.
    page.get_by_text("Another design", exact=True).click()
    page.get_by_label("Name of the copy").fill(f"Design {HOSTILE}")
    page.locator("form[action$='/copy/'] button:enabled").click()
    expect(page.get_by_text(f"Design {HOSTILE} is a copy")).to_be_visible()
    nothing_ran(page)
    page.goto(f"/cases/{case.key}/review/")
    article = page.locator("article.finding-decide", has_text="bat-1 can run as an island")
    article.get_by_text("Send back to the office with a question").click()
    article.get_by_label("Question to the office").fill(f"Question {HOSTILE}")
    article.get_by_role("button", name="Send the question").click()
    expect(page.get_by_text(f"Question {HOSTILE}")).to_be_visible()
    article.get_by_label("Answer").fill(f"Answer {HOSTILE}")
    article.get_by_role("button", name="Answer").click()
    expect(page.get_by_text(f"Answer {HOSTILE}")).to_be_visible()
    # One decision has such words; those on what the hostile rows lack have plain ones.
    open_ones = page.locator("article.finding-decide").filter(
        has=page.get_by_role("button", name="Enter the decision")
    )
    for n in range(open_ones.count(), 0, -1):
        expect(open_ones).to_have_count(n)
        reason = f"Reason {HOSTILE}" if n == 1 else "Looked at on site."
        open_ones.last.get_by_label("Your decision, and the reason for it").fill(reason)
        open_ones.last.get_by_role("button", name="Enter the decision").click()
    expect(page.get_by_text(f"Reason {HOSTILE}")).to_be_visible()
    nothing_ran(page)
    page.goto(f"/applications/{case.application.key}/preview/")
    page.get_by_text("Attach a file").click()
    file = {"name": f"{HOSTILE}.png".replace("/", ""), "mimeType": "image/png", "buffer": picture()}
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_label("What it is").fill(f"Title {HOSTILE}")
    page.get_by_role("button", name="Attach", exact=True).click()
    expect(page.get_by_text(f"Title {HOSTILE}").first).to_be_visible()
    nothing_ran(page)

    # Issued and printed; then every page of the case.
    page.get_by_role("button", name="Issue revision 1").click()
    expect(page.get_by_text("The pack is issued and is being printed.")).to_be_visible()
    work_waiting_tasks()
    expect(page.get_by_role("link", name="Download the PDF")).to_be_visible()
    case = Case.objects.get()
    for address in addresses(keys_of(case, pack=FrozenPack.objects.get().key)):
        page.goto(address)
        nothing_ran(page)
        expect(page.locator("body")).to_contain_text(HOSTILE)

    with page.expect_download() as begun:
        page.goto(f"/packs/{FrozenPack.objects.get().key}/")
        page.get_by_role("link", name="Download the PDF").click()
    with pypdfium2.PdfDocument(begun.value.path().read_bytes()) as document:
        text = "".join(sheet.get_textpage().get_text_range() for sheet in document)
    assert "onerror=window.ran=1" in "".join(text.split())
