"""Runs with plant and loads on the way, against values computed with pandapower 3.5.6: 40 m of
35 mm² aluminium to the supply terminals, 20 m of 16 mm² copper to the inverter."""

from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.electrical.conductors import Impedance
from connections.electrical.faults import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.tapped_run import Part, along
from connections.electrical.voltage_rise import chain, end_voltage
from tests.site_files import STEADY

SERVICE, RUN = Impedance(0.04171608, 0.0032), Impedance(0.0275195, 0.0016)
REFERENCE = Impedance(0.4, 0.25)

CASES = [
    # case, network V, phases, parts; volts, amps, watts lost of each
    (
        "D1 30 kW", 400, 3, [Part(SERVICE), Part(RUN, 30_000)],
        (403.08897, 405.12680), (42.753, 42.753), (228.75, 150.90),
    ),
    (
        "D2 30 kVA at 0.95 absorbing, load of 5 kW and 1 kvar", 400, 3,
        [Part(SERVICE, -5000, -1000), Part(RUN, 28_500, -9367.497)],
        (402.33635, 404.23878), (36.665, 42.847), (168.24, 151.57),
    ),
    (
        "D3 30 kW on 432 V", 432, 3, [Part(SERVICE), Part(RUN, 30_000)],
        (434.86530, 436.75555), (39.657, 39.657), (196.82, 129.84),
    ),
    (
        "D4 6 kW on one phase", 230, 1,
        [Part(REFERENCE), Part(Impedance(0.0875838, 0.0032), 6000)],
        (239.83156, 242.00302), (24.793, 24.793), None,
    ),
    (
        "D5 3.68 kW on one phase", 230, 1,
        [Part(REFERENCE), Part(Impedance(0.0875838, 0.0032), 3680)],
        (236.16390, 237.52086), (15.493, 15.493), None,
    ),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_the_three_bus_cases(case):
    _, v1, phases, parts, volts, amps, lost = case
    found = along(v1, parts, phases=phases)
    assert [each.to_v for each in found] == pytest.approx(volts, abs=1e-4)
    assert [each.current_a for each in found] == pytest.approx(amps, abs=1e-3)
    if lost is not None:
        assert [each.loss_w for each in found] == pytest.approx(lost, abs=0.01)
    assert sum(each.rise_v for each in found) == pytest.approx(volts[-1] - v1, abs=1e-4)


watts = st.floats(-3000, 15_000)
ohms = st.floats(0.001, 0.2)


@STEADY
@given(watts, ohms, ohms)
def test_with_nothing_on_the_way_it_is_a_chain(power, first, second):
    runs = [Impedance(first, first / 4), Impedance(second, second / 8)]
    found = along(400, [Part(runs[0]), Part(runs[1], power, 500)], phases=3)
    wanted = chain(400, power, 500, runs)
    assert [each.to_v for each in found] == pytest.approx([each.to_v for each in wanted])


@STEADY
@given(watts, watts, ohms)
def test_what_is_sent_arrives_less_the_losses(near, far, ohm):
    z = Impedance(ohm, ohm / 3)
    first, second = along(400, [Part(z, near), Part(z, far)], phases=3)
    assert second.loss_w == pytest.approx((far / second.to_v) ** 2 * ohm, rel=1e-6, abs=1e-9)
    # At the joint: what the far part brings less its losses, and what is sent in there. Its
    # reactive part is what the reactance of the far part keeps.
    real = near + far - second.loss_w
    reactive = -(second.current_a**2) * 3 * ohm / 3
    through = first.current_a * sqrt(3) * first.to_v
    assert through == pytest.approx((real**2 + reactive**2) ** 0.5, rel=1e-6, abs=1e-3)


def test_a_load_that_is_as_large_as_the_plant_leaves_nothing():
    # 3 kW behind no impedance beside a load of 3 kW: nothing flows in the service.
    found = along(230, [Part(REFERENCE, -3000), Part(Impedance(0, 0), 3000)], phases=1)
    assert found[0].to_v == pytest.approx(230)
    assert found[0].current_a == pytest.approx(0, abs=1e-9)


def test_one_part_is_the_closed_form():
    [found] = along(230, [Part(REFERENCE, 3680)], phases=1)
    assert found.to_v == pytest.approx(end_voltage(230, 3680, 0, REFERENCE), abs=1e-6)
    assert along(230, [], phases=1) == ()


def test_what_no_run_can_carry_is_said():
    with pytest.raises(ImpossibleOperatingPointError, match="no voltages were found"):
        along(230, [Part(REFERENCE, -60_000)], phases=1)


@pytest.mark.parametrize(
    ("v1", "part", "phases", "words"),
    [
        (nan, Part(REFERENCE, 1000), 1, "v1_v"),
        (230, Part(REFERENCE, nan), 1, "p_w"),
        (230, Part(REFERENCE, 0, inf), 1, "q_var"),
        (230, Part(Impedance(nan, 0), 1000), 1, "r_ohm"),
        (230, Part(Impedance(0, -0.1), 1000), 1, "x_ohm"),
        (230, Part(REFERENCE, 1000), 2, "one phase or a balanced three"),
    ],
)
def test_what_is_wrong_is_named(v1, part, phases, words):
    with pytest.raises(ElectricalError, match=words):
        along(v1, [part], phases=phases)
