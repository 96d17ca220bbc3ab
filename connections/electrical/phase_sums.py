"""Sum registered capacity phase by phase, exactly.

A unit loads its one, two or three phases equally, so its power per phase is whole in sixths of a
watt. Sums are whole numbers in millionths of a sixth of a watt ("scaled"). In that unit a current
in mA at a voltage in mV is whole too: 1 mA x 1 mV = 1 uW = 6 scaled.
"""

from math import gcd

SCALE_PER_W = 6_000_000
"""Scaled units in one watt: 6 for the sixths, a million for mA x mV."""

ExactMilliamps = tuple[int, int]


def scaled_per_phase(rated_w: int, phases: int) -> int:
    """Power of one unit of `rated_w` [W] on each of its `phases` phases [scaled]."""
    return rated_w * SCALE_PER_W // phases


def scaled_current(limit_ma: int, nominal_mv: int) -> int:
    """The power of `limit_ma` [mA] at `nominal_mv` [mV, phase to neutral], unity pf [scaled]."""
    return limit_ma * nominal_mv * 6


def scaled_power(limit_w: int) -> int:
    """A power [W] in scaled units."""
    return limit_w * SCALE_PER_W


def exact_milliamps(scaled: int, nominal_mv: int) -> ExactMilliamps:
    """The current of `scaled` per-phase power at `nominal_mv`, unity pf, as a reduced fraction."""
    denominator = 6 * nominal_mv
    common = gcd(scaled, denominator)
    return scaled // common, denominator // common


def whole_milliamps(scaled: int, nominal_mv: int) -> int:
    """The same current in whole milliamps, half up."""
    denominator = 6 * nominal_mv
    return (2 * scaled + denominator) // (2 * denominator)


def whole_watts(scaled: int) -> int:
    """A power in whole watts, half up."""
    return (2 * scaled + SCALE_PER_W) // (2 * SCALE_PER_W)
