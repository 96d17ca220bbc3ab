"""Trees of runs against values computed with pandapower 3.5.6 and power-grid-model 1.12.110 (two
and three buses, unbalanced four wires), to 1e-4 V; and against the closed forms of single runs."""

from math import inf, nan, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from connections.electrical.conductors import Impedance
from connections.electrical.electrical_errors import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.radial import Place, solve
from connections.electrical.voltage_rise import end_voltage

NO_IMPEDANCE = Impedance(0, 0)
REFERENCE = Impedance(0.24, 0.15), Impedance(0.16, 0.10)  # a phase and the neutral
LINE = 400 / sqrt(3)

UNBALANCED = [
    # W on L1, L2, L3; volts of each; unbalance %; neutral A
    ((3680, 0, 0), (237.11546, 228.33561, 231.11023), 0.63063, 15.520),
    ((6000, 0, 0), (240.82196, 226.74093, 231.27885), 1.0092, 24.915),
    ((3680, 3680, 0), (237.30155, 234.59603, 228.41487), 0.61993, 15.856),
    ((3680, 3680, 3680), (234.69137, 234.69137, 234.69137), 0, 0),
    ((8680, 5000, 5000), (241.82158, 233.51687, 236.23423), 0.56882, 14.936),
]


@pytest.mark.parametrize(("watts", "volts", "unbalance", "neutral"), UNBALANCED)
def test_unbalanced_four_wires(watts, volts, unbalance, neutral):
    power = complex(watts[0]), complex(watts[1]), complex(watts[2])
    [found] = solve(LINE, 3, [Place(-1, *REFERENCE, power)])
    assert found.v == pytest.approx(volts, abs=1e-4)
    assert found.unbalance * 100 == pytest.approx(unbalance, abs=1e-4)
    assert found.neutral_a == pytest.approx(neutral, abs=1e-3)


def test_a_run_behind_a_run():
    # D1: 40 m 35 mm² aluminium, then 20 m 16 mm² copper, both 70 °C; 30 kW at the end, 400 V.
    service, run = Impedance(0.04171608, 0.0032), Impedance(0.0275195, 0.0016)
    each = (complex(10_000),) * 3
    poc, end = solve(LINE, 3, [Place(-1, service, service), Place(0, run, run, each)])
    assert poc.v[0] * sqrt(3) == pytest.approx(403.08897, abs=1e-4)
    assert end.v[0] * sqrt(3) == pytest.approx(405.12680, abs=1e-4)
    assert end.i_a[0] == pytest.approx(42.753, abs=1e-3)


def test_a_load_on_the_way():
    # D2: 30 kVA at 0.95 absorbing at the end, a load of 5 kW and 1 kvar between.
    service, run = Impedance(0.04171608, 0.0032), Impedance(0.0275195, 0.0016)
    load, plant = (complex(-5000, -1000) / 3,) * 3, (complex(28_500, -9367.5) / 3,) * 3
    poc, end = solve(LINE, 3, [Place(-1, service, service, load), Place(0, run, run, plant)])
    assert poc.v[1] * sqrt(3) == pytest.approx(402.33635, abs=1e-4)
    assert end.v[2] * sqrt(3) == pytest.approx(404.23878, abs=1e-4)


@pytest.mark.parametrize(
    ("cos_phi", "sin_phi", "volts"),
    # The closed form of constant current, 16 A on 0.4 + j0.25 ohm at 230 V.
    [
        (1, 0, 236.36521),
        (0.95, -sqrt(1 - 0.95**2), 234.75790),
        (0.95, sqrt(1 - 0.95**2), 237.32194),
    ],
)
def test_constant_current(cos_phi, sin_phi, volts):
    current = 16 * complex(cos_phi, -sin_phi), 0j, 0j
    [found] = solve(230, 1, [Place(-1, *REFERENCE, current_a=current)])
    assert found.v[0] == pytest.approx(volts, abs=1e-4)


