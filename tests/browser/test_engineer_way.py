"""The engineer's way: from the review list to the printed pack, with a question to the office on
the way."""

import pypdfium2
import pytest
from django_tasks_db.models import DBTaskResult
from playwright.sync_api import expect

from sites.packs.models import FrozenPack
from sites.review.models import Verdict
from tests.browser.layout import SIZES
from tests.browser.reading import is_marked, mark
from tests.sites.making import PASSWORD, island, make_person, make_premises

pytestmark = [pytest.mark.browser, pytest.mark.parametrize("size", SIZES)]

LOOPED = {"phases": 1, "cutout_a": 80, "earthing": "TN-C-S", "looped": True}


def text_of(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_from_the_review_list_to_the_pdf(window, keyboard, work_waiting_tasks, size):
    """One finding is decided with a reason, the other sent back with a question."""
    office, engineer = make_person(), make_person("engineer", password=PASSWORD)
    case = make_premises(by=office, supply=LOOPED, **island())
    reference = case.application.reference

    page = window(size=size)
    page.goto("/review/")
    keys = keyboard(page)
    keys.fill("E-mail", engineer.email)
    keys.fill("Password", PASSWORD)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Review")
    expect(page.locator("main")).to_contain_text("2 findings to decide")
    keys.push(reference)

    # The arithmetic is in view: 3600 W / 230 V each, 31.304 A together.
    expect(page.get_by_role("heading", level=1)).to_have_text("Findings and decisions")
    expect(page.locator("section[aria-labelledby=sums]")).to_contain_text("1 × 3.6 kW")
    expect(page.locator("section[aria-labelledby=sums]")).to_contain_text("31.304 A")
    expect(page.get_by_text("2 findings need an engineer's decision.")).to_be_visible()
    islanding = page.get_by_role("article", name="bat-1 can run as an island")
    looped = page.get_by_role("article", name="The service is looped")
    expect(islanding.get_by_text("Facts read")).to_be_visible()

    # Decided with a reason; nobody is let off without one.
    reason = "Changeover switch with neutral earthing relay, seen on site."
    keys.fill("Your decision, and the reason for it", reason, within="bat-1 can run as an island")
    keys.push("Enter the decision")
    expect(page.get_by_text("Your decision is entered.")).to_be_visible()
    expect(islanding).to_contain_text("Decided by")
    expect(islanding).to_contain_text(reason)

    keys.push("Send back to the office with a question", within="The service is looped")
    keys.fill("Question to the office", "Has the operator been asked?", within="The service is")
    keys.push("Send the question")
    expect(page.get_by_text("Your question stands on the work list.")).to_be_visible()
    expect(looped).to_contain_text("Has the operator been asked?")

    # The office sees it on its work list and answers.
    desk = window(office, size=size)
    desk.goto("/")
    hands = keyboard(desk)
    row = desk.get_by_role("row").filter(has_text=reference)
    expect(row).to_contain_text("Answer")
    row.get_by_role("link", name=f": {reference}").focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("Has the operator been asked?")).to_be_visible()
    hands.fill("Answer", "Yes, on 3 November; their e-mail is filed.")
    hands.push("Answer", within="The service is looped")
    expect(desk.get_by_text("Your answer is entered.")).to_be_visible()
    expect(desk.get_by_role("button", name="Issue")).to_have_count(0)

    # The engineer reads the answer, decides, and issues what the preview shows.
    page.reload()
    expect(looped).to_contain_text("Yes, on 3 November; their e-mail is filed.")
    answered = "The operator has agreed to the looped service."
    keys.fill("Your decision, and the reason for it", answered, within="The service is looped")
    keys.push("Enter the decision")
    expect(page.get_by_text("Nothing is open.")).to_be_visible()
    keys.push("The pack, not issued yet")
    expect(page.get_by_text("Not issued; it would be revision 1.")).to_be_visible()
    expect(page.locator("section[aria-labelledby=in-the-way]")).to_contain_text("Nothing.")
    keys.push("Issue revision 1")

    expect(page.get_by_text("The pack is issued and is being printed.")).to_be_visible()
    mark(page)
    work_waiting_tasks()
    download = page.get_by_role("link", name="Download the PDF")
    expect(download).to_be_visible()
    expect(page.get_by_text("The pack is issued and is being printed.")).to_have_count(0)
    assert is_marked(page)
    page.wait_for_selector("#print:not([hx-get])")  # its annex is printed as well
    with page.expect_download() as begun:
        keys.push("Download the PDF")
    pdf = begun.value.path().read_bytes()
    assert pdf.startswith(b"%PDF-")
    text = text_of(pdf)
    assert reference in text
    assert reason in " ".join(text.split())
    assert FrozenPack.objects.get().issued_by == engineer


def test_nothing_is_issued_while_a_decision_is_missing(window, watch, size):
    office, engineer = make_person(), make_person("engineer")
    case = make_premises(by=office, **island())
    page = window(engineer, size=size)
    page.goto(f"/applications/{case.application.key}/preview/")
    way = page.locator("section[aria-labelledby=in-the-way]")
    expect(way).to_contain_text("Needs an engineer's decision")
    expect(page.get_by_role("button", name="Issue")).to_have_count(0)
    way.get_by_role("link", name="Decide it").click()
    # The link leads to the finding itself.
    expect(page.locator("article:target")).to_contain_text("bat-1 can run as an island")

    # A decision without a reason is not taken, and the summary leads to the box.
    with watch.answers(422):
        page.get_by_role("button", name="Enter the decision").click()
        summary = page.locator("#faults")
        expect(summary).to_be_focused()
    summary.get_by_role("link").press("Enter")
    expect(page.get_by_label("Your decision, and the reason for it")).to_be_focused()
    assert not Verdict.objects.exists()


def test_issued_once_however_often_it_is_pressed(window, size):
    engineer = make_person("engineer")
    case = make_premises()
    preview = f"/applications/{case.application.key}/preview/"
    page = window(engineer, size=size)
    page.goto(preview)
    other = window(make_person("engineer"), size=size)
    other.goto(preview)

    page.get_by_role("button", name="Issue revision 1").dblclick()
    expect(page.get_by_text("The pack is issued and is being printed.")).to_be_visible()
    # Another engineer's page is from before: it is told so, and led to the same pack.
    other.get_by_role("button", name="Issue revision 1").click()
    expect(other.get_by_text("nothing was issued twice")).to_be_visible()
    assert other.url == page.url
    pack = FrozenPack.objects.get()
    assert (pack.revision, pack.issued_by) == (1, engineer)
    assert DBTaskResult.objects.count() == 1
