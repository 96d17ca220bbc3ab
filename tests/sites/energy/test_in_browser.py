"""A file of meter readings in a real browser: sent, refused at its box, mended, worked out."""

import pytest
from django.core.management import call_command
from django.urls import reverse

from sites.designs.writing.designs import copy_design
from sites.energy.models import EnergyInputs
from tests.sites.making import make_person, make_premises, meter_csv

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WIDTHS = pytest.mark.parametrize("width", [1280, 360])


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def work():
    call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)


def looks(page, axe, width):
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.faults == []


@WIDTHS
def test_a_meter_file_is_sent_mended_and_worked_out(window, axe, tmp_path, width):
    office = make_person("office")
    case = make_premises(by=office)
    good, bad = tmp_path / "half-hours.csv", tmp_path / "with-a-slip.csv"
    good.write_bytes(meter_csv())
    bad.write_bytes(meter_csv().replace(b"2025-01-01 19:30,0.25", b"2025-01-01 19:30,often", 1))
    page = window(office, width=width)
    page.goto(reverse("designs", args=[case.premises.key]))
    looks(page, axe, width)

    page.get_by_label("Region of the typical year").select_option("3")
    page.get_by_label("File of meter readings").set_input_files(bad)
    page.locator("#energy-meter_clock").select_option("utc")
    page.get_by_text("Windows and prices (optional)", exact=True).first.click()
    page.get_by_label("Bought [pence/kWh]").fill("lots")
    page.get_by_label("Exported [pence/kWh]").fill("15")
    page.get_by_role("button", name="Keep and work out").click()
    page.locator("#faults").wait_for()
    fault = "Line 41, column use kWh: “often” is no number."
    assert fault in page.locator("#faults").inner_text()
    assert fault in page.locator("#energy-meter_file_error").inner_text()
    page.locator("#faults").get_by_role("link", name="File of meter").click()
    assert page.evaluate("document.activeElement.id") == "energy-meter_file"
    looks(page, axe, width)

    # The file is right now and a price is not: the file need not be chosen a third time.
    page.get_by_label("File of meter readings").set_input_files(good)
    page.get_by_role("button", name="Keep and work out").click()
    page.get_by_text("Read and kept, in use once the whole form is taken").wait_for()
    assert "half-hours.csv" in page.locator(".file-in-use").inner_text()
    looks(page, axe, width)
    page.get_by_label("Bought [pence/kWh]").fill("26.5")
    page.get_by_label("Cheap window from").fill("23:30")
    page.get_by_label("Cheap window to").fill("05:30")
    page.get_by_role("button", name="Keep and work out").click()
    page.get_by_text("Change what it rests on").click()
    page.get_by_text("The file in use").wait_for()
    inputs = EnergyInputs.objects.get()
    assert inputs.meter_file is not None
    assert (inputs.cheap_from_minute, inputs.cheap_to_minute) == (1410, 330)
    # What is typed while the years are worked out is still there when they come.
    page.get_by_label("Exported [pence/kWh]").fill("16.25")
    work()
    page.get_by_text("What is bought costs").wait_for()
    assert page.get_by_label("Exported [pence/kWh]").input_value() == "16.25"
    assert "4,380 kWh a year as metered" in page.locator(".rests-on").first.inner_text()
    page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
    looks(page, axe, width)
    with page.expect_download() as begun:
        page.locator(".file-in-use").get_by_role("link", name="half-hours.csv").click()
    assert begun.value.path().read_bytes() == meter_csv()


@pytest.mark.parametrize(
    ("width", "designs", "wider"),
    [(1280, 5, True), (1280, 3, False), (360, 2, True), (360, 1, False)],
)
def test_a_table_wider_than_the_page_says_so_and_keeps_the_names_of_its_rows(
    window, width, designs, wider
):
    office = make_person("office")
    case = make_premises(by=office)
    for number in range(2, designs + 1):
        copy_design(design=case.design, name=f"Another {number}", by=office)
    page = window(office, width=width)
    page.goto(reverse("designs", args=[case.premises.key]))
    frame = page.locator(".designs-wide").first
    assert frame.evaluate("e => e.scrollWidth > e.clientWidth") is wider
    assert page.get_by_text("The table is wider than the page").is_visible() is wider
    names = frame.locator("tbody th[scope=row], .group th > span")
    before = names.evaluate_all("all => all.map(e => e.getBoundingClientRect().left)")
    frame.evaluate("e => { e.scrollLeft = 10000 }")
    after = names.evaluate_all("all => all.map(e => e.getBoundingClientRect().left)")
    assert len(before) > 10
    assert after == pytest.approx(before, abs=1)
