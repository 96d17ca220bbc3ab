"""What an energy year may rest on, entered on the page of designs: files, windows, prices, steps;
each fault at its box with what was typed, and what the table says of money."""

import html
import re

import pypdfium2
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from msgspec import structs

from connections.remedies.designs import design_facts
from sites.designs.reading.side_by_side import side_by_side
from sites.designs.writing.designs import choose_design, copy_design
from sites.energy.models import EnergyFile, EnergyInputs
from sites.energy.words.rows import pounds
from sites.house import storage
from sites.house.models import Work
from sites.house.models.work import YEAR
from sites.house.writing.working_out import work_out
from sites.premises.models import Design
from tests.sites.making import (
    home,
    irradiance_csv,
    make_energy_file,
    make_person,
    make_premises,
    meter_csv,
)
from tests.sites.prices.making import make_prices

pytestmark = pytest.mark.django_db

TYPED = {"seen": "", "region": "3", "yearly_use_kwh": "3500", "step_minutes": "30"}
METER = {"yearly_use_kwh": "", "meter_clock": "utc", "meter_stamps": "begin"}
LIGHT = {"irradiance_clock": "utc", "irradiance_stamps": "begin"}
PRICES = {"import_pence": "26.5", "export_pence": "15"}
CHEAP = {"cheap_from": "00:30", "cheap_to": "05:30", "cheap_pence": "9"}
SELL = {"sell_from": "16:00", "sell_to": "19:00", "sell_pence": "28"}


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def office(client):
    person = make_person("office")
    client.force_login(person)
    return person


@pytest.fixture
def case(office):
    return make_premises(by=office)


def csv(content, name="half-hours.csv"):
    return SimpleUploadedFile(name, content, content_type="text/csv")


def send(client, case, **typed):
    address = reverse("designs-energy", args=[case.premises.key])
    latest = EnergyInputs.objects.first()
    seen = {"seen": str(latest.key)} if latest else {}
    return client.post(address, {**TYPED, **seen, **typed}, follow=True)


def do(case):
    for row in Work.objects.filter(kind=YEAR, design__premises=case.premises, done_at__isnull=True):
        work_out(str(row.key), row.digest)


def page(client, case, **query):
    return client.get(reverse("designs", args=[case.premises.key]), query).content.decode()