def test_a_split_supply_whose_sides_are_alike_leaves_the_neutral_alone():
    z = Impedance(0.1, 0.01)
    [both] = solve(230, 2, [Place(-1, z, z, (2000 + 0j, 2000 + 0j, 0j))])
    assert both.neutral_a == pytest.approx(0, abs=1e-6)
    assert both.v[0] == pytest.approx(end_voltage(230, 2000, 0, z), abs=1e-4)
    [one] = solve(230, 2, [Place(-1, z, z, (2000 + 0j, 0j, 0j))])
    # The neutral carries it back: the loop, as on a single phase; the other side is pulled down.
    assert one.v[0] == pytest.approx(end_voltage(230, 2000, 0, z.times(2)), abs=1e-4)
    assert one.v[1] < 230


@given(
    r=st.floats(0.001, 0.3),
    share=st.floats(0, 1),
    p=st.floats(-10_000, 10_000),
    q=st.floats(-3000, 3000),
)
def test_one_run_is_the_closed_form(r, share, p, q):
    z = Impedance(r, r * share)
    expected = end_voltage(230, p, q, z.times(2))
    [found] = solve(230, 1, [Place(-1, z, z, (complex(p, q), 0j, 0j))])
    assert found.v[0] == pytest.approx(expected, abs=1e-4)


@given(st.floats(0, 17_000))
def test_balanced_it_is_the_closed_form_between_lines(each):
    [found] = solve(230, 3, [Place(-1, *REFERENCE, (complex(each),) * 3)])
    expected = end_voltage(230 * sqrt(3), 3 * each, 0, REFERENCE[0]) / sqrt(3)
    assert found.v[0] == pytest.approx(expected)
    assert found.neutral_a == pytest.approx(0, abs=1e-6)


power = st.complex_numbers(min_magnitude=0, max_magnitude=17_000)


@given(power, power, power, st.floats(0.01, 0.5))
def test_it_settles_or_says_that_it_cannot(a, b, c, r):
    try:
        [found] = solve(230, 3, [Place(-1, Impedance(r, r / 2), Impedance(r, r / 2), (a, b, c))])
    except ImpossibleOperatingPointError:
        return
    for v, i, s in zip(found.v, found.i_a, (a, b, c), strict=True):
        assert v * i == pytest.approx(abs(s), abs=1e-3)


@given(st.floats(-32_000, 90_000), st.floats(0, 0.7))
def test_what_exists_in_a_wide_band_is_found(watts, lean):
    # One phase with its neutral, against the closed form: what lies between 0.63 and 2.5 times the
    # network's voltage is reached.
    z = Impedance(0.4, 0.4 * lean)
    try:
        v2 = end_voltage(230, watts, 0, z)
    except ImpossibleOperatingPointError:
        assume(False)
    assume(0.65 * 230 <= v2 <= 2.4 * 230)
    half = z.times(0.5)
    [found] = solve(230, 1, [Place(-1, half, half, (complex(watts), 0j, 0j))])
    assert found.v[0] == pytest.approx(v2, abs=1e-5)


def test_nothing_between_raises_nothing():
    [found] = solve(230, 1, [Place(-1, NO_IMPEDANCE, NO_IMPEDANCE, (3680 + 0j, 0j, 0j))])
    assert found.v[0] == 230
    assert solve(230, 3, []) == ()


def test_more_than_the_cables_carry_is_said():
    z = Impedance(1, 0.5)
    with pytest.raises(ImpossibleOperatingPointError, match="beyond the most"):
        solve(230, 1, [Place(-1, z, z, (complex(-20_000), 0j, 0j))])


@pytest.mark.parametrize(
    ("source", "phases", "place"),
    [
        (0, 1, Place(-1, *REFERENCE)),
        (nan, 1, Place(-1, *REFERENCE)),
        (230, 4, Place(-1, *REFERENCE)),
        (230, 1, Place(0, *REFERENCE)),
        (230, 1, Place(-1, Impedance(nan, 0), NO_IMPEDANCE)),
        (230, 1, Place(-1, *REFERENCE, (complex(inf), 0j, 0j))),
    ],
)
def test_what_is_no_number_is_said(source, phases, place):
    with pytest.raises(ElectricalError):
        solve(source, phases, [place])
