"""Thousands of real ratings as a fixture for sums: the inverter table that pvlib ships.

Source: the California Energy Commission's list of March 2019 in the package pvlib (BSD-3), read
from the installed package: 3,264 records, Paco is the largest AC power in watts. It says nothing of
phases or type tests here, and no maker's name is used: records are picked by position and rating.
"""

from fractions import Fraction

import pytest

from connections.electrical.phase_sums import (
    SCALE_PER_W,
    scaled_current,
    scaled_per_phase,
    scaled_power,
    whole_milliamps,
)

MV = 230_000


@pytest.fixture(scope="module")
def paco() -> list[Fraction]:
    """Every record's rating in watts, exactly as the table writes it."""
    from pvlib.pvsystem import retrieve_sam

    return [Fraction(str(watts)) for watts in retrieve_sam("CECInverter").T["Paco"]]


def test_the_table_is_the_one_that_was_counted(paco):
    assert len(paco) == 3264
    assert sum(paco) == Fraction("404474327.847")


def test_milliwatts_add_up_to_the_same(paco):
    """The whole-number sums of ours, in milliwatts, on one phase and on three."""
    milliwatts = [int(watts * 1000) for watts in paco]
    assert [Fraction(m, 1000) for m in milliwatts] == paco  # no record has more than 3 decimals
    for phases in (1, 3):
        each = sum(scaled_per_phase(m, phases) for m in milliwatts)
        assert phases * each == 404_474_327_847 * SCALE_PER_W


# At most so many watts: so many records. Counted with another program.
COUNTS = [(3680, 1287), (11_040, 2326), (17_000, 1287 + 1159), (50_000, 2701)]


@pytest.mark.parametrize(("watts", "count"), COUNTS)
def test_counts_at_most_each_threshold(paco, watts, count):
    at_most = scaled_power(watts) * 1000
    assert sum(scaled_per_phase(int(rated * 1000), 1) <= at_most for rated in paco) == count


def test_counts_by_current(paco):
    # 16 A a phase: 3680 W on one phase, 11,040 W on three. In milliwatts, so a limit of mA at mV.
    for phases, count in ((1, 1287), (3, 2326)):
        inside = sum(
            scaled_per_phase(int(watts * 1000), phases) <= scaled_current(16_000, MV) * 1000
            for watts in paco
        )
        assert inside == count
    assert sum(watts > 1_000_000 for watts in paco) == 144


def test_a_sum_of_picked_records(paco):
    # 5000 W + 10 x 300 W + 12 x 230 W = 10,760 W = 46.783 A.
    for watts in (5000, 300, 230):
        assert Fraction(watts) in paco
    picked = [(1, 5000), (10, 300), (12, 230)]
    whole = sum(number * scaled_per_phase(watts, 1) for number, watts in picked)
    assert whole == scaled_power(10_760)
    assert whole_milliamps(whole, MV) == 46_783
