"""Circuits: currents, ratings, devices and fault withstand."""

import pytest

from connections.electrical.circuit import (
    ADIABATIC_K,
    adiabatic_csa_mm2,
    board_sum_a,
    capacity_a,
    design_current_a,
)
from connections.electrical.electrical_errors import ElectricalError

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


def test_factors():
    # 49 A, in 40 °C (0.87) beside two others (0.79): 49 x 0.87 x 0.79 = 33.68 A.
    assert capacity_a(49, {"ambient": 0.87, "grouping": 0.79}) == pytest.approx(33.6777)
    assert capacity_a(49, {}) == 49


@pytest.mark.parametrize("bad", [0, -0.5, 1.6, float("nan")])
def test_a_factor_that_is_none_is_named(bad):
    with pytest.raises(ElectricalError, match="the factor for grouping") as caught:
        capacity_a(49, {"ambient": 1.0, "grouping": bad})
    assert caught.value.field == "grouping"


@pytest.mark.parametrize("bad", [0, -1, float("nan"), float("inf")])
def test_a_current_that_is_none_is_named(bad):
    with pytest.raises(ElectricalError, match="sources_a"):
        board_sum_a(100, (16, bad))
    with pytest.raises(ElectricalError, match="declared_a"):
        design_current_a(apparent_va=3680, phases=1, nominal_v=230, declared_a=bad)


# sqrt(I^2 t) / k worked by hand: 1500 x sqrt(0.1) / 115 = 4.1247, and so on.
@pytest.mark.parametrize(
    ("amps", "seconds", "cable", "csa"),
    [
        (1500, 0.1, ("copper", "pvc"), 4.1247),
        (6000, 0.1, ("copper", "xlpe"), 13.268),
        (16_000, 0.01, ("copper", "pvc"), 13.913),
        (6000, 0.1, ("aluminium", "xlpe"), 20.185),  # 1897.37 / 94
    ],
)
def test_adiabatic(amps, seconds, cable, csa):
    assert adiabatic_csa_mm2(amps**2 * seconds, ADIABATIC_K[cable]) == pytest.approx(csa, rel=5e-5)


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
