"""Unbalanced four-wire supplies against values on which pandapower 3.5.6 (three-phase load flow),
power-grid-model 1.12.110 and a fixed point agree to 1e-5 V: 0.24 + j0.15 ohm a phase, neutral
0.16 + j0.10 ohm, 400 V between lines, unity power factor."""

from math import inf, nan, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from connections.electrical.conductors import Impedance
from connections.electrical.faults import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.four_wire import MOST_STEPS, neutral_current_a, solve
from connections.electrical.voltage_rise import end_voltage
from tests.site_files import STEADY

PHASE, NEUTRAL = Impedance(0.24, 0.15), Impedance(0.16, 0.10)
SOURCE = 400 / sqrt(3)

CASES = [
    # W on L1, L2, L3; volts of each; unbalance %; neutral A
    ((3680, 0, 0), (237.11546, 228.33561, 231.11023), 0.63063, 15.520),
    ((6000, 0, 0), (240.82196, 226.74093, 231.27885), 1.0092, 24.915),
    ((3680, 3680, 0), (237.30155, 234.59603, 228.41487), 0.61993, 15.856),
    ((3680, 3680, 3680), (234.69137, 234.69137, 234.69137), 0, 0),
    ((8680, 5000, 5000), (241.82158, 233.51687, 236.23423), 0.56882, 14.936),
]


@pytest.mark.parametrize(("power", "volts", "unbalance", "neutral"), CASES)
def test_the_published_cases(power, volts, unbalance, neutral):
    found = solve(SOURCE, power, PHASE, NEUTRAL)
    assert found.v == pytest.approx(volts, abs=1e-4)
    assert found.unbalance * 100 == pytest.approx(unbalance, abs=1e-4)
    assert found.neutral_a == pytest.approx(neutral, abs=1e-3)
    assert found.steps <= MOST_STEPS


@STEADY
@given(st.floats(0, 17_000))
def test_balanced_it_is_the_balanced_formula(each):
    found = solve(230, (each, each, each), PHASE, NEUTRAL)
    assert found.v[0] == pytest.approx(end_voltage(230 * sqrt(3), 3 * each, 0, PHASE) / sqrt(3))
    assert found.neutral_a == pytest.approx(0, abs=1e-6)


power = st.complex_numbers(min_magnitude=0, max_magnitude=17_000)


@STEADY
@given(power, power, power, st.floats(0.01, 0.5))
def test_it_settles_or_says_that_it_cannot(a, b, c, r):
    try:
        found = solve(230, (a, b, c), Impedance(r, r / 2), Impedance(r, r / 2))
    except ImpossibleOperatingPointError:
        return
    assert found.steps <= MOST_STEPS
    for v, i, s in zip(found.v, found.i_a, (a, b, c), strict=True):
        assert v * i == pytest.approx(abs(s), abs=1e-3)


def test_what_cannot_flow_is_said():
    with pytest.raises(ImpossibleOperatingPointError, match="no voltages were found"):
        solve(230, (-200_000, 0, 0), PHASE, NEUTRAL)


def test_a_phase_that_is_not_there_is_refused():
    with pytest.raises(ElectricalError, match="three phases"):
        solve(230, (1000, 0), PHASE, NEUTRAL)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("source", "power", "phase", "words"),
    [
        (0, (1000, 0, 0), PHASE, "source_v"),
        (nan, (1000, 0, 0), PHASE, "source_v"),
        (230, (nan, 0, 0), PHASE, "power_va"),
        (230, (0, complex(0, inf), 0), PHASE, "power_va"),
        (230, (0, 0, 1e300), PHASE, "power_va"),
        (230, (1000, 0, 0), Impedance(nan, 0.1), "r_ohm"),
        (230, (1000, 0, 0), Impedance(0.1, -0.1), "x_ohm"),
    ],
)
def test_what_is_wrong_is_named(source, power, phase, words):
    with pytest.raises(ElectricalError, match=words):
        solve(source, power, phase, NEUTRAL)


@STEADY
@given(st.floats(-32_000, 90_000), st.floats(0, 0.7))
def test_what_exists_in_a_wide_band_is_found(power, lean):
    # One phase with its neutral, against the closed form: 50 steps reach what lies between 0.63 and
    # 2.5 times the network's voltage.
    z = Impedance(0.4, 0.4 * lean)
    try:
        v2 = end_voltage(230, power, 0, z)
    except ImpossibleOperatingPointError:
        assume(False)
    assume(0.65 * 230 <= v2 <= 2.4 * 230)
    half = z.times(0.5)
    assert solve(230, (power, 0, 0), half, half).v[0] == pytest.approx(v2, abs=1e-6)


def test_no_impedance_changes_nothing():
    none = Impedance(0, 0)
    assert solve(230, (17_000, 0, 0), none, none).v == pytest.approx((230, 230, 230))


def test_neutral_current_of_an_example():
    # 3.68 kVA on L1, 5 on L2, 10 on three: 30.493 / 36.232 / 14.493 A, neutral 19.513 A.
    assert neutral_current_a(30.493, 36.232, 14.493) == pytest.approx(19.513, abs=2e-3)
    assert neutral_current_a(16, 16, 16) == 0
    assert neutral_current_a(16, 0, 0) == 16
