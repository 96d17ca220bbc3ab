"""Voltage rise against values computed with pandapower 3.5.6 (two-bus and three-bus cases, start
"flat", tolerance 1e-12 MVA), to 1e-4 V; and what must hold whatever the figures."""

from math import inf, nan, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from connections.electrical.conductors import Impedance, conductor, loop
from connections.electrical.electrical_errors import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.voltage_rise import (
    end_voltage,
    largest_power_va,
    longest_run_m,
    smallest_conductor,
)

RUN_A = Impedance(0.184261, 0.004)  # 6 mm² copper, 25 m, 70 °C: 2 x 0.025 x 3.08 x 1.1965
REFERENCE = Impedance(0.4, 0.25)  # IEC TR 60725, single-phase loop

TWO_BUS = [
    # case, V1, impedance, P, Q, V2 (V1 is 230 V single-phase, 400 V between lines)
    ("A1", 230, Impedance(0.184261, 0), 3680, 0, 232.9113),
    ("A2", 230, RUN_A, 3680, 0, 232.91132),
    ("A3 pf 0.95 absorbing", 230, RUN_A, 3496, -1149.08, 232.74593),
    ("A4 pf 0.95 exporting", 230, RUN_A, 3496, 1149.08, 232.78543),
    ("A5 4 mm² 20 m", 230, Impedance(0.220635, 0.0032), 5000, 0, 234.70034),
    ("B1 three-phase 10 mm² 30 m", 400, Impedance(0.065688, 0.0024), 17_000, 0, 402.77250),
    ("B2 absorbing", 400, Impedance(0.065688, 0.0024), 16_150, -5308.25, 402.60220),
    ("B3 exporting", 400, Impedance(0.065688, 0.0024), 16_150, 5308.25, 402.66549),
    ("B4 25 mm² 60 m 90 °C", 400, Impedance(0.055620, 0.0048), 50_000, 0, 406.83524),
    ("C1 reference", 230, REFERENCE, 3680, 0, 236.19905),
    ("C2 reference absorbing", 230, REFERENCE, 3496, -1149.08, 234.66474),
    ("C3 three-phase reference", 400, Impedance(0.24, 0.15), 11_040, 0, 406.49738),
    ("C4", 400, Impedance(0.24, 0.15), 17_000, 0, 409.90514),
]


@pytest.mark.parametrize("case", TWO_BUS, ids=[case[0] for case in TWO_BUS])
def test_constant_power(case):
    _, v1, z, p, q, v2 = case
    assert end_voltage(v1, p, q, z) == pytest.approx(v2, abs=1e-4)


INVERSE = [
    # V1, target V2, impedance, current, power
    (230, 232.3, RUN_A, 12.482, 2899.6),
    (230, 253, REFERENCE, 58.670, 14_844),
    (240, 253, REFERENCE, 32.851, 8311.4),
    (248, 253, REFERENCE, 12.550, 3175.1),
    (230, 236.9, REFERENCE, 17.352, 4110.8),
]


@pytest.mark.parametrize(("v1", "v2", "z", "current", "power"), INVERSE)
def test_the_largest_power_for_a_limit(v1, v2, z, current, power):
    found = largest_power_va(v1, v2, z)
    assert found / v2 == pytest.approx(current, abs=5e-4)
    assert found == pytest.approx(power, rel=4e-5)
    # And back: this power raises the voltage just so far.
    assert end_voltage(v1, found, 0, z) == pytest.approx(v2, abs=1e-9)


@pytest.mark.parametrize(
    ("csa", "metres"), [("2.5", 7.99), ("4", 13.07), ("6", 19.69), ("10", 32.67), ("16", 51.34)]
)
def test_one_per_cent_lengths_of_the_wiring_table(csa, metres):
    # 10 V / (I m) of the wiring table (PVC at 70 °C: 18, 11, 7.3, 4.4 and 2.8 mV/A/m) at 16 A: 1 %
    # of 230 V. A table in two figures, hence 5 %.
    each = loop("copper", csa, 1, 70)
    found = longest_run_m(230, 3680, 0, each, 2.3)
    assert found == pytest.approx(metres, rel=0.05)


def test_charging_is_a_drop():
    # By hand, without reactance: V2 = (230 + sqrt(230^2 - 4 x 3680 x 0.184261)) / 2 = 227.01303.
    end = end_voltage(230, -3680, 0, Impedance(0.184261, 0))
    assert end == pytest.approx((230 + sqrt(230**2 - 4 * 3680 * 0.184261)) / 2)
    assert end == pytest.approx(227.01303, abs=1e-4)


