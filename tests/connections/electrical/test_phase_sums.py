"""Registered capacity added up phase by phase, exactly, and turned into amps."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.electrical.phase_sums import (
    SCALE_PER_W,
    exact_milliamps,
    scaled_current,
    scaled_per_phase,
    scaled_power,
    whole_milliamps,
    whole_watts,
)

MV = 230_000  # 230 V, EREC G99 Issue 2, Table 10.1 note


@pytest.mark.parametrize(
    ("rated_w", "phases", "numerator", "denominator", "whole"),
    [
        (3680, 1, 16_000, 1, 16_000),  # 3680 / 230 = 16
        (3679, 1, 367_900, 23, 15_996),  # 3679 / 230 = 15.99565...
        (3681, 1, 368_100, 23, 16_004),  # 3681 / 230 = 16.00434...
        (5000, 1, 500_000, 23, 21_739),  # 5000 / 230 = 21.73913...
        (8500, 1, 850_000, 23, 36_957),  # 8500 / 230 = 36.95652...
        (17_000, 1, 1_700_000, 23, 73_913),  # 17000 / 230 = 73.91304...
        (11_040, 3, 16_000, 1, 16_000),  # 11040 / 3 / 230 = 16
        (9000, 3, 300_000, 23, 13_043),  # 9000 / 690 = 13.04347...
        (5000, 3, 500_000, 69, 7246),  # 5000 / 690 = 7.24637...
        (5000, 2, 250_000, 23, 10_870),  # 5000 / 460 = 10.86956...
        (1, 3, 100, 69, 1),  # 1 / 690 A = 1.449... mA
        (0, 1, 0, 1, 0),
    ],
)
def test_watts_to_milliamps(rated_w, phases, numerator, denominator, whole):
    scaled = scaled_per_phase(rated_w, phases)
    assert exact_milliamps(scaled, MV) == (numerator, denominator)
    assert whole_milliamps(scaled, MV) == whole


@pytest.mark.parametrize(
    ("rated_w", "mv", "whole"),
    [
        # At 240 V: 1 W = 4.16667 mA, 3 W = 12.5 mA, 9 W = 37.5 mA. Half up, never to even.
        (1, 240_000, 4),
        (3, 240_000, 13),
        (9, 240_000, 38),
        (15, 240_000, 63),  # 62.5
    ],
)
def test_whole_milliamps_are_half_up(rated_w, mv, whole):
    assert whole_milliamps(scaled_per_phase(rated_w, 1), mv) == whole


@pytest.mark.parametrize(
    ("sixths", "whole"), [(0, 0), (2, 0), (3, 1), (6, 1), (8, 1), (9, 2), (15, 3)]
)
def test_whole_watts_are_half_up(sixths, whole):
    assert whole_watts(sixths * SCALE_PER_W // 6) == whole


def test_limits_stand_on_the_same_scale():
    assert scaled_current(16_000, MV) == scaled_power(3680) == scaled_per_phase(11_040, 3)
    # 0.1 + 0.2 of binary fractions: three phases of 3.68 kW are exactly 11.04 kW here.
    assert 3 * scaled_power(3680) == scaled_power(11_040)


def test_the_example_of_three_kinds_of_unit():
    # Worked with a public calculator, at 230 V and unity power factor: 3.68 kW on L1, 5 kW on L2
    # and 10 kW on all three are 7.0133, 8.3333 and 3.3333 kW, so 30.493, 36.232 and 14.493 A.
    third = scaled_per_phase(10_000, 3)
    sums = [scaled_per_phase(3680, 1) + third, scaled_per_phase(5000, 1) + third, third]
    assert [Fraction(each, SCALE_PER_W) for each in sums] == [
        3680 + Fraction(10_000, 3),
        5000 + Fraction(10_000, 3),
        Fraction(10_000, 3),
    ]
    assert [whole_milliamps(each, MV) for each in sums] == [30_493, 36_232, 14_493]


@given(st.integers(1, 3), st.integers(0, 1000), st.integers(0, 10**9))
def test_shares_are_exact_fractions(phases, number, watts):
    share = number * scaled_per_phase(watts, phases)
    wanted = Fraction(number * watts, phases)
    assert Fraction(share, SCALE_PER_W) == wanted
    assert Fraction(*exact_milliamps(share, MV)) == wanted * 1000 / 230


@given(st.integers(0, 10**12), st.sampled_from([1, 115_000, 230_000, 240_000, 253_000]))
def test_whole_milliamps_round_the_exact_figure_half_up(scaled, mv):
    exact = Fraction(*exact_milliamps(scaled, mv))
    assert whole_milliamps(scaled, mv) == (exact + Fraction(1, 2)).__floor__()
