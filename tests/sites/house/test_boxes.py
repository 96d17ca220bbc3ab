"""Boxes of the sheet: what a text comes to, what is asked about, and what is refused."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from connections.facts.site import DcInput, PanelString
from sites.house.boxes.entries_box import EntriesBox, NumberOrEntriesBox
from sites.house.boxes.fields import (
    ChoiceBox,
    CountBox,
    DayBox,
    DayOrMonthBox,
    EmailBox,
    LinesBox,
    PostcodeBox,
    WordsBox,
    YesNoBox,
)
from sites.house.boxes.quantity_box import QuantityBox
from sites.house.boxes.size_box import SizeBox
from sites.house.boxes.typed import AskedError, Typed
from sites.premises.forms.protection_settings import SettingsBox

KILOWATTS = QuantityBox("Capacity", "W", beside="kW", low=50, high=150_000)
AMPS = QuantityBox("Current", "mA", beside="A", low=200, high=250_000)
METRES = QuantityBox("Length", "mm", beside="m", low=300, high=500_000)
DEGREES = QuantityBox("Tilt", "degrees", beside="°", low=1, high=90, most=90, zero=True)
REACTIVE = QuantityBox("Reactive", "var", beside="kvar", low=1, high=100_000, signed=True)


@pytest.mark.parametrize(
    ("box", "text", "value"),
    [
        (KILOWATTS, "3.68", 3680),  # the unit beside the box
        (KILOWATTS, "3.68 kW", 3680),
        (KILOWATTS, "3680 W", 3680),
        (KILOWATTS, "3680W", 3680),
        (KILOWATTS, "9,5", 9500),  # a decimal comma
        (KILOWATTS, " 5 ", 5000),
        (AMPS, "16A", 16_000),
        (AMPS, "16", 16_000),
        (AMPS, "16.5 A", 16_500),
        (METRES, "12.5", 12_500),
        (METRES, "12500 mm", 12_500),
        (REACTIVE, "-1.2", -1200),
    ],
)
def test_amounts_as_people_type_them(box, text, value):
    assert box.clean(Typed(text)) == value


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        # 3680 kW is beyond the band's 150 kW; a thousandth of it is not.
        ("3680", {"3680 kW": 3_680_000, "3680 W": 3680}),
        ("350", {"350 kW": 350_000, "350 W": 350}),
        ("3 680", {"3680 kW": 3_680_000, "3680 W": 3680}),
        ("3680 kW", {"3680 kW": 3_680_000}),
        # Below 50 W.
        ("0.01", {"0.01 kW": 10}),
        # A comma before exactly three digits.
        ("3,680", {"3.680 kW": 3680, "3680 kW": 3_680_000}),
        ("3,680 W", {"3680 W": 3680}),  # 3.680 W isn't whole watts, so only one reading is left
    ],
)
def test_what_is_asked_about(text, readings):
    with pytest.raises(AskedError) as asked:
        KILOWATTS.clean(Typed(text))
    assert {reading.words: reading.value for reading in asked.value.readings} == readings
    for reading in asked.value.readings:
        assert KILOWATTS.clean(Typed(text, reading.answer(text))) == reading.value
        # The answer holds for that very text only.
        with pytest.raises(AskedError):
            KILOWATTS.clean(Typed(text, reading.answer(f"{text}0")))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0", "leave the box empty"),
        ("-3", "can't be negative"),
        ("3.68 kVA", "an apparent power"),
        ("16 A", "a current"),
        ("lots", "not one number with a unit"),
        ("1e3", "not a unit known here"),
        ("3.6 3", "not one number"),
        ("99999999999", "too large"),
        ("10,0001", "finer than can be kept"),
        ("1,234,567", "write 1234567"),
        ("-3,680", "can't be negative"),  # both -3.680 kW and -3680 kW are
        ("0,000", "leave the box empty"),
        ("<script>alert(1)</script>", "not one number"),
        ("٣", "not one number"),
        ("1\x000", "can't be printed"),
        ("7" * 5000, "too long"),
        ("NaN", "not one number"),
        ("Infinity", "not one number"),
    ],
)
def test_amounts_that_are_refused_with_words(text, says):
    with pytest.raises(ValidationError) as fault:
        KILOWATTS.clean(Typed(text))
    assert says in " ".join(fault.value.messages)
    assert not isinstance(fault.value, AskedError)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("91", "give 0 to 90°"),
        ("91°", "give 0 to 90°"),
        ("1,091", "give 0 to 90°"),  # 1.091 isn't whole degrees, so it is 1091 or nothing
        ("-91", "can't be negative"),
    ],
)
def test_what_is_more_than_can_be_is_refused_and_not_asked_about(text, says):
    with pytest.raises(ValidationError) as fault:
        DEGREES.clean(Typed(text))
    assert says in " ".join(fault.value.messages)
    assert not isinstance(fault.value, AskedError)


@pytest.mark.parametrize(
    ("box", "value"),
    [
        (KILOWATTS, 3680),
        (KILOWATTS, 10_000),
        (KILOWATTS, 1),
        (AMPS, 16_001),
        (METRES, 12_500),
        (DEGREES, 90),
        (REACTIVE, -1200),
        (CountBox("Number", low=1, high=10), 3),
        (DayBox("Day", back=60, ahead=5), dt.date(2021, 5, 9)),
        (DayOrMonthBox("Day", back=60, ahead=5), "2021-05-09"),
        (DayOrMonthBox("Day", back=60, ahead=5), "2021-05"),
        (YesNoBox("Looped"), False),
        (LinesBox("Address"), "1 Reedcutter Row\nFennhaven"),
    ],
)
def test_what_is_written_reads_back(box, value):
    text = box.write(value)
    assert box.clean(Typed(text, box.answer(value))) == value


def test_a_saved_amount_outside_the_band_is_not_asked_about_again():
    assert KILOWATTS.write(3_680_000) == "3680"
    assert KILOWATTS.answer(3_680_000) == "3680 = 3680 kW"
    assert KILOWATTS.answer(3680) == ""


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("24/11/2026", dt.date(2026, 11, 24)),
        ("4.1.2026", dt.date(2026, 1, 4)),
        ("2026-11-24", dt.date(2026, 11, 24)),
        ("24 November 2026", dt.date(2026, 11, 24)),
        ("24 Nov 2026", dt.date(2026, 11, 24)),
        ("24/11/26", dt.date(2026, 11, 24)),
        ("4.1.16", dt.date(2016, 1, 4)),
        # 2098 is further from today than 1998, and 29 February is of 2000 alone.
        ("24-11-98", dt.date(1998, 11, 24)),
        ("29/02/00", dt.date(2000, 2, 29)),
        ("24 Nov 81", dt.date(1981, 11, 24)),
    ],
)
def test_dates_day_before_month(text, day):
    assert DayBox("Day", back=60, ahead=60).clean(Typed(text)) == day


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("31/02/26", "no date"),
        ("31/02/2026", "no date"),
        ("tomorrow", "no date"),
        ("11/24/2026", "no date"),
        ("24/11/2926", "long way off"),
        ("24/11/1026", "long way off"),
        ("31/12/1979", "long way off"),
        ("31/12/79", "long way off"),
    ],
)
def test_dates_that_are_not_taken(text, says):
    with pytest.raises(ValidationError, match=says):
        DayBox("Day", back=60, ahead=5).clean(Typed(text))


@pytest.mark.parametrize(
    ("text", "when", "written"),
    [
        ("14/6/2016", "2016-06-14", "14/06/2016"),
        ("14 June 2016", "2016-06-14", "14/06/2016"),
        ("2016-06-14", "2016-06-14", "14/06/2016"),
        ("June 2016", "2016-06", "06/2016"),
        ("jun 2016", "2016-06", "06/2016"),
        ("06/2016", "2016-06", "06/2016"),
        ("6/2016", "2016-06", "06/2016"),
        ("2016-06", "2016-06", "06/2016"),
        (" June,  2016 ", "2016-06", "06/2016"),
        # The year stands before the month: never a day.
        ("2012-11", "2012-11", "11/2012"),
        ("06/16", "2016-06", "06/2016"),
        ("14/6/16", "2016-06-14", "14/06/2016"),
        ("6.98", "1998-06", "06/1998"),
    ],
)
def test_a_day_or_a_month_comes_back_as_the_one_that_was_typed(text, when, written):
    box = DayOrMonthBox("Day", back=60, ahead=0)
    assert box.clean(Typed(text)) == when
    assert box.write(when) == written
    assert box.clean(Typed(written)) == when


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("06/11", "June 2011, or a day without its year"),
        ("13/2016", "no date"),
        ("2016", "no date"),
        ("06/1016", "June 1016 is a long way off"),
    ],
)
def test_months_that_are_not_taken(text, says):
    with pytest.raises(ValidationError, match=says):
        DayOrMonthBox("Day", back=60, ahead=0).clean(Typed(text))


def test_a_month_that_has_not_begun_is_asked_about_and_can_be_meant():
    today = dt.date.today()  # noqa: DTZ011
    text, words = f"01/{today.year + 1}", f"January {today.year + 1}"
    box = DayOrMonthBox("Commissioned", back=60, ahead=0)
    with pytest.raises(AskedError, match=f"{words} has not come yet"):
        box.clean(Typed(text))
    assert box.clean(Typed(text, f"{text} = {words}")) == f"{today.year + 1}-01"
    assert box.answer(f"{today.year + 1}-01") == f"{text} = {words}"
    assert box.clean(Typed(f"{today:%m/%Y}")) == f"{today:%Y-%m}"


INPUTS = EntriesBox("DC inputs", DcInput, noun="DC input", first="tracker", once=True)
STRINGS = NumberOrEntriesBox("Strings", PanelString, noun="kind of string", low=1, high=200)


def test_inputs_are_typed_one_a_line_with_or_without_units():
    typed = "1; 600 V; 80; 0.55 kV; 13.5 A; 17\n\n 2 ;;; 550"
    inputs = [
        {
            "tracker": 1,
            "max_mv": 600_000,
            "window_min_mv": 80_000,
            "window_max_mv": 550_000,
            "max_operating_ma": 13_500,
            "max_short_circuit_ma": 17_000,
        },
        {"tracker": 2, "window_max_mv": 550_000},
    ]
    assert INPUTS.clean(Typed(typed)) == inputs
    assert INPUTS.write(inputs) == "1; 600 V; 80 V; 550 V; 13.5 A; 17 A\n2; ; ; 550 V"
    assert INPUTS.clean(Typed(INPUTS.write(inputs))) == inputs
    assert INPUTS.clean(Typed("")) is None


def test_strings_are_a_number_or_lines():
    listed = [{"tracker": 1, "in_series": 11, "in_parallel": 2}, {"in_series": 9}]
    assert STRINGS.clean(Typed("3")) == 3
    assert STRINGS.clean(Typed("1; 11; 2\n;9")) == listed
    assert STRINGS.write(listed) == "1; 11; 2\n; 9"
    assert STRINGS.write(3) == "3"
    assert STRINGS.clean(Typed(STRINGS.write(listed))) == listed


@pytest.mark.parametrize(
    ("box", "text", "says"),
    [
        (INPUTS, "600 V", "tracker: write a whole number from 1 to 100"),
        (INPUTS, "; 600 V", '"; 600 V" does not begin with its tracker'),
        (INPUTS, "1; 600 A", "is a current (A)"),
        (INPUTS, "1; -600 V", "largest DC voltage: this can't be negative"),
        (INPUTS, "1\n1; 600 V", "tracker 1 stands twice; give it once"),
        (INPUTS, "0; 600 V", "tracker: write a whole number from 1 to 100"),
        (INPUTS, "1;2;3;4;5;6;7", "is no DC input; write tracker; largest DC voltage; lowest"),
        (INPUTS, "\n".join(str(number) for number in range(1, 32)), "at most 30"),
        (STRINGS, ";;", "is no kind of string; write tracker; in series; in parallel"),
        (STRINGS, "1; eleven", "in series: write a whole number from 1 to 1000"),
        (STRINGS, "1; 0", "in series: write a whole number from 1 to 1000"),
        (STRINGS, "two", "write a whole number in digits"),
    ],
)
def test_entries_that_are_not_taken(box, text, says):
    with pytest.raises(ValidationError) as fault:
        box.clean(Typed(text))
    assert says in " ".join(fault.value.messages)


def test_a_day_that_has_not_come_is_asked_about():
    later = dt.date.today() + dt.timedelta(days=400)  # noqa: DTZ011
    with pytest.raises(AskedError, match="has not come yet"):
        DayBox("Commissioned", back=60, ahead=0).clean(Typed(f"{later:%d/%m/%Y}"))


@pytest.mark.parametrize(
    ("box", "text", "value"),
    [
        (PostcodeBox("Postcode"), "zz1 2bb", "ZZ1 2BB"),
        (PostcodeBox("Postcode"), "zz12bb", "ZZ1 2BB"),
        (PostcodeBox("Postcode"), "D02 AF30", "D02 AF30"),
        (EmailBox("E-mail"), "a@b.example", "a@b.example"),
        (WordsBox("Name"), "  Ann   Vole ", "Ann Vole"),
        (LinesBox("Address"), "1 Row \r\n\r\n Fennhaven", "1 Row\nFennhaven"),
        (CountBox("Number", low=1, high=500), "12", 12),
        (SizeBox("Size"), "2,5", "2.5"),
        (SizeBox("Size"), "16 mm2", "16"),
        (ChoiceBox("Nation", (("wales", "Wales"),)), "wales", "wales"),
    ],
)
def test_other_boxes(box, text, value):
    assert box.clean(Typed(text)) == value


@pytest.mark.parametrize(
    ("box", "text", "says"),
    [
        (PostcodeBox("Postcode"), "nowhere", "does not look like a postcode"),
        (EmailBox("E-mail"), "ann at home", "name@firm.example"),
        (WordsBox("Name"), "x" * 201, "shorten it to 200"),
        (WordsBox("Name"), "a\x07b", "can't be printed"),
        (CountBox("Number", low=1, high=500), "1,000", "without a comma"),
        (CountBox("Number", low=1, high=500), "0", "usual here"),
        (CountBox("Number", low=1, high=500), "5000", "usual here"),
        (CountBox("Number", low=1, high=500), "9" * 30, "more than"),
        (CountBox("Number", low=1, high=500), "2.5", "whole number"),
        (SizeBox("Size"), "thick", "write the size"),
        (ChoiceBox("Nation", (("wales", "Wales"),)), "atlantis", "choose one"),
    ],
)
def test_other_boxes_refuse_with_words(box, text, says):
    with pytest.raises(ValidationError, match=says):
        box.clean(Typed(text))


def test_protection_settings_go_both_ways():
    box = SettingsBox("Settings")
    typed = "overvoltage; 1; 262.2 V; 1 s\nvector shift; ; 12°\nunderfrequency; 2; 47 Hz; 0.5"
    settings = [
        {"function": "overvoltage", "value": 262_200, "unit": "mV", "stage": 1, "delay_ms": 1000},
        {"function": "vector shift", "value": 12, "unit": "degrees"},
        {"function": "underfrequency", "value": 47_000, "unit": "mHz", "stage": 2, "delay_ms": 500},
    ]
    assert box.clean(Typed(typed)) == settings
    assert box.clean(Typed(box.write(settings))) == settings


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("overvoltage", "write function; stage; value; delay"),
        ("overvoltage; one; 2 V", "write 1, 2 or nothing"),
        ("overvoltage; 1; much", '"much" is not one number with a unit; write it as in "230 V"'),
        ("overvoltage; 1; 3 kW", '"3 kW" is a real power (W)'),
        ("overvoltage; 1; -2 V", 'in "overvoltage; 1; -2 V", this can\'t be negative'),
        ("overvoltage; 1; 1,250 V", "write 1250 or 1.250"),
        ("overvoltage; 1; 2 V; -1 s", "this can't be negative"),
        ("overvoltage; 1; 2 V; 1 A", "a duration is wanted here"),
        ("; 1; 2 V", "write function; stage; value; delay"),
    ],
)
def test_a_setting_that_is_none_is_refused_with_words(line, says):
    with pytest.raises(ValidationError) as fault:
        SettingsBox("Settings").clean(Typed(line))
    assert says in " ".join(fault.value.messages)