POWERS = [
    # V1, V2, power factor, exports: solved by hand from constant power, S(k V2 - ...) / Z^2
    (230, 253, 1.0, True),
    (230, 236.9, 0.95, False),
    (240, 253, 0.9, True),
]


@pytest.mark.parametrize(("v1", "v2", "cos_phi", "exports"), POWERS)
def test_the_largest_power_raises_the_voltage_just_so_far(v1, v2, cos_phi, exports):
    s = largest_power_va(v1, v2, REFERENCE, cos_phi, exports_reactive=exports)
    p, q = s * cos_phi, s * sqrt(1 - cos_phi**2) * (1 if exports else -1)
    assert end_voltage(v1, p, q, REFERENCE) == pytest.approx(v2, abs=1e-9)
    assert end_voltage(v1, p * 0.999, q * 0.999, REFERENCE) < v2


def test_absorbing_enough_never_raises_the_voltage():
    # R cos = X sin: at 0.4 + j0.25 ohm that is a power factor of 0.53.
    with pytest.raises(ImpossibleOperatingPointError, match="this power factor"):
        largest_power_va(230, 231, REFERENCE, 0.5, exports_reactive=False)


SIZES = [
    # W, phases, length, rise; size. 1 % on one phase: lengths of the wiring table at 16 A are 13.07
    # m for 4 mm², 19.69 for 6, 32.67 for 10 (PVC; the exact rise is a little less).
    (3680, 1, 12.5, 2.3, "4"),
    (3680, 1, 18, 2.3, "6"),
    (3680, 1, 22, 2.3, "10"),
    # Three-phase 17 kW over 30 m: 10 mm² rises by 2.7725 V.
    (17_000, 3, 30, 2.78, "10"),
    (17_000, 3, 30, 2.77, "16"),
    (3680, 1, 0, 2.3, "1.5"),
    (-3680, 1, 50, 2.3, "1.5"),  # a drop is no rise
]


@pytest.mark.parametrize(("w", "phases", "length", "rise", "csa"), SIZES)
def test_the_smallest_conductor(w, phases, length, rise, csa):
    v1 = 230 if phases == 1 else 400
    found = smallest_conductor(
        v1, w, 0, rise, material="copper", length_m=length, temperature_c=70, phases=phases
    )
    assert found == csa


def test_no_conductor_is_large_enough():
    with pytest.raises(ImpossibleOperatingPointError, match="up to 300 mm² copper"):
        smallest_conductor(
            230, 17_000, 0, 0.5, material="copper", length_m=900, temperature_c=70, phases=1
        )


BAD_SIZES = [
    ({"material": "steel"}, "steel"),
    ({"length_m": -1}, "length_m"),
    ({"length_m": 25_000}, "longer than 10,000 m"),
    ({"temperature_c": 300}, "300 °C"),
    ({"phases": 2}, "one or of three phases"),
]


@pytest.mark.parametrize(("wrong", "words"), BAD_SIZES)
def test_what_is_wrong_with_a_run_is_named(wrong, words):
    run = {"material": "copper", "length_m": 10, "temperature_c": 70, "phases": 1} | wrong
    with pytest.raises(ElectricalError, match=words):
        smallest_conductor(230, 3680, 0, 2.3, **run)


def test_what_no_line_can_carry_is_said():
    with pytest.raises(ImpossibleOperatingPointError, match="no voltage exists"):
        end_voltage(230, -60_000, 0, REFERENCE)
    with pytest.raises(ImpossibleOperatingPointError, match="no current at unity"):
        largest_power_va(230, 900, Impedance(0.01, 1.0))
    with pytest.raises(ImpossibleOperatingPointError, match="above this limit already"):
        largest_power_va(254, 253, REFERENCE)
    with pytest.raises(ImpossibleOperatingPointError, match="without an impedance"):
        largest_power_va(230, 253, Impedance(0, 0))
    with pytest.raises(ImpossibleOperatingPointError, match="any length"):
        longest_run_m(230, 0, 0, Impedance(0.01, 0), 2.3)


