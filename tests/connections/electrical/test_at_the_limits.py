"""What stands exactly at a limit of what is worked with: the limit itself is taken."""

import pytest

from connections.electrical.balance import worst_together
from connections.electrical.circuit import capacity_a
from connections.electrical.conductors import conductor, impedance_of_run
from connections.electrical.demand import Diversity, after_diversity_a
from connections.electrical.power import sin_phi
from connections.electrical.voltage_rise import (
    end_voltage,
    largest_power_va,
    smallest_conductor,
)


def test_a_share_may_be_nothing():
    # The two largest count whole and nothing of the rest does: 40 + 30 A.
    assert after_diversity_a([20, 40, 30], Diversity(0, largest=2)) == 70


def test_a_size_that_keeps_the_rise_exactly_is_the_smallest():
    z = impedance_of_run("copper", "6", 25, 70, 1)
    rise = end_voltage(230, 3680, 0, z) - 230
    found = smallest_conductor(
        230, 3680, 0, rise, material="copper", length_m=25, temperature_c=70, phases=1
    )
    assert found == "6"


def test_a_network_at_the_limit_takes_no_power():
    # Nothing may be sent in where the voltage stands at the limit; that is an answer, and no fault.
    assert largest_power_va(253, 253, conductor("copper", "6", 25, 70)) == 0


def test_the_largest_factor_is_taken():
    # 40 A x 1.5, at most 1.5 each (the docstring's bound).
    assert capacity_a(40, {"soil": 1.5}) == 60


def test_the_least_power_factor_is_taken():
    # sqrt(1 - 0.05^2) = sqrt(0.9975)
    assert sin_phi(0.05) == pytest.approx(0.998749, abs=1e-6)


def test_what_pushes_no_phase_runs_in_no_worst_case():
    # On L1 against L2 the first two push 5 and 3 kW; the third is alike on all phases.
    worst = worst_together({"pv": (5, 0, 0), "chp": (3, 0, 0), "wind": (2, 2, 2)})
    assert worst is not None
    assert (worst.difference, worst.running) == (8, ("chp", "pv"))


def test_the_coldest_and_the_longest_are_taken():
    # 3.08 ohm/km x (1 + 0.00393 x (-25 - 20)) = 2.5353 ohm/km, over 10 km.
    assert conductor("copper", "6", 10_000, -25).r_ohm == pytest.approx(25.353, abs=1e-3)
