"""Voltage rise against values computed with pandapower 3.5.6 (two-bus and three-bus cases, start
"flat", tolerance 1e-12 MVA), to 1e-4 V; and what must hold whatever the figures."""

from math import acos, tan

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from connections.electrical.conductors import Impedance, conductor, loop
from connections.electrical.faults import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.voltage_rise import (
    approximate_rise_v,
    chain,
    end_voltage,
    end_voltage_at_current,
    end_voltage_from_source_angle,
    largest_current_a,
    longest_run_m,
)
from tests.site_files import STEADY

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


@pytest.mark.parametrize("case", TWO_BUS, ids=[case[0] for case in TWO_BUS])
def test_the_approximation_errs_high_by_at_most_four_per_cent(case):
    _, v1, z, p, q, v2 = case
    exact, rough = v2 - v1, approximate_rise_v(v1, p, q, z)
    assert exact <= rough <= exact * 1.04


CURRENTS = [
    # Constant 16 A on the reference impedance; angle at the inverter, then at the source.
    (1.0, True, 236.36521, 236.43384),
    (0.95, False, 234.75790, 234.90258),
    (0.95, True, 237.32194, 237.33584),
]


@pytest.mark.parametrize(("cos_phi", "exports", "at_inverter", "at_source"), CURRENTS)
def test_constant_current(cos_phi, exports, at_inverter, at_source):
    found = end_voltage_at_current(230, 16, cos_phi, REFERENCE, exports_reactive=exports)
    assert found == pytest.approx(at_inverter, abs=1e-4)
    found = end_voltage_from_source_angle(230, 16, cos_phi, REFERENCE, exports_reactive=exports)
    assert found == pytest.approx(at_source, abs=1e-4)


INVERSE = [
    # V1, target V2, impedance, current, power
    (230, 232.3, RUN_A, 12.482, 2899.6),
    (230, 253, REFERENCE, 58.670, 14_844),
    (240, 253, REFERENCE, 32.851, 8311.4),
    (248, 253, REFERENCE, 12.550, 3175.1),
    (230, 236.9, REFERENCE, 17.352, 4110.8),
]


@pytest.mark.parametrize(("v1", "v2", "z", "current", "power"), INVERSE)
def test_the_largest_current_for_a_limit(v1, v2, z, current, power):
    found = largest_current_a(v1, v2, z)
    assert found == pytest.approx(current, abs=5e-4)
    assert found * v2 == pytest.approx(power, rel=4e-5)
    # And back: this power raises the voltage just so far.
    assert end_voltage(v1, found * v2, 0, z) == pytest.approx(v2, abs=1e-9)


def test_runs_one_after_another():
    # D1: 40 m of 35 mm² aluminium, then 20 m of 16 mm² copper, 30 kW at the end.
    service, run = Impedance(0.04171608, 0.0032), Impedance(0.0275195, 0.0016)
    first, second = chain(400, 30_000, 0, [service, run])
    assert first.to_v == pytest.approx(403.08897, abs=1e-4)
    assert second.to_v == pytest.approx(405.12680, abs=1e-4)
    assert first.rise_v + second.rise_v == pytest.approx(5.12680, abs=1e-4)
    # D3: the same with the network at 432 V.
    first, second = chain(432, 30_000, 0, [service, run])
    assert (first.to_v, second.to_v) == pytest.approx((434.86530, 436.75555), abs=1e-4)


@pytest.mark.parametrize(
    ("power", "first", "second"), [(6000, 239.83156, 242.00302), (3680, 236.16390, 237.52086)]
)
def test_a_single_phase_chain(power, first, second):
    # D4, D5: the reference impedance, then 20 m of 10 mm².
    found = chain(230, power, 0, [REFERENCE, Impedance(0.0875838, 0.0032)])
    assert [rise.to_v for rise in found] == pytest.approx([first, second], abs=1e-4)


@pytest.mark.parametrize(
    ("csa", "metres"), [("2.5", 7.99), ("4", 13.07), ("6", 19.69), ("10", 32.67), ("16", 51.34)]
)
def test_one_per_cent_lengths_of_the_wiring_table(csa, metres):
    # L = 10 p V / (I m) with the table's m [mV/A/m] at 16 A; a table in two figures, hence 5 %.
    each = loop("copper", csa, 1, 70)
    found = longest_run_m(230, 3680, 0, each, 2.3)
    assert found == pytest.approx(metres, rel=0.05)