NO_NUMBERS = [nan, inf, -inf, 1e200, -1e200]
ASKED = [
    # what is asked, with one figure left open
    ("v1_v", lambda bad: end_voltage(bad, 3680, 0, REFERENCE), [0, -230]),
    ("p_w", lambda bad: end_voltage(230, bad, 0, REFERENCE), []),
    ("q_var", lambda bad: end_voltage(230, 3680, bad, REFERENCE), []),
    ("r_ohm", lambda bad: end_voltage(230, 3680, 0, Impedance(bad, 0)), [-0.1]),
    ("x_ohm", lambda bad: end_voltage(230, 3680, 0, Impedance(0.1, bad)), [-0.1]),
    ("cos_phi", lambda bad: largest_power_va(230, 253, REFERENCE, bad), [0, -0.5, 1.01]),
    ("v1_v", lambda bad: largest_power_va(bad, 253, REFERENCE), [0]),
    ("target_v", lambda bad: largest_power_va(230, bad, REFERENCE), [0]),
    ("r_ohm", lambda bad: largest_power_va(230, 253, Impedance(bad, 0.1)), []),
    ("rise_v", lambda bad: longest_run_m(230, 3680, 0, Impedance(0.01, 0), bad), [0, -1]),
    ("p_w", lambda bad: longest_run_m(230, bad, 0, Impedance(0.01, 0), 2.3), []),
    ("x_ohm", lambda bad: longest_run_m(230, 3680, 0, Impedance(0.01, bad), 2.3), []),
]


@pytest.mark.parametrize(("field", "ask", "more"), ASKED)
def test_what_is_no_number_is_named_and_never_answered(field, ask, more):
    for bad in NO_NUMBERS + more:
        with pytest.raises(ElectricalError) as caught:
            ask(bad)
        assert caught.value.field == field
        assert "nan" not in caught.value.message or field == "cos_phi"


metres = st.floats(0.1, 300)
watts = st.floats(100, 17_000)
sizes = st.sampled_from(["2.5", "4", "6", "10", "16", "25"])


@given(metres, metres, watts, sizes)
def test_the_rise_grows_with_length(short, more, power, csa):
    try:
        near = end_voltage(230, power, 0, loop("copper", csa, short, 70))
        far = end_voltage(230, power, 0, loop("copper", csa, short + more, 70))
    except ImpossibleOperatingPointError:
        assume(False)
    assert far > near


@given(metres, watts)
def test_the_rise_falls_with_a_larger_conductor(length, power):
    rises = []
    for csa in ("4", "6", "10", "16", "25", "35"):
        try:
            rises.append(end_voltage(230, power, 0, loop("copper", csa, length, 70)))
        except ImpossibleOperatingPointError:
            continue
    assert rises == sorted(rises, reverse=True)


@given(watts, sizes)
def test_no_length_gives_no_rise(power, csa):
    assert end_voltage(230, power, 0, loop("copper", csa, 0, 70)) == 230
    assert end_voltage(400, power, 0, conductor("copper", csa, 0, 70)) == 400


@given(metres, sizes, st.floats(0.001, 0.1))
def test_the_inverse_of_the_inverse_returns(length, csa, share):
    z = loop("copper", csa, length, 70)
    target = 230 * (1 + share)
    try:
        power = largest_power_va(230, target, z)
    except ImpossibleOperatingPointError:
        assume(False)
    assert end_voltage(230, power, 0, z) == pytest.approx(target, abs=1e-6)


@given(st.floats(1000, 17_000), st.floats(-15_000, 15_000), st.floats(0.5, 20), st.floats(0, 0.02))
def test_no_shorter_run_passes_the_rise(power, q, rise, x):
    # Absorbed reactive power may bring the voltage down again on a longer run: no peak is skipped.
    each = Impedance(0.008, x)
    try:
        found = longest_run_m(230, power, q, each, rise)
    except ImpossibleOperatingPointError:
        found = 2000.0  # any length
    for part in range(1, 21):
        try:
            end = end_voltage(230, power, q, each.times(found * part / 20))
        except ImpossibleOperatingPointError:
            break  # and no longer run is possible
        assert end - 230 <= rise + 1e-9


@given(watts, sizes)
def test_the_longest_run_keeps_the_rise_and_a_little_more_does_not(power, csa):
    each = loop("copper", csa, 1, 70)
    found = longest_run_m(230, power, 0, each, 2.3)
    assert end_voltage(230, power, 0, each.times(found)) - 230 <= 2.3
    assert end_voltage(230, power, 0, each.times(found + 0.002)) - 230 > 2.3
