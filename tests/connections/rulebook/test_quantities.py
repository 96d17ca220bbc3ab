"""Text with a unit in, whole numbers out; compared with pint's own registry where it agrees.

Source of the comparison: pint's default registry (the units of the International System).
"""

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.rulebook.quantities import LARGEST, WHOLE_UNITS, parse_in_any, parse_quantity
from connections.rulebook.rulebook_errors import QuantityError

EXACT = [
    ("16 A", "mA", 16_000),
    ("16A", "mA", 16_000),
    ("16,5 A", "mA", 16_500),
    ("80 A", "A", 80),
    ("1.2 kA", "A", 1_200),
    ("16 amps", "mA", 16_000),
    ("3.68 kW", "W", 3_680),
    ("3.68 kw", "W", 3_680),
    ("3680 watts", "W", 3_680),
    ("1 MW", "W", 1_000_000),
    ("800 VA", "VA", 800),
    ("23 kVA", "VA", 23_000),
    ("-1.2 kvar", "var", -1_200),
    ("−1.2 kVAr", "var", -1_200),
    ("2 kWp", "Wp", 2_000),
    ("9.5 kWh", "Wh", 9_500),
    ("3.5 MWh", "kWh", 3_500),
    ("3500 KWH", "kWh", 3_500),
    ("3.5 MWH", "kWh", 3_500),
    ("0.0145 GWh", "kWh", 14_500),
    ("262.2 V", "mV", 262_200),
    ("110 kV", "V", 110_000),
    ("0.25 ohm", "uohm", 250_000),
    ("0.25 Ω", "uohm", 250_000),
    ("47.5 Hz", "mHz", 47_500),
    ("1 Hz/s", "mHz/s", 1_000),
    ("20 ms", "ms", 20),
    ("2.5 s", "ms", 2_500),
    ("90 min", "ms", 90 * 60 * 1_000),
    ("4 h", "ms", 4 * 3_600 * 1_000),
    ("28 days", "days", 28),
    ("1 day", "days", 1),
    ("2 weeks", "days", 14),
    ("10 working days", "working-days", 10),
    ("1 working day", "working-days", 1),
    ("3 months", "months", 3),
    ("500 m", "m", 500),
    ("0.5 km", "m", 500),
    ("12.5 m", "mm", 12_500),
    ("80 %", "%", 80),
    ("0.95", "thousandths", 950),
    ("1.5 %", "thousandths", 15),
    # A hundredth of 1 % is 100 millionths.
    ("-0.27 %/°C", "ppm/K", -2_700),
    ("0.05 %/K", "ppm/K", 500),
    ("-2700 ppm/K", "ppm/K", -2_700),
    ("12°", "degrees", 12),
    ("70 °C", "celsius", 70),
    ("65 GBP", "GBP", 65),
    ("£65", "GBP", 65),
    ("200 GBP/kW", "GBP/kW", 200),
    ("1720 GBP/kVA", "GBP/kVA", 1_720),
    ("977.85 EUR", "EUR-cents", 97_785),
    ("0 A", "mA", 0),
]


@pytest.mark.parametrize(("text", "unit", "amount"), EXACT)
def test_exact(text: str, unit: str, amount: int) -> None:
    assert parse_quantity(text, unit) == amount


def test_every_unit_is_tried() -> None:
    assert {unit for _, unit, _ in EXACT} == set(WHOLE_UNITS)


