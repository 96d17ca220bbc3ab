"""The same text means the same amount at every box, or is refused there in the same words."""

import pytest
from django.core.exceptions import ValidationError

from connections.rulebook.quantities import parse_quantity
from sites.energy.forms.inputs import EnergyForm
from sites.energy.forms.limits import LimitsForm
from sites.house.boxes.typed import AskedError, Typed
from sites.premises.forms.plant import UnitForm
from sites.premises.forms.protection_settings import SettingsBox
from sites.premises.forms.sheet import Sheet
from sites.review.forms.answers import ReplyForm
from sites.rulebook.forms.cap_form import CapForm
from sites.rulebook.forms.value_form import ValueForm
from sites.rulebook.reading.choosable import Choosable

# With their units: what each comes to in W, or what is said.
WITH_UNIT = [
    ("3.68 kW", 3680),
    ("3.68kW", 3680),
    ("3,68 kW", 3680),  # a comma before two digits is a point
    ("3,6800 kW", 3680),  # and before four
    ("3680 W", 3680),
    ("3 680 W", 3680),  # a blank between thousands
    ("3\u00a0680 W", 3680),  # one that doesn't break
    ("  3680   W  ", 3680),
    ("0.00368 MW", 3680),  # 0.00368 x 1,000,000
    ("12 345 W", 12_345),
    ("1,234,567 W", '"1,234,567" has commas in its number; write 1234567'),
    ("-3 kW", "this can't be negative; write it without the minus"),
    ("3.6805 kW", '"3.6805 kW" is finer than can be kept here; give it in whole W'),  # 3680.5 W
    ("2000000 kW", '"2000000 kW" is too large; check its unit'),  # above 1,000,000,000 W
    ("16 parsecs", '"parsecs" is not a unit known here; write it as in'),
    ("3.6.8 kW", '"3.6.8 kW" is not one number with a unit; write it as in'),
    ("3 68 W", '"3 68 W" is not one number with a unit; write it as in'),
    ("1e3 W", '"e3 W" is not a unit known here; write it as in'),
    ("lots", '"lots" is not one number with a unit; write it as in'),
    ("3\x07 kW", "this holds a character that can't be printed; type the text again"),
]
# Without: the unit beside the box, which is kW.
WITHOUT_UNIT = [("3.68", 3680), ("3,68", 3680), (" 5 ", 5000), ("12,5", 12_500), ("0.5", 500)]
# Either the one or the other [W]: a point, or a separator of thousands.
IN_TWO_WAYS = [
    ("3,680 kW", {3680, 3_680_000}, '"3,680" can be read in two ways; write 3680 or 3.680'),
    ("0,100 MW", {100_000, 100_000_000}, '"0,100" can be read in two ways; write 0100 or 0.100'),
]


def sheets_unit(text):
    """The registered capacity of a unit on the sheet."""
    return UnitForm.base_fields["rated_w"].clean(Typed(text))


def sheets_limit(text):
    """An export limit on the sheet, whose unit is chosen beside it."""
    sheet = Sheet({"proposed-export-value": [text], "proposed-export-basis": ["w_total"]})
    form = sheet.forms["proposed-export"]
    for fault in form.errors.as_data().get("value", ()):
        raise fault
    return form.fact("value")


def sweep(text):
    """The lowest of the limits that are tried in a year."""
    return plain(LimitsForm.base_fields["lowest"].clean, text)


def peak(text):
    """The peak power of panels that were measured: Wp, where the others have W."""
    return plain(EnergyForm.base_fields["measured_kwp"].clean, text.replace("W", "Wp"))


def local_value(text):
    """A value that takes the place of the rulebook's, kept as it is written."""
    known = Choosable("x.limit", "It is a limit.", "W", "", "5 kW", "", "local", (), False)
    form = ValueForm({"value": text}, choosable=known)
    for fault in form.errors.as_data().get("value", ()):
        raise as_clause(fault)
    return parse_quantity(form.cleaned_data["value"], "W")


def local_cap(text):
    """A cap on export of the network operator, kept as it is written."""
    written = plain(CapForm.base_fields["limit"].clean, text)
    assert written.unit == "W"
    assert parse_quantity(written.text, "W") == written.value
    return written.value


