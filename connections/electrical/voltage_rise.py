"""Voltage rise along a run that carries generation, exactly.

V1 is the voltage at the network side, V2 at the inverter. Single-phase: phase voltage, and R, X of
the loop (line and neutral). Three-phase balanced: voltage between lines, P and Q in all, and R, X
of one conductor. With these conventions the same formulas serve both. Q is signed: above nothing
the generator exports reactive power and raises the voltage.

The formulas follow from Kirchhoff's laws for a line without shunt admittance:
constant power   V2^2 = (a + sqrt(a^2 - 4 S^2 Z^2)) / 2 with a = V1^2 + 2 (P R + Q X)
constant current V2 = I (R cos + X sin) + sqrt(V1^2 - (I (X cos - R sin))^2)
angle at source  V2 = |V1 + I (cos - j sin)(R + j X)|
approximation    dV = (P R + Q X) / V1
"""

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, sqrt

from msgspec import Struct

from connections.electrical.conductors import NO_IMPEDANCE, Impedance
from connections.electrical.faults import ImpossibleOperatingPointError, positive


class Rise(Struct, frozen=True):
    """Voltages of one run: at its network side, at its far end, and what lies between [V]."""

    from_v: float
    to_v: float

    @property
    def rise_v(self) -> float:
        """The rise [V]; negative for a drop."""
        return self.to_v - self.from_v

    def share_of(self, reference_v: float) -> float:
        """The rise as a share of a reference voltage."""
        return self.rise_v / reference_v


def end_voltage(v1_v: float, p_w: float, q_var: float, z: Impedance) -> float:
    """The voltage at the far end for constant power [V].

    Raises ImpossibleOperatingPointError where no such voltage exists: the power is more than the
    line can carry.
    """
    positive("v1_v", v1_v)
    a = v1_v**2 + 2 * (p_w * z.r_ohm + q_var * z.x_ohm)
    s2, z2 = p_w**2 + q_var**2, z.r_ohm**2 + z.x_ohm**2
    under = a**2 - 4 * s2 * z2
    if a <= 0 or under < 0:
        raise ImpossibleOperatingPointError(
            "power", "no voltage exists at which this power can flow through this cable"
        )
    return sqrt((a + sqrt(under)) / 2)


def end_voltage_at_current(
    v1_v: float, i_a: float, cos_phi: float, z: Impedance, *, exports_reactive: bool = True
) -> float:
    """The voltage at the far end for a constant current at a power factor seen there [V].

    Raises ImpossibleOperatingPointError.
    """
    positive("v1_v", v1_v)
    sin_phi = _sin(cos_phi, exports_reactive)
    across = i_a * (z.x_ohm * cos_phi - z.r_ohm * sin_phi)
    under = v1_v**2 - across**2
    if under < 0:
        raise ImpossibleOperatingPointError(
            "current", "no voltage exists at which this current can flow through this cable"
        )
    return i_a * (z.r_ohm * cos_phi + z.x_ohm * sin_phi) + sqrt(under)


def end_voltage_from_source_angle(
    v1_v: float, i_a: float, cos_phi: float, z: Impedance, *, exports_reactive: bool = True
) -> float:
    """The voltage at the far end for a constant current at a power factor seen at the source."""
    positive("v1_v", v1_v)
    sin_phi = _sin(cos_phi, exports_reactive)
    end = v1_v + i_a * complex(cos_phi, -sin_phi) * complex(z.r_ohm, z.x_ohm)
    return abs(end)


def approximate_rise_v(v1_v: float, p_w: float, q_var: float, z: Impedance) -> float:
    """The rise by the usual approximation [V]; up to 4 % above the exact one below 3 %."""
    return (p_w * z.r_ohm + q_var * z.x_ohm) / positive("v1_v", v1_v)


def chain(v1_v: float, p_w: float, q_var: float, runs: Sequence[Impedance]) -> tuple[Rise, ...]:
    """The rise of each run of several one after another, with nothing connected between.

    Solved as one line, then followed from its end to the network: the voltages at the joints are
    those that the power at the far end causes. Raises ImpossibleOperatingPointError.
    """
    total = sum(runs, NO_IMPEDANCE)
    far = end_voltage(v1_v, p_w, q_var, total)
    current = complex(p_w, -q_var) / far  # into the network, at the angle of the far end
    voltages = [complex(far)]
    for run in reversed(runs):
        voltages.append(voltages[-1] - current * complex(run.r_ohm, run.x_ohm))
    sizes = [abs(v) for v in reversed(voltages)]
    return tuple(Rise(a, b) for a, b in pairwise(sizes))


def largest_current_a(v1_v: float, target_v: float, z: Impedance) -> float:
    """The largest current at unity power factor that keeps a voltage at the far end [A].

    I = (R V2 - sqrt(R^2 V2^2 - Z^2 (V2^2 - V1^2))) / Z^2. Raises ImpossibleOperatingPointError for
    a target that no current reaches or that lies below the network's voltage.
    """
    positive("v1_v", v1_v)
    if target_v < v1_v:
        raise ImpossibleOperatingPointError(
            "target_v", "the network's voltage is above this limit already"
        )
    z2 = z.r_ohm**2 + z.x_ohm**2
    if z2 == 0:
        raise ImpossibleOperatingPointError(
            "impedance", "without an impedance no current raises the voltage"
        )
    under = (z.r_ohm * target_v) ** 2 - z2 * (target_v**2 - v1_v**2)
    if under < 0:
        raise ImpossibleOperatingPointError(
            "target_v", "no current at unity power factor raises the voltage so far"
        )
    return (z.r_ohm * target_v - sqrt(under)) / z2


def longest_run_m(v1_v: float, p_w: float, q_var: float, each_m: Impedance, rise_v: float) -> float:
    """The longest run on which a rise is kept, for an impedance of each metre [m].

    Found by halving to a millimetre. Raises ImpossibleOperatingPointError where the rise is kept
    whatever the length (nothing flows, or what flows lowers the voltage).
    """
    positive("rise_v", rise_v)

    def keeps(length_m: float) -> bool:
        try:
            return end_voltage(v1_v, p_w, q_var, each_m.times(length_m)) - v1_v <= rise_v
        except ImpossibleOperatingPointError:
            return False

    high = 1.0
    while keeps(high):
        high *= 2
        if high > 1e6:
            raise ImpossibleOperatingPointError(
                "length", "this rise is kept on a run of any length"
            )
    low = 0.0
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if keeps(middle) else (low, middle)
    return low


def apparent_va(p_w: float, q_var: float) -> float:
    """Apparent power [VA]."""
    return hypot(p_w, q_var)


def _sin(cos_phi: float, exports_reactive: bool) -> float:
    if not 0 < cos_phi <= 1:
        raise ImpossibleOperatingPointError(
            "cos_phi", "a power factor is above nothing and at most 1"
        )
    sin_phi = sqrt(1 - cos_phi**2)
    return sin_phi if exports_reactive else -sin_phi