@pytest.mark.parametrize(
    ("text", "unit", "words"),
    [
        ("3.68 kVA", "W", 'an apparent power (VA); a real power is wanted here, as in "3.68 kW"'),
        ("3.68 kW", "VA", 'a real power (W); an apparent power is wanted here, as in "23 kVA"'),
        ("2 kWp", "W", "is a peak power of panels (Wp); a real power is wanted here"),
        ("1 kvar", "VA", "is a reactive power (var); an apparent power is wanted here"),
        ("5 kWh", "W", "is an energy (Wh); a real power is wanted here"),
        ("16 A", "W", "is a current (A); a real power is wanted here"),
        ("28 days", "working-days", "a number of working days is wanted here"),
        ("1 month", "days", "is a number of months; a number of days is wanted here"),
        ("28 days", "ms", "a duration is wanted here"),
        ("5 kW/s", "W", "is something else; a real power is wanted here"),
        ("16", "mA", '"16" has no unit; write it as in "16 A"'),
        ("", "mA", 'this is empty; write a current as in "16 A"'),
        ("  ", "mA", "this is empty"),
        ("16 elephants", "mA", '"elephants" is not a unit known here'),
        ("5 Ws", "W", '"Ws" is not a unit known here'),
        ("5 TW", "W", '"TW" is not a unit known here'),
        ("5 mw", "W", '"mw" is not a unit known here'),
        ("3,680 W", "W", '"3,680" can be read in two ways; write 3680 or 3.680'),
        ("1,234,567 W", "W", '"1,234,567" has commas in its number; write 1234567'),
        ("5 mwh", "kWh", '"mwh" is not a unit known here; write it as in "3500 kWh"'),
        ("3 680 W", "W", "is not one number with a unit"),
        ("3.6.8 kW", "W", "is not one number with a unit"),
        ("kW", "W", "is not one number with a unit"),
        ("٣ A", "mA", "is not one number with a unit"),
        ("3 kW + 1 kW", "W", "is not a unit known here"),
        ("2**9 W", "W", "is not a unit known here"),
        ("1e3 W", "W", "is not a unit known here"),
        ("nan W", "W", "is not one number with a unit"),
        ("0.5 W", "W", '"0.5 W" is finer than can be kept here; give it in whole W'),
        ("5 mW", "W", "is finer than can be kept here"),
        ("1.5 days", "days", "is finer than can be kept here; give it in whole days"),
        ("1000001 kW", "W", "is too large; check its unit"),
        ("9" * 61 + " W", "W", "this is too long for a real power"),
    ],
)
def test_refused(text: str, unit: str, words: str) -> None:
    with pytest.raises(QuantityError) as refused:
        parse_quantity(text, unit)
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("text", "beside", "amount"),
    [("3.68", "kW", 3_680), ("3.68 kW", "W", 3_680), ("3680", "W", 3_680), ("5 W", "kW", 5)],
)
def test_the_unit_beside_the_box_is_taken_where_none_is_typed(
    text: str, beside: str, amount: int
) -> None:
    assert parse_quantity(text, "W", beside) == amount


CAPS = ("mA", "W", "VA")


@pytest.mark.parametrize(
    ("text", "read"),
    [("16 A", (16_000, "mA")), ("3.68 kW", (3_680, "W")), ("3.68 kVA", (3_680, "VA"))],
)
def test_the_unit_typed_says_which_is_meant(text: str, read: tuple[int, str]) -> None:
    assert parse_in_any(text, CAPS) == read


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("5", '"5" has no unit; write it as in "16 A", "3.68 kW" or "23 kVA"'),
        ("5 kWh", "a current, a real power or an apparent power is wanted here, as in"),
        ("lots", '"lots" is not one number with a unit; write it as in "16 A", "3.68 kW" or'),
        ("5,000 W", '"5,000" can be read in two ways; write 5000 or 5.000'),
        ("0.5 W", "is finer than can be kept here; give it in whole W"),
    ],
)
def test_none_of_the_units_is_typed(text: str, words: str) -> None:
    with pytest.raises(QuantityError) as refused:
        parse_in_any(text, CAPS)
    assert words in str(refused.value)


def test_a_unit_that_amounts_do_not_come_in() -> None:
    with pytest.raises(KeyError, match="kA is not a unit"):
        parse_quantity("16 A", "kA")


DEFAULT: pint.UnitRegistry[Decimal] = pint.UnitRegistry(non_int_type=Decimal)


@pytest.mark.parametrize("symbol", ["mA", "A", "kA", "mV", "V", "kV", "W", "kW", "MW"])
@pytest.mark.parametrize("number", ["0.001", "0.25", "1", "3.68", "16", "230.1", "999.999"])
def test_agrees_with_pints_own_units(symbol: str, number: str) -> None:
    check_against_default(f"{number} {symbol}", {"A": "mA", "V": "mV", "W": "W"}[symbol[-1]])


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("2.5 s", "ms"),
        ("90 min", "ms"),
        ("4 h", "ms"),
        ("500 m", "m"),
        ("12.345 m", "mm"),
        ("0.5 km", "m"),
        ("47.5 Hz", "mHz"),
        ("1.25 Hz/s", "mHz/s"),
        ("0.25 ohm", "uohm"),
        ("80 percent", "%"),
        ("2 weeks", "days"),
    ],
)
def test_agrees_with_pints_own_other_units(text: str, unit: str) -> None:
    check_against_default(text, unit)


def check_against_default(text: str, unit: str) -> None:
    number, symbol = text.split(" ", 1)
    wanted = {"days": "day", "%": "percent"}.get(unit, unit)
    theirs = DEFAULT.Quantity(Decimal(number), symbol).to(wanted).magnitude
    if theirs == theirs.to_integral_value():
        assert parse_quantity(text, unit) == int(theirs)
    else:
        with pytest.raises(QuantityError, match="finer than can be kept"):
            parse_quantity(text, unit)


@given(st.integers(0, LARGEST))
def test_thousandths_of_a_unit_are_exact(ma: int) -> None:
    text = f"{ma // 1000}.{ma % 1000:03d} A"
    assert parse_quantity(text, "mA") == ma
    assert Fraction(text.split()[0]) * 1000 == ma


def test_importing_the_room_loads_no_numeric_library() -> None:
    code = (
        "import sys, connections.rulebook.load, connections.rulebook.checking.table\n"
        "heavy = {'pint', 'numpy', 'django'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
