"""Prospective fault currents: by loop impedance, and the simple case of IEC 60909.

The largest and the smallest current are kept apart everywhere. The largest is never taken from the
largest loop impedance that a network may have: that gives the smallest current.
"""

from math import exp, sqrt

from msgspec import Struct

from connections.electrical.conductors import Impedance
from connections.electrical.faults import ElectricalError, not_negative, positive


def prospective_a(loop_ohm: float, u0_v: float, c: float = 1.0) -> float:
    """Prospective current of a loop impedance, phase to neutral or earth [A]: c U0 / Z."""
    return positive("c", c) * positive("u0_v", u0_v) / positive("loop_ohm", loop_ohm)


def loop_for_a(current_a: float, u0_v: float) -> float:
    """The loop impedance at which a current flows [ohm]."""
    return positive("u0_v", u0_v) / positive("current_a", current_a)


def contribution_a(rated_a: float, factor: float) -> float:
    """What an inverter adds to a fault [A]: its rated current times a factor."""
    return positive("rated_a", rated_a) * positive("factor", factor)


def largest_electrode_ohm(trip_ma: float, touch_v: float = 50.0) -> float:
    """The largest resistance of the earth electrode and its conductor for an RCD [ohm].

    RA x IDn <= 50 V (BS 7671 411.5.3; secondary).
    """
    return touch_v * 1000 / positive("trip_ma", trip_ma)


class Source(Struct, frozen=True):
    """An upstream network: voltage [V], short-circuit power [VA], R over X, voltage factor c."""

    u_v: float
    sk_va: float
    r_over_x: float
    c: float


class Transformer(Struct, frozen=True):
    """A transformer: voltages [V], rating [VA], impedance and its resistive part as shares."""

    hv_v: float
    lv_v: float
    s_va: float
    uk: float
    ukr: float


def source_impedance(source: Source, transformer: Transformer) -> Impedance:
    """The network seen from the low-voltage side: c UnQ^2 / SkQ, referred by the ratio."""
    z = positive("c", source.c) * positive("u_v", source.u_v) ** 2
    z /= positive("sk_va", source.sk_va)
    z *= (positive("lv_v", transformer.lv_v) / positive("hv_v", transformer.hv_v)) ** 2
    not_negative("r_over_x", source.r_over_x)
    x = z / sqrt(1 + source.r_over_x**2)
    return Impedance(source.r_over_x * x, x)


def transformer_impedance(transformer: Transformer) -> Impedance:
    """The transformer's own impedance on its low-voltage side, without correction."""
    base = positive("lv_v", transformer.lv_v) ** 2 / positive("s_va", transformer.s_va)
    return Impedance(transformer.ukr * base, _reactive_share(transformer) * base)


def correction(transformer: Transformer, c_max: float) -> float:
    """K_T = 0.95 c_max / (1 + 0.6 x_T) (IEC 60909-0, 6.3.3; from memory, checked by pandapower)."""
    return 0.95 * positive("c_max", c_max) / (1 + 0.6 * _reactive_share(transformer))


def _reactive_share(transformer: Transformer) -> float:
    if not 0 < transformer.uk < 1 or not 0 <= transformer.ukr <= transformer.uk:
        raise ElectricalError(
            "uk",
            "a transformer's impedance is a share above nothing and below 1, and its resistive "
            "part is no larger",
        )
    return sqrt(transformer.uk**2 - transformer.ukr**2)


def three_phase_a(z1: Impedance, un_v: float, c: float) -> float:
    """Initial symmetrical current of a three-phase fault [A]: c Un / (sqrt 3 |Z1|)."""
    return positive("c", c) * positive("un_v", un_v) / (sqrt(3) * positive("z1", z1.modulus_ohm))


def two_phase_a(z1: Impedance, un_v: float, c: float) -> float:
    """Initial current of a fault between two phases [A]: half the root of 3 of the three-phase one,
    as positive and negative sequence are alike far from a generator."""
    return sqrt(3) / 2 * three_phase_a(z1, un_v, c)


def one_phase_a(z1: Impedance, z0: Impedance, un_v: float, c: float) -> float:
    """Initial current of a fault from one phase to earth [A]: sqrt 3 c Un / |2 Z1 + Z0|."""
    loop = positive("z", (z1.times(2) + z0).modulus_ohm)
    return sqrt(3) * positive("c", c) * positive("un_v", un_v) / loop


def peak_a(initial_a: float, z: Impedance, *, meshed: bool = False) -> float:
    """The peak of a fault current [A]: kappa sqrt 2 Ik with kappa = 1.02 + 0.98 e^(-3 R/X).

    In a meshed network 1.15 times kappa, at most 1.8 (method B). Source: IEC 60909-0, 8.1 (from
    memory, checked by pandapower).
    """
    positive("x_ohm", z.x_ohm)
    kappa = 1.02 + 0.98 * exp(-3 * z.r_ohm / z.x_ohm)
    factor = min(1.15 * kappa, 1.8) if meshed else kappa
    return factor * sqrt(2) * positive("initial_a", initial_a)


def hot_resistance(r20_ohm: float, end_c: float) -> float:
    """Resistance of a line at the end of a fault: R20 (1 + 0.004 (end - 20)) [ohm]."""
    if not 20 <= end_c <= 400:
        raise ElectricalError(
            "end_c", f"a fault ends with a conductor at 20 to 400 °C, not {end_c:g}"
        )
    return not_negative("r20_ohm", r20_ohm) * (1 + 0.004 * (end_c - 20))
