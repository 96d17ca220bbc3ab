"""Prospective fault currents by loop impedance.

Keep the largest and the smallest current apart. A network's maximum loop impedance gives the
smallest current, never the largest.
"""

from connections.electrical.electrical_errors import positive


def prospective_a(loop_ohm: float, u0_v: float, c: float = 1.0) -> float:
    """Prospective current of a loop impedance, phase to neutral or earth [A]: c U0 / Z."""
    return positive("c", c) * positive("u0_v", u0_v) / positive("loop_ohm", loop_ohm)


def contribution_a(rated_a: float, factor: float) -> float:
    """An inverter's contribution to a fault [A]: its rated current times a factor."""
    return positive("rated_a", rated_a) * positive("factor", factor)


def largest_electrode_ohm(trip_ma: float, touch_v: float = 50.0) -> float:
    """The largest resistance of the earth electrode and its conductor for an RCD [ohm].

    RA x IDn <= 50 V (BS 7671 411.5.3; secondary).
    """
    return touch_v * 1000 / positive("trip_ma", trip_ma)
