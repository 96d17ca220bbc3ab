"""Circuits: currents, ratings, devices and fault withstand."""

import pytest

from connections.electrical.circuit import (
    adiabatic_csa_mm2,
    board_sum_a,
    conductor_rating_a,
    design_current_a,
)
from connections.electrical.faults import ElectricalError

CURRENTS = [
    # kVA, phases, A: S / 230 and S / (sqrt 3 x 400), worked with numpy (facts of the trade)
    (3680, 1, 16.000),
    (5000, 1, 21.739),
    (6000, 1, 26.087),
    (11_040, 3, 15.935),
    (17_000, 1, 73.913),
    (17_000, 3, 24.537),
    (50_000, 3, 72.169),
    (7360, 2, 16.000),
    # Real power kept at a power factor of 0.95: 3.68 kW is 16.842 A, the trap at 16 A.
    (3680 / 0.95, 1, 16.842),
    (17_000 / 0.95, 3, 25.829),
]


@pytest.mark.parametrize(("va", "phases", "amps"), CURRENTS)
def test_design_currents(va, phases, amps):
    found = design_current_a(apparent_va=va, phases=phases, nominal_v=230)
    assert found == pytest.approx(amps, abs=6e-4)


def test_the_declared_current_wins():
    found = design_current_a(apparent_va=3680, phases=1, nominal_v=230, declared_a=16.8)
    assert found == 16.8


# Method C, D and E of armoured XLPE copper (BS 7671 4E4A, three public extracts; secondary).
@pytest.mark.parametrize(
    ("method", "csa", "two", "three"),
    [("C", "4", 49, 42), ("C", "35", 180, 154), ("D", "4", 43, 36), ("E", "16", 115, 99)],
)
def test_ratings(method, csa, two, three):
    assert conductor_rating_a(method, csa, "xlpe", 2, hot_terminals=True) == two
    assert conductor_rating_a(method, csa, "xlpe", 3, hot_terminals=True) == three


def test_terminals_for_70_degrees_take_the_cooler_table():
    assert conductor_rating_a("C", "6", "xlpe", 2) == 49  # 62 A at 90 °C
    assert conductor_rating_a("C", "6", "pvc", 2) == 49


@pytest.mark.parametrize(
    ("method", "csa", "insulation"), [("Z", "6", "xlpe"), ("C", "7", "xlpe"), ("C", "6", "paper")]
)
def test_what_no_table_has_is_said(method, csa, insulation):
    with pytest.raises(ElectricalError, match="held"):
        conductor_rating_a(method, csa, insulation, 2)


# sqrt(I^2 t) / k worked by hand: 1500 x sqrt(0.1) / 115 = 4.1247, and so on.
@pytest.mark.parametrize(
    ("amps", "seconds", "k", "csa"),
    [(1500, 0.1, 115, 4.1247), (6000, 0.1, 143, 13.268), (16_000, 0.01, 115, 13.913)],
)
def test_adiabatic(amps, seconds, k, csa):
    assert adiabatic_csa_mm2(amps, seconds, k) == pytest.approx(csa, rel=5e-5)


def test_a_board_fed_from_two_sides():
    # 100 A fuse with one and with two circuits of 16 A (secondary: 551.7.2 as quoted).
    assert board_sum_a(100, (16,)) == 116
    assert board_sum_a(100, (16, 16)) == 132


@pytest.mark.parametrize("bad", [0, -1, float("nan"), float("inf")])
def test_no_power_is_no_current(bad):
    with pytest.raises(ElectricalError, match="apparent_va"):
        design_current_a(apparent_va=bad, phases=1, nominal_v=230)


def test_four_phases_are_refused():
    with pytest.raises(ElectricalError, match="phases"):
        design_current_a(apparent_va=1000, phases=4, nominal_v=230)