def reply(text):
    """The figure of an operator's answer."""
    form = ReplyForm(
        {"kind": "cap-export", "written": text, "received_on": "2026-11-24"},
        phases=1,
        nominal_mv=230_000,
    )
    for fault in form.errors.as_data().get("written", ()):
        raise as_clause(fault)
    assert form.cleaned_data["basis"] == "w_total"
    return form.cleaned_data["value"]


def plain(clean, text):
    try:
        return clean(text)
    except ValidationError as fault:
        raise as_clause(fault) from None


def as_clause(fault):
    """What a plain form says as a sentence, as the sheet says it."""
    (said,) = fault.messages
    assert said[:1].upper() == said[:1]
    assert said.endswith(".")
    return ValidationError(f"{said[:1].lower()}{said[1:-1]}")


ASKING = (sheets_unit, sheets_limit)
WITH_UNIT_BESIDE = (*ASKING, sweep, peak, local_value)
EVERY = (*WITH_UNIT_BESIDE, local_cap, reply)


@pytest.mark.parametrize("door", EVERY)
@pytest.mark.parametrize(("text", "watts"), WITH_UNIT)
def test_with_its_unit_an_amount_is_the_same_everywhere(door, text, watts):
    if door is peak and isinstance(watts, str):
        watts = watts.replace("W", "Wp")
    check(door, text, watts)


def check(door, text, watts):
    if isinstance(watts, int):
        assert door(text) == watts
        return
    with pytest.raises(ValidationError) as fault:
        door(text)
    assert watts in " ".join(fault.value.messages)
    assert not isinstance(fault.value, AskedError)


@pytest.mark.parametrize("door", WITH_UNIT_BESIDE)
@pytest.mark.parametrize(("text", "watts"), WITHOUT_UNIT)
def test_without_its_unit_an_amount_is_in_that_beside_the_box(door, text, watts):
    assert door(text) == watts


@pytest.mark.parametrize("door", [local_cap, reply])
@pytest.mark.parametrize(("text", "_watts"), WITHOUT_UNIT)
def test_where_no_unit_stands_beside_the_box_one_is_wanted(door, text, _watts):
    check(door, text, f'"{text.strip()}" has no unit; write it as in "16 A", "3.68 kW" or "23 kVA"')


@pytest.mark.parametrize("door", EVERY)
@pytest.mark.parametrize(("text", "watts", "says"), IN_TWO_WAYS)
def test_a_comma_before_three_digits_is_asked_about_or_refused(door, text, watts, says):
    if door not in ASKING:
        check(door, text, says)
        return
    with pytest.raises(AskedError) as asked:
        door(text)
    assert {reading.value for reading in asked.value.readings} == watts


# The other units of these boxes: whole kWh, and mV beside V.
@pytest.mark.parametrize(
    ("text", "kwh"),
    [
        ("3500", 3500),
        ("3500000 Wh", 3500),
        ("3.5 MWh", 3500),
        ("0", 0),
        ("3.5", '"3.5" is finer than can be kept here; give it in whole kWh'),
    ],
)
def test_energy_in_whole_kwh(text, kwh):
    check(lambda typed: plain(EnergyForm.base_fields["yearly_use_kwh"].clean, typed), text, kwh)


@pytest.mark.parametrize(
    ("text", "mv"),
    [
        ("262.2 V", 262_200),
        ("262,2 V", 262_200),
        ("0.2622 kV", 262_200),  # 0.2622 x 1,000,000 mV
        ("1 262 V", 1_262_000),
        ("1,262 V", "can be read in two ways; write 1262 or 1.262"),
        ("262.2", "has no unit"),
        ("-262 V", "this can't be negative; write it without the minus"),
    ],
)
def test_settings_of_a_device(text, mv):
    def door(typed):
        (setting,) = SettingsBox("Settings").clean(Typed(f"overvoltage; 1; {typed}; 1 s"))
        assert setting["unit"] == "mV"
        return setting["value"]

    check(door, text, mv)