def test_the_power_factor_trap():
    # 3.68 kW kept at a power factor of 0.95 is 3873.7 VA and 16.842 A, more than 16 A.
    current = 3680 / 0.95 / 230
    assert current == pytest.approx(16.842, abs=5e-4)
    assert 3680 * tan(acos(0.95)) == pytest.approx(1209.56, abs=0.01)


def test_what_no_line_can_carry_is_said():
    with pytest.raises(ImpossibleOperatingPointError, match="no voltage exists"):
        end_voltage(230, -60_000, 0, REFERENCE)
    with pytest.raises(ImpossibleOperatingPointError, match="no voltage exists"):
        end_voltage_at_current(230, 5000, 0.5, REFERENCE)
    with pytest.raises(ImpossibleOperatingPointError, match="no current at unity"):
        largest_current_a(230, 900, Impedance(0.01, 1.0))
    with pytest.raises(ImpossibleOperatingPointError, match="above this limit already"):
        largest_current_a(254, 253, REFERENCE)
    with pytest.raises(ImpossibleOperatingPointError, match="without an impedance"):
        largest_current_a(230, 253, Impedance(0, 0))
    with pytest.raises(ImpossibleOperatingPointError, match="any length"):
        longest_run_m(230, 0, 0, Impedance(0.01, 0), 2.3)


@pytest.mark.parametrize("bad", [0, -230, float("nan"), float("inf")])
def test_a_network_voltage_that_is_none_is_refused(bad):
    with pytest.raises(ElectricalError):
        end_voltage(bad, 3680, 0, REFERENCE)


@pytest.mark.parametrize("bad", [0, -0.5, 1.01, float("nan")])
def test_a_power_factor_that_is_none_is_refused(bad):
    with pytest.raises(ElectricalError, match="power factor"):
        end_voltage_at_current(230, 16, bad, REFERENCE)


metres = st.floats(0.1, 300)
watts = st.floats(100, 17_000)
sizes = st.sampled_from(["2.5", "4", "6", "10", "16", "25"])


@STEADY
@given(metres, metres, watts, sizes)
def test_the_rise_grows_with_length(short, more, power, csa):
    try:
        near = end_voltage(230, power, 0, loop("copper", csa, short, 70))
        far = end_voltage(230, power, 0, loop("copper", csa, short + more, 70))
    except ImpossibleOperatingPointError:
        assume(False)
    assert far > near


@STEADY
@given(metres, watts)
def test_the_rise_falls_with_a_larger_conductor(length, power):
    rises = []
    for csa in ("4", "6", "10", "16", "25", "35"):
        try:
            rises.append(end_voltage(230, power, 0, loop("copper", csa, length, 70)))
        except ImpossibleOperatingPointError:
            continue
    assert rises == sorted(rises, reverse=True)


@STEADY
@given(watts, sizes)
def test_no_length_gives_no_rise(power, csa):
    assert end_voltage(230, power, 0, loop("copper", csa, 0, 70)) == 230
    assert end_voltage(400, power, 0, conductor("copper", csa, 0, 70)) == 400


@STEADY
@given(metres, sizes, st.floats(0.001, 0.1))
def test_the_inverse_of_the_inverse_returns(length, csa, share):
    z = loop("copper", csa, length, 70)
    target = 230 * (1 + share)
    try:
        current = largest_current_a(230, target, z)
    except ImpossibleOperatingPointError:
        assume(False)
    assert end_voltage(230, current * target, 0, z) == pytest.approx(target, abs=1e-6)


@STEADY
@given(watts, sizes)
def test_the_longest_run_keeps_the_rise_and_a_little_more_does_not(power, csa):
    each = loop("copper", csa, 1, 70)
    found = longest_run_m(230, power, 0, each, 2.3)
    assert end_voltage(230, power, 0, each.times(found)) - 230 <= 2.3
    assert end_voltage(230, power, 0, each.times(found + 0.002)) - 230 > 2.3


def test_a_chain_of_one_is_the_line():
    z = Impedance(0.3, 0.1)
    [rise] = chain(230, 5000, 1000, [z])
    assert rise.to_v == pytest.approx(end_voltage(230, 5000, 1000, z))
    assert rise.from_v == pytest.approx(230, abs=1e-9)
    assert rise.share_of(230) == pytest.approx(rise.rise_v / 230)