def said(words):
    """A page without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", words)).split())


def at_box(words, box):
    """The messages at a box."""
    found = re.search(rf'id="energy-{box}_error">(.*?)</div>', words, re.S)
    return said(found[1]) if found else ""


def value_of(words, name):
    """What stands in a box."""
    tag = re.search(rf'<input[^>]* name="{name}"[^>]*>', words)
    assert tag, name
    value = re.search(r' value="([^"]*)"', tag[0])
    return value[1] if value else ""


def chosen(words, name):
    """What is chosen in a box of a few choices; empty for the first where nothing is."""
    box = re.search(rf'<select name="{name}".*?</select>', words, re.S)
    assert box, name
    option = re.search(r'<option value="([^"]*)" selected', box[0])
    return option[1] if option else ""


def answers(case, question, order=""):
    compared = side_by_side(case.premises, order)
    rows = (row for group in compared.groups for row in group.rows)
    return next((row.answers for row in rows if row.question == question), None)


def result_of(case, order="", number=0):
    """The year of a design, which is worked out."""
    result = side_by_side(case.premises, order).designs[number].year.result
    assert result is not None
    return result


def money_of(case, order="", number=0):
    """Costs and brings [pounds], which are known."""
    money = result_of(case, order, number).money
    assert money.import_cost is not None
    assert money.export_value is not None
    return money.import_cost, money.export_value


def in_kwh(part):
    return f"{part.kwh:,.0f} kWh"


def entered():
    """What holds now."""
    inputs = EnergyInputs.objects.first()
    assert inputs is not None
    return inputs


BY_DAY = b"date," + b",".join(b"%02d:%02d" % (n // 2, n % 2 * 30) for n in range(48)) + b"\n"
BY_DAY += b"2025-01-01" + b",0.2" * 48 + b"\n2025-01-02" + b",0.2" * 48 + b"\n"


def bad_line():
    """Readings with a word in the place of a number."""
    return meter_csv().replace(b"2025-01-01 19:30,0.25", b"2025-01-01 19:30,often", 1)


def at_night():
    """Light that comes twelve hours late: each value stands at the hour of that before noon."""
    head, *cases = irradiance_csv().decode().splitlines()
    values = [each.partition(",")[2] for each in cases]
    late = values[-12:] + values[:-12]
    stamps = [each.partition(",")[0] for each in cases]
    return "\n".join([head, *map(",".join, zip(stamps, late, strict=True))]).encode()


@pytest.mark.parametrize(
    ("typed", "files", "box", "says"),
    [
        (METER, {"meter_file": bad_line}, "meter_file",
         "half-hours.csv: Line 41, column use kWh: “often” is no number. Put a number there, or "
         "leave the cell empty. Then choose it again"),
        ({**METER, "meter_clock": ""}, {"meter_file": meter_csv}, "meter_clock",
         "Pick by which clock the times of the file go."),
        ({**METER, "meter_clock": ""}, {"meter_file": meter_csv}, "meter_file",
         "It was not read for want of its clock."),
        ({**METER, "meter_unit": "W"}, {"meter_file": meter_csv}, "meter_file",
         "Line 1, column use kWh: The column says kWh, and W was chosen."),
        ({**METER, "meter_unit": "MW"}, {}, "meter_unit", "Pick one of the list."),
        (METER, {"meter_file": BY_DAY}, "meter_file",
         "Line 1: The unit of the half hours is not said."),
        ({**METER, "meter_unit": "kWh"}, {"meter_file": BY_DAY}, "meter_file", "are missing"),
        (METER, {"meter_file": b""}, "meter_file", "The file is empty. Choose another one."),
        (METER, {"meter_file": b"PK\x03\x04rest"}, "meter_file", "It is no text file."),
        (METER, {"meter_file": b"a" * 6_000_001}, "meter_file", "6 MB are taken."),
        ({**METER, "meter_clock": "local"}, {"meter_file": meter_csv}, "meter_file",
         "Line 4228, column time: “2025-03-30 01:00” is in the hour that clocks leave out"),
        (LIGHT, {"irradiance_file": meter_csv}, "irradiance_file",
         "Line 1: There is no column ghi."),
        (LIGHT, {"irradiance_file": at_night}, "irradiance_file",
         "of the light comes while the sun is down in Southern England"),
        ({**LIGHT, "region": ""}, {"irradiance_file": irradiance_csv}, "irradiance_file",
         "Pick the region and choose this file again"),
        ({**LIGHT, "irradiance_clock": ""}, {"irradiance_file": irradiance_csv},
         "irradiance_clock", "Pick by which clock"),
        ({"yearly_use_kwh": ""}, {}, "yearly_use_kwh",
         "Give the use of a year in kWh, or a file of meter readings."),
        ({"cheap_from": "00:30"}, {}, "cheap_to", "Give both times of the window"),
        ({"cheap_to": "05:30"}, {}, "cheap_from", "Give both times of the window"),
        ({"sell_from": "16:00"}, {}, "sell_to", "Give both times of the window"),
        ({"sell_to": "19:00"}, {}, "sell_from", "Give both times of the window"),
        ({"cheap_from": "25:00", "cheap_to": "05:30"}, {}, "cheap_from",
         "Give a time from 00:00 to 23:59"),
        ({"cheap_from": "05:30", "cheap_to": "05:30"}, {}, "cheap_from",
         "The window of the cheap rate begins and ends at the same time: give two times."),
        ({"sell_from": "00:00", "sell_to": "00:00"}, {}, "sell_from",
         "begins and ends at the same time"),
        ({"cheap_from": "23:30", "cheap_to": "05:30", "sell_from": "05:00", "sell_to": "07:00"},
         {}, "sell_from", "Cells cannot be filled from 23:30 to 05:30 and emptied from 05:00 to "
         "07:00: the two windows overlap. Move one of them."),
        ({"cheap_from": "00:05", "cheap_to": "00:25"}, {}, "cheap_from",
         "No step of 30 minutes begins from 00:05 to 00:25"),
        ({**PRICES, "cheap_pence": "9"}, {}, "cheap_pence",
         "This price holds in the window in which cells are filled"),
        ({**PRICES, "sell_pence": "28"}, {}, "sell_pence",
         "This price holds in the window in which cells are emptied"),
        (CHEAP, {}, "import_pence", "Give the price of what is bought outside the cheap window"),
        (SELL, {}, "export_pence", "Give the price of what is exported outside the selling"),
        ({"import_pence": "2650"}, {}, "import_pence",
         "A price of 2,650 pence a kWh cannot be: give -1,000 to 1,000."),
        ({"export_pence": "-1000.01"}, {}, "export_pence", "cannot be: give -1,000 to 1,000."),
        ({"import_pence": "26,5"}, {}, "import_pence", "Give a price in pence such as 26.5"),
        ({"import_pence": "26.555"}, {}, "import_pence", "with at most two decimal places"),
        ({"import_pence": "1234567"}, {}, "import_pence", "Give a price in pence such as 26.5"),
        ({"step_minutes": "20"}, {}, "step_minutes", "Pick one of the list."),
    ],
)  # fmt: skip
def test_each_fault_stands_at_its_box_and_nothing_typed_is_lost(
    client, case, typed, files, box, says
):
    content = {name: each() if callable(each) else each for name, each in files.items()}
    sent = {**typed, **{name: csv(each) for name, each in content.items()}}
    answer = send(client, case, measured_yield_kwh="3601", measured_kwp="4.4", **sent)
    words = answer.content.decode()
    assert answer.status_code == 422
    assert says in at_box(words, box)
    summary = re.search(r'id="faults">(.*?)</div>', words, re.S)
    assert summary
    assert says in said(summary[1])
    assert f'href="#energy-{box}"' in summary[1]
    assert not EnergyInputs.objects.exists()
    assert not EnergyFile.objects.exists()
    for name, value in {**typed, "measured_yield_kwh": "3601", "measured_kwp": "4.4"}.items():
        if not name.endswith(("_clock", "_stamps", "_unit", "region", "step_minutes")):
            assert value_of(words, name) == value
        elif value and value not in ("MW", "20"):
            assert f'<option value="{value}" selected>' in words
    opened = re.search(r'<details class="optional"( open)?>', words)
    assert opened
    of_windows = any(name.startswith(("cheap", "sell", "import", "export")) for name in
                     (box, *typed))  # fmt: skip
    assert bool(opened[1]) is of_windows


def test_a_file_that_was_taken_need_not_be_sent_again(client, case, office):
    content = meter_csv().replace(b"2025-02-03 04:30,0.25\n", b"", 1)
    words = send(
        client, case, **METER, meter_file=csv(content), import_pence="lots"
    ).content.decode()
    kept = EnergyFile.objects.get()
    assert not EnergyInputs.objects.exists()
    assert value_of(words, "meter_key") == str(kept.key)
    told = said(words)
    assert "Read and kept, in use once the whole form is taken: half-hours.csv" in told
    assert "4,380 kWh in steps of 30 minutes" in told
    assert "1 missing steps (1 time) were filled from the same time of another week." in told
    # Mended, without the file.
    words = send(client, case, **METER, meter_key=str(kept.key), **PRICES).content.decode()
    inputs = entered()
    assert (inputs.meter_file, inputs.yearly_use_kwh) == (kept, None)
    told = said(words)
    assert "The file in use: half-hours.csv" in told
    assert f"Added by {office} on" in told
    assert "times by UTC where they have no offset; a time says when its step begins" in told
    assert "use as metered, in the file “half-hours.csv”" in told
    do(case)
    told = said(page(client, case))
    assert "Use: 4,380 kWh a year as metered, in the file “half-hours.csv”." in told
    assert "an uploaded file of meter readings" in told


def test_a_file_is_given_back_as_it_came(client, case):
    send(client, case, **METER, meter_file=csv(meter_csv(), "meter <b>.csv"))
    kept = EnergyFile.objects.get()
    assert "meter &lt;b&gt;.csv" in page(client, case)
    answer = client.get(reverse("energy-file", args=[kept.key]))
    assert b"".join(answer.streaming_content) == meter_csv()
    assert answer["Content-Type"].startswith("text/csv")
    assert answer["Content-Disposition"].startswith("attachment;")
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_a_new_file_takes_the_place_of_the_old(client, case):
    send(client, case, **METER, meter_file=csv(meter_csv()))
    first = EnergyFile.objects.get()
    send(
        client, case, **METER, meter_key=str(first.key), meter_drop="on",
        meter_file=csv(meter_csv(kwh=0.5), "other.csv"),
    )  # fmt: skip
    assert entered().meter_file.name == "other.csv"
    told = said(page(client, case))
    assert "The file in use: other.csv , 8,760 kWh in steps of 30 minutes" in told


def test_a_file_is_taken_out_again_for_the_yearly_use(client, case):
    send(client, case, **METER, meter_file=csv(meter_csv()))
    key = str(EnergyFile.objects.get().key)
    out = {**METER, "meter_key": key, "meter_drop": "on"}
    words = send(client, case, **out).content.decode()
    assert "Give the use of a year in kWh" in at_box(words, "yearly_use_kwh")
    assert re.search(r'name="meter_drop"[^>]* checked', words)
    send(client, case, **{**out, "yearly_use_kwh": "4000"})
    inputs = entered()
    assert (inputs.meter_file, inputs.yearly_use_kwh) == (None, 4000)
    words = page(client, case)
    assert value_of(words, "meter_key") == ""
    assert "a use of 4,000 kWh a year" in said(words)


def test_choices_of_a_new_file_begin_anew(client, case):
    """How the file in use is read stays with it, and is not taken over for the next."""
    send(client, case, **{**METER, "meter_stamps": "end"}, meter_file=csv(meter_csv()))
    words = page(client, case)
    key = value_of(words, "meter_key")
    assert chosen(words, "meter_kept_stamps") == "end"
    assert chosen(words, "meter_kept_clock") == "utc"
    assert chosen(words, "meter_stamps") == "begin"
    assert chosen(words, "meter_clock") == ""
    # A new file without a choice of its clock is not read by that of the old one.
    kept = {"meter_key": key, "meter_kept_clock": "utc", "meter_kept_stamps": "end"}
    answer = send(
        client, case, yearly_use_kwh="", **kept, meter_file=csv(meter_csv(kwh=0.5), "other.csv")
    )
    assert "Pick by which clock" in at_box(answer.content.decode(), "meter_clock")
    send(client, case, **METER, **kept, meter_file=csv(meter_csv(kwh=0.5), "other.csv"))
    assert (entered().meter_file.name, entered().meter_file.stamps) == ("other.csv", "begin")


def test_a_file_that_was_just_taken_leaves_the_choices_of_the_next_empty(client, case):
    typed = {**METER, "meter_stamps": "end", "import_pence": "lots"}
    words = send(client, case, **typed, meter_file=csv(meter_csv())).content.decode()
    assert chosen(words, "meter_kept_stamps") == "end"
    # Nothing is chosen: the first of each holds.
    assert (chosen(words, "meter_clock"), chosen(words, "meter_stamps")) == ("", "")


def test_every_fault_is_told_at_once(client, case):
    words = send(
        client, case, import_pence="abc", measured_yield_kwh="3600", sell_from="16:00",
        sell_to="16:00", yearly_use_kwh="35",
    ).content.decode()  # fmt: skip
    assert "Give a price in pence" in at_box(words, "import_pence")
    assert "Give the peak power" in at_box(words, "measured_kwp")
    assert "begins and ends at the same time" in at_box(words, "sell_from")
    assert "It is 35 kWh in a year" in at_box(words, "yearly_use_kwh")
    assert "4 boxes need another look" in words


def test_a_fault_of_one_box_makes_none_of_another(client, case):
    """The price in the window needs that of the day, which was typed, though wrongly."""
    words = send(client, case, import_pence="abc", **CHEAP).content.decode()
    assert "outside the cheap window" not in words
    words = send(client, case, cheap_from="25:00", cheap_to="05:30", import_pence="26",
                 cheap_pence="9").content.decode()  # fmt: skip
    assert at_box(words, "cheap_pence") == ""


def test_a_yield_below_nothing_is_told_at_its_box(client, case):
    words = send(client, case, measured_yield_kwh="-5").content.decode()
    assert "This can't be negative" in at_box(words, "measured_yield_kwh")
    words = send(client, case, measured_yield_kwh="0").content.decode()
    assert "0 can't be right here; leave the box empty" in at_box(words, "measured_yield_kwh")


@pytest.mark.parametrize(
    ("typed", "kwh"),
    [("3500 kWh", 3500), ("3.5 MWh", 3500), ("3,5 MWh", 3500), ("3 500kwh", 3500),
     ("3500000 Wh", 3500), ("0.0145 GWh", 14500), ("3500,0", 3500)],
)  # fmt: skip
def test_the_use_may_be_typed_with_its_unit(client, case, typed, kwh):
    send(client, case, yearly_use_kwh=typed)
    assert entered().yearly_use_kwh == kwh


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("3,500", '"3,500" can be read in two ways; write 3500 or 3.500.'),
        ("3500.5", '"3500.5" is finer than can be kept here; give it in whole kWh.'),
        ("3500 kW", '"3500 kW" is a real power (W); an energy is wanted here, as in "3500 kWh".'),
        ("3500 kWh a", '"kWh a" is not a unit known here; write it as in "3500 kWh".'),
        ("many", '"many" is not one number with a unit; write it as in "3500 kWh".'),
    ],
)
def test_a_use_that_is_no_whole_number_of_kwh_is_refused(client, case, typed, says):
    words = send(client, case, yearly_use_kwh=typed).content.decode()
    assert says in at_box(words, "yearly_use_kwh")
    assert value_of(words, "yearly_use_kwh") == typed


def test_units_behind_other_figures(client, case):
    send(client, case, import_pence="26.5 p", export_pence="15 pence", measured_yield_kwh="3.6 MWh",
         measured_kwp="4.4 kWp")  # fmt: skip
    inputs = entered()
    assert (float(inputs.import_pence), float(inputs.export_pence)) == (26.5, 15)
    assert (inputs.measured_yield_kwh, inputs.measured_peak_w) == (3600, 4400)


def test_a_price_in_pounds_is_told_so(client, case):
    words = send(client, case, import_pence="0.265").content.decode()
    assert "26.5, and not 0.265 in pounds" in at_box(words, "import_pence")


ODD = [
    ({"yearly_use_kwh": "35"}, "yearly_use_kwh", "It is 35 kWh in a year"),
    ({"yearly_use_kwh": "0"}, "yearly_use_kwh", "It is 0 kWh in a year"),
    ({"yearly_use_kwh": "100001"}, "yearly_use_kwh", "It is 100,001 kWh in a year, and 100 to"),
    ({"import_pence": "0.26"}, "import_pence",
     "0.26 pence a kWh is far from the usual 1 to 100. If it is in pounds, give 26."),
    ({"import_pence": "0"}, "import_pence", "0 pence a kWh is far from the usual"),
    ({"import_pence": "999"}, "import_pence", "999 pence a kWh is far from the usual"),
    ({"export_pence": "-5"}, "export_pence", "-5 pence a kWh is far from the usual"),
    ({**PRICES, **CHEAP, "cheap_pence": "30"}, "cheap_pence",
     "The cheap window is dearer than the rest of the day: 30 p and 26.5 p."),
    ({**PRICES, **SELL, "sell_pence": "4.5"}, "sell_pence",
     "brings less than at other times: 4.5 p and 15 p."),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "box", "says"), ODD)
def test_an_odd_figure_is_asked_about_once(client, case, typed, box, says):
    answer = send(client, case, **typed)
    words = answer.content.decode()
    assert answer.status_code == 422
    assert says in at_box(words, box)
    assert "If it is so, tick that at the end of the form." in at_box(words, box)
    assert not EnergyInputs.objects.exists()
    tick = html.unescape(value_of(words, "is_so"))
    assert send(client, case, **typed, is_so=tick).status_code == 200
    # The same again, as the page sends it, is not asked about; another odd figure is.
    sure = html.unescape(value_of(page(client, case), "sure"))
    assert send(client, case, **typed, sure=sure).status_code == 200
    answer = send(client, case, yearly_use_kwh="36", sure=sure)
    assert "It is 36 kWh in a year" in at_box(answer.content.decode(), "yearly_use_kwh")


def test_what_is_ticked_stays_so_while_something_else_is_mended(client, case):
    words = send(client, case, yearly_use_kwh="35").content.decode()
    tick = html.unescape(value_of(words, "is_so"))
    words = send(client, case, yearly_use_kwh="35", is_so=tick, region="").content.decode()
    assert at_box(words, "yearly_use_kwh") == ""
    assert html.unescape(value_of(words, "sure")) == tick
    assert send(client, case, yearly_use_kwh="35", sure=tick).status_code == 200


@pytest.mark.parametrize("prices", [{"export_pence": "0"}, {"import_pence": "1"},
                                    {"import_pence": "100"}, PRICES])  # fmt: skip
def test_usual_figures_are_not_asked_about(client, case, prices):
    assert send(client, case, **prices).status_code == 200


def test_a_file_in_another_unit_than_its_column_says_is_asked_about(client, case):
    """0.25 kWh each half hour written as 240.5 make 240.5 x 17,520 = 4,213,560 kWh a year."""
    words = send(client, case, **METER, meter_file=csv(meter_csv(kwh=240.5))).content.decode()
    assert "The file has 4,213,560 kWh in a year" in at_box(words, "meter_file")
    kept = EnergyFile.objects.get()
    tick = html.unescape(value_of(words, "is_so"))
    assert tick == f"meter_file={kept.key}"
    send(client, case, **METER, meter_key=str(kept.key), is_so=tick)
    assert entered().meter_file == kept


def test_steps_stand_outside_the_part_that_may_be_closed(client, case):
    words = page(client, case)
    part = re.search(r'<details class="optional">.*?</details>', words, re.S)
    assert part
    assert "step_minutes" not in part[0]
    assert 'name="step_minutes"' in words


def test_with_a_file_the_yearly_use_is_not_kept(client, case):
    send(client, case, **{**METER, "yearly_use_kwh": "3500"}, meter_file=csv(meter_csv()))
    assert EnergyInputs.objects.get().yearly_use_kwh is None


def test_a_file_in_use_is_read_in_another_way_without_sending_it(client, case):
    send(client, case, **METER, meter_file=csv(meter_csv()))
    key = str(EnergyFile.objects.get().key)
    # Boxes of a new file say nothing of the one in use.
    again = {**METER, "meter_stamps": "end", "meter_key": key}
    send(client, case, **again)
    assert entered().meter_file.stamps == "begin"
    send(client, case, **again, meter_kept_clock="utc", meter_kept_stamps="end")
    inputs = entered()
    assert (inputs.meter_file.stamps, EnergyFile.objects.count()) == ("end", 2)
    assert "a time says when its step ends" in said(page(client, case))
    key = str(inputs.meter_file.key)
    words = page(client, case)
    assert chosen(words, "meter_kept_stamps") == "end"
    answer = send(client, case, **METER, meter_key=key, meter_kept_clock="local")
    assert "clocks leave out in spring" in at_box(answer.content.decode(), "meter_file")


def test_irradiance_holds_in_place_of_the_typical_year(client, case):
    send(client, case, **LIGHT, irradiance_file=csv(irradiance_csv(), "roof.csv"))
    do(case)
    told = said(page(client, case))
    assert "Sun: irradiance of the file “roof.csv”, at the place of the region Southern" in told
    assert "The file in use: roof.csv" in told
    assert "kWh/m² on the level in steps of 60 minutes" in told
    assert "Wind is not in the file: monthly means of the region were taken." in told
    key = str(EnergyFile.objects.get().key)
    send(client, case, **LIGHT, irradiance_key=key, irradiance_drop="on")
    do(case)
    assert "a typical year of the region Southern England" in said(page(client, case))


@pytest.mark.parametrize("key", ["no-key", "0b0b0b0b-0000-4000-8000-000000000000", "another's"])
def test_a_file_that_is_none_of_this_premises_is_refused(client, case, office, key):
    if key == "another's":
        key = str(make_energy_file(make_premises(), by=office).key)
    answer = send(client, case, **METER, meter_key=key)
    assert answer.status_code == 422
    assert "That file is not among those of this premises" in said(answer.content.decode())
    assert "meter.csv" not in answer.content.decode()


def test_a_file_that_is_gone_is_said_at_its_box(client, case):
    send(client, case, **METER, meter_file=csv(meter_csv()))
    kept = EnergyFile.objects.get()
    storage.remove(kept.sha256)
    assert "The file half-hours.csv is not in the store any more." in page(client, case)
    answer = send(client, case, **METER, meter_key=str(kept.key))
    assert "is not in the store any more" in at_box(answer.content.decode(), "meter_file")


def test_who_comes_second_keeps_the_file_that_was_sent(client, case):
    send(client, case)
    answer = send(client, case, **METER, meter_file=csv(meter_csv()), seen="")
    words = answer.content.decode()
    assert answer.status_code == 422
    assert "Somebody else entered a region and use" in words
    assert "This needs another look" in words
    assert "box needs another look" not in words
    kept = EnergyFile.objects.get()
    assert value_of(words, "meter_key") == str(kept.key)
    seen = value_of(words, "seen")
    assert seen == str(EnergyInputs.objects.get().key)
    send(client, case, **METER, meter_key=str(kept.key), seen=seen)
    assert entered().meter_file == kept


def test_a_post_that_outweighs_two_files_is_not_read(client, case):
    send(client, case, import_pence="26.5")
    answer = send(client, case, **METER, meter_file=csv(b"a" * 12_300_000))
    words = answer.content.decode()
    assert answer.status_code == 422
    assert "What was sent has 12.3 MB; 6 MB are taken for each file" in words
    # What holds stands in the boxes.
    assert value_of(words, "import_pence") == "26.50"
    assert value_of(words, "yearly_use_kwh") == "3500"
    assert EnergyInputs.objects.count() == 1


@pytest.mark.parametrize(
    ("begins", "ends", "minutes"),
    [
        ("23:30", "05:30", (1410, 330)),
        ("00:00", "06:00", (0, 360)),
        ("18:00", "00:00", (1080, 0)),
        ("23:59", "23:58", (1439, 1438)),
    ],
)
def test_windows_may_pass_midnight_and_come_back_as_typed(client, case, begins, ends, minutes):
    words = send(client, case, cheap_from=begins, cheap_to=ends).content.decode()
    inputs = entered()
    assert (inputs.cheap_from_minute, inputs.cheap_to_minute) == minutes
    assert (value_of(words, "cheap_from"), value_of(words, "cheap_to")) == (begins, ends)
    assert (
        f"Cells are filled from the network from {begins} to {ends}, by the clock on the wall."
        in words
    )
    assert 'class="optional" open' in words


def test_money_stands_in_the_table_with_its_prices(client, case):
    send(client, case, **PRICES, **CHEAP, **SELL)
    do(case)
    costs, brings = money_of(case)
    result = result_of(case)
    assert result.low is not None
    assert result.high is not None
    low, high = result.low.money, result.high.money
    (cheap, dear), (window, rest) = result.money.bought, result.money.sold
    assert answers(case, "What is bought costs") == (
        (
            pounds(costs),
            f"{in_kwh(cheap)} at 9 p from 00:30 to 05:30; "
            f"{in_kwh(dear)} at 26.5 p in all other hours",
            f"low case {pounds(low.import_cost)}, high case {pounds(high.import_cost)}",
        ),
    )
    assert answers(case, "What is exported brings") == (
        (
            pounds(brings),
            f"{in_kwh(window)} at 28 p from 16:00 to 19:00; "
            f"{in_kwh(rest)} at 15 p in all other hours",
            f"low case {pounds(low.export_value)}, high case {pounds(high.export_value)}",
        ),
    )
    assert answers(case, "What is lost behind the limit would have brought") == (
        ("nothing", "export is not limited"),
    )
    net = answers(case, "Bought less exported")
    assert net is not None
    assert net[0][0] == pounds(costs - brings)
    told = said(page(client, case))
    assert "at the prices entered" in told
    assert (
        "Cells are filled from the network from 00:30 to 05:30 and emptied into it from 16:00 to "
        "19:00, by the clock on the wall. Prices entered, for each "
        "kWh: 26.5 p bought, 9 p bought in the cheap window, 15 p exported, 28 p exported in the "
        "selling window. Steps of 30 minutes."
    ) in told
    assert "payback" not in told.lower()


def test_what_is_lost_is_told_at_the_price_of_export(client, office):
    case = make_premises(limits={"export": {"value": 1000, "basis": "w_total"}})
    send(client, case, export_pence="15")
    do(case)
    result = result_of(case)
    assert result.figures.lost > 0
    assert result.low is not None
    assert result.high is not None
    middle, low, high = (
        pounds(case.figures.lost * 15 / 100) for case in (result, result.low, result.high)
    )
    assert answers(case, "What is lost behind the limit would have brought") == (
        (middle, "at 15 p a kWh", f"low case {low}, high case {high}"),
    )
    # What is bought has no price, so nothing is said of it, nor of both together.
    assert answers(case, "What is bought costs") is None
    assert answers(case, "Bought less exported") is None
    assert "cheapest year" not in page(client, case)


def test_without_prices_nothing_is_said_of_money(client, case):
    send(client, case)
    do(case)
    told = page(client, case)
    assert "What is bought costs" not in told
    assert "£" not in told
    assert 'class="optional">' in told


@pytest.mark.parametrize(
    ("amount", "words"),
    [(0, "nothing"), (0.004, "nothing"), (0.005, "£0.01"), (9.994, "£9.99"), (10, "£10"),
     (1234.5, "£1,234"), (-336.2, "-£336"), (-0.004, "nothing")],
)  # fmt: skip
def test_pounds_in_words(amount, words):
    assert pounds(amount) == words


def test_designs_are_put_in_the_order_of_their_cost(client, case, office):
    copy_design(design=case.design, name="Without cells", by=office)
    twin = Design.objects.get(name="Without cells")
    twin.cells_set.all().delete()
    twin.unit_set.filter(source="storage").delete()
    send(client, case, **PRICES)
    do(case)
    assert "cheapest year at the prices entered" in page(client, case)
    shown = side_by_side(case.premises, "cheapest").designs
    costs = [bought - brings for bought, brings in
             (money_of(case, "cheapest", number) for number in (0, 1))]  # fmt: skip
    assert costs == sorted(costs)
    assert shown[1].name == "Without cells"
    # A design whose year is not worked out comes last.
    Work.objects.filter(kind=YEAR, design=shown[0].design).update(results=None, done_at=None)
    assert side_by_side(case.premises, "cheapest").designs[1].design == shown[0].design


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_money_leaves_the_customers_page_one_page(client, office, number, monkeypatch):
    """Micro-inverters, cells that can run as an island and a scheme, caps of both kinds that stop
    it, another supply to be told of, a file with a long name, windows and all prices."""
    told = (
        "Your supply has one phase now and would get three phases. The network operator is asked "
        "for that first; it has a price and takes a time of its own."
    )

    def facts_with_it(site, decided, **load):
        facts = design_facts(site, decided, **load)
        return structs.replace(facts, told=(told, *facts.told))

    monkeypatch.setattr("sites.designs.reading.side_by_side.design_facts", facts_with_it)
    units = home()["units"]
    units[0] |= {"rated_w": 350, "quantity": 11}
    units[1] |= {"can_island": True}
    limit = {"export": {"value": 3680, "basis": "w_total"}}
    caps = [
        {"on": "export", "value": 2000, "basis": "w_total"},
        {"on": "installed", "value": 16_000, "basis": "ma_per_phase"},
    ]
    case = make_premises(units=units, limits=limit, caps=caps)
    for name in ("With a name of many words", "Another of the designs", "The last of them")[
        : number - 1
    ]:
        copy_design(design=case.design, name=name, by=office)
    long = "readings of the meter at the premises over twelve months.csv"
    send(
        client, case, **METER, meter_file=csv(meter_csv(), long), **PRICES, **CHEAP, **SELL,
        measured_yield_kwh="3600", measured_kwp="4.4",
    )  # fmt: skip
    do(case)
    make_prices()
    why = "It needs the fewest boxes on the wall and keeps to what the operator allows. " * 5
    choose_design(design=case.design, by=office, by_whom="customer", why=why[:500])
    answer = client.get(reverse("designs-print", args=[case.premises.key]))
    assert answer["Content-Type"] == "application/pdf"
    pdf = pypdfium2.PdfDocument(answer.content)
    assert len(pdf) == 1
    text = " ".join(pdf[0].get_textpage().get_text_range().split())
    costs, brings = money_of(case)
    assert f"costs {pounds(costs)}, brings {pounds(brings)}" in text
    assert "The year’s energy at the prices entered" in text
    assert "Prices change; standing charges are left out." in text
    assert "not financial advice" in text
    assert text.count("would get three phases") == number
    assert "The battery is filled from the network from 00:30" in text
    assert "cells" not in text.lower()
    assert "as metered, in the file “readings of the meter at the premises o…”" in text


@pytest.mark.parametrize(
    ("items", "asked"),
    [
        # Common practice, no source: 3 kW x 1,200 h = 3,600 kWh, and 2,000 kWh for a car.
        ([{"name": "Heat pump", "w": 3000}, {"name": "Charge point", "w": 7360}],
         "Does the use of 3,500 kWh hold Heat pump and Charge point? Loads like these commonly "
         "take about 5,600 kWh a year"),
        ([{"name": "Charge point", "w": 7360}], None),
        ([{"name": "Shower", "w": 9000}], None),
    ],
)  # fmt: skip
def test_a_use_that_large_loads_alone_would_take_is_asked_about(client, office, items, asked):
    made = make_premises(by=office, loads={"items": items})
    send(client, made, yearly_use_kwh="3500")
    words = said(page(client, made))
    assert "a use of 3,500 kWh a year" in words
    assert ("Does the use of" in words) is (asked is not None)
    if asked:
        assert asked in words
        send(client, made, yearly_use_kwh="8000")
        assert "Does the use of" not in said(page(client, made))


def test_the_file_of_another_premises_is_refused(client, case, office):
    """Its key is all that the form carries, so whoever guesses one must gain nothing by it."""
    theirs = make_energy_file(make_premises(), by=office)
    answer = send(client, case, **METER, meter_key=str(theirs.key), **PRICES)
    assert "That file is not among those of this premises" in answer.content.decode()
    assert theirs.name not in answer.content.decode()
    assert not EnergyInputs.objects.exists()


def test_a_file_of_a_million_rows_is_refused_before_its_rows_are_read(client, case, office):
    """One million rows of five bytes: below the 6 MB that are taken, above the 40,000 lines."""
    content = b"time,kwh\n" + b"1,2;\n" * 1_000_000
    answer = send(client, case, **METER, meter_file=csv(content), **PRICES)
    assert "1,000,001 lines, more than the 40,000 taken" in answer.content.decode()
    assert not EnergyFile.objects.exists()
