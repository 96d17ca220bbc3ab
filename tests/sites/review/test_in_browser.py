"""The pages of review and packs in a real browser, wide and narrow: nothing that axe-core or the
policy on content complains of, by keyboard alone, and the print that comes by itself."""

import pytest
from django.core.management import call_command
from django.urls import reverse

from sites.packs.models import FrozenPack
from sites.review.models import Verdict
from tests.sites.making import (
    island,
    make_attachment,
    make_pack,
    make_person,
    make_premises,
    make_question,
    make_verdict,
)
from tests.sites.review.making import capped, make_pdf

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WIDTHS = pytest.mark.parametrize("width", [1280, 360])


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def engineer(transactional_db):
    return make_person("engineer")


def work():
    call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)


def overflow(page):
    return page.evaluate("document.documentElement.scrollWidth - window.innerWidth")


@pytest.fixture
def every_page(engineer):
    """Each page of review and packs, in the states that look different."""
    stopped = capped(**island())
    make_question(stopped, by=engineer)
    decided = make_premises(**island())
    make_verdict(decided, "can-island", by=engineer)
    make_attachment(decided, by=engineer)
    printing = make_pack(make_premises(), by=engineer)
    printed = make_pack(make_premises(), by=engineer)
    FrozenPack.objects.filter(pk=printed.pk).update(
        pdf_sha256="a" * 64, printed_at=printed.issued_at
    )
    failed = make_pack(make_premises(), by=engineer)
    FrozenPack.objects.filter(pk=failed.pk).update(print_fault="The font is missing.")
    return [
        reverse("review-list"),
        reverse("case-review", args=[stopped.key]),
        reverse("case-review", args=[decided.key]),
        reverse("pack-preview", args=[stopped.application.key]),
        reverse("pack-preview", args=[decided.application.key]),
        *(reverse("pack", args=[pack.key]) for pack in (printing, printed, failed)),
        reverse("pack-recheck", args=[printed.key]),
        reverse("pack-erase", args=[printed.key]),
    ]


@pytest.mark.looks
@WIDTHS
def test_no_page_has_a_fault(window, axe, engineer, every_page, width):
    page = window(engineer, width=width)
    for address in every_page:
        page.goto(address)
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        assert axe(page) == [], address
        assert page.faults == [], address
        assert overflow(page) <= 0, address


@pytest.mark.looks
@WIDTHS
def test_pages_with_faults_have_no_other_fault(window, axe, engineer, width):
    case = capped(**island())
    page = window(engineer, width=width)
    page.goto(reverse("case-review", args=[case.key]))
    page.get_by_role("button", name="Enter the decision").click()
    summary = page.locator("#faults")
    summary.wait_for()
    assert page.evaluate("document.activeElement.id") == "faults"
    assert axe(page) == []
    summary.get_by_role("link").click()
    assert page.evaluate("document.activeElement.name") == "reason"
    assert page.faults == []


def test_decided_and_issued_by_keyboard_alone(window, axe, engineer):
    case = make_premises(**island())
    page = window(engineer)
    page.goto(reverse("review-list"))
    press_until(page, case.application.reference, "Tab")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/{case.key}/review/")
    press_until(page, "", "Tab", name="reason")
    page.keyboard.type("The changeover is fitted and its earthing was looked at.")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_text("Your decision is entered.").wait_for()
    assert Verdict.objects.get().reason.startswith("The changeover is fitted")

    page.goto(reverse("pack-preview", args=[case.application.key]))
    press_until(page, "Issue revision 1", "Tab")
    page.keyboard.press("Enter")
    page.get_by_text("is being printed").wait_for()
    assert axe(page) == []
    work()
    link = page.get_by_role("link", name="Download the PDF")
    link.wait_for()  # without the page being opened again
    with page.expect_download() as begun:
        link.press("Enter")
    assert begun.value.suggested_filename.endswith("-revision-1.pdf")
    assert page.faults == []
    page.wait_for_selector("#print:not([hx-get])")  # the annex beside it is printed as well
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.wait_for_timeout(2500)
    assert asked == []  # what is printed is not asked about any more


def press_until(page, words, key, *, name="", most=120):
    """Press a key until what has the focus reads so."""
    for _ in range(most):
        page.keyboard.press(key)
        focused = page.evaluate(
            "[document.activeElement.innerText || '', document.activeElement.name || '']"
        )
        if (words and words in focused[0]) or (name and name == focused[1]):
            return
    raise AssertionError(f"{words or name} was never reached by {key}")


def test_a_double_click_on_issue_issues_once(window, engineer):
    case = make_premises()
    page = window(engineer)
    page.goto(reverse("pack-preview", args=[case.application.key]))
    page.get_by_role("button", name="Issue revision 1").dblclick()
    page.get_by_text("is being printed").wait_for()
    assert FrozenPack.objects.count() == 1


def test_a_file_that_weighs_50_mb_is_answered_in_words(window, engineer, tmp_path):
    case = make_premises()
    heavy = tmp_path / "heavy.pdf"
    heavy.write_bytes(make_pdf() + bytes(50_000_000))
    page = window(engineer)
    page.goto(reverse("pack-preview", args=[case.application.key]))
    page.get_by_text("Attach a file", exact=True).click()
    page.get_by_label("File", exact=True).set_input_files(heavy)
    page.get_by_label("What it is").fill("Too heavy")
    page.get_by_role("button", name="Attach", exact=True).click()
    page.locator("#faults").wait_for()
    assert "8 MB are the most" in page.locator("#faults").inner_text()


def test_a_file_is_attached_by_its_form(window, engineer, tmp_path):
    case = make_premises()
    sheet = tmp_path / "sheet.pdf"
    sheet.write_bytes(make_pdf())
    page = window(engineer, width=360)
    page.goto(reverse("pack-preview", args=[case.application.key]))
    page.get_by_text("Attach a file", exact=True).click()
    page.get_by_label("File", exact=True).set_input_files(sheet)
    page.get_by_label("What it is").fill("Data sheet of the inverter")
    page.get_by_role("button", name="Attach", exact=True).click()
    page.get_by_role("link", name="sheet.pdf").wait_for()
    assert overflow(page) <= 0
    assert page.faults == []


@pytest.mark.looks
@WIDTHS
def test_checks_with_their_workings_open(window, axe, width):
    cable = {
        "from": "consumer unit",
        "to": "pv-1",
        "length_mm": 20_000,
        "csa_mm2": "6",
        "cores": 2,
        "material": "copper",
        "insulation": "thermoplastic 70 C",
        "method": "C",
    }
    case = make_premises(cables=[cable])
    page = window(make_person("office"), width=width)
    page.goto(reverse("case-checks", args=[case.key]))
    page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
    assert page.is_visible("text=Formula: V at each place >> nth=0")
    assert page.is_visible(".plot svg")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.faults == []
