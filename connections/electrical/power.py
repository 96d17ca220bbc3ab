"""Real, reactive and apparent power.

Reactive power is signed, seen from the generator: positive is exported and raises the voltage,
negative is absorbed and lowers it. "Leading" and "lagging" are never used: they mean opposite
things for a generator and for a load.
"""

from math import hypot, sqrt
from typing import NamedTuple

from connections.electrical.electrical_errors import ElectricalError, number


class Power(NamedTuple):
    """Real power [W] and reactive power [var], both signed; positive is export."""

    p_w: float
    q_var: float


def at_power_factor(p_w: float, cos_phi: float, *, exports_reactive: bool = True) -> Power:
    """Keep real power at a power factor below unity: Q = P tan.

    The apparent power grows by 1 / cos: 3.68 kW kept at 0.95 is 3.87 kVA, and 16.84 A at 230 V.
    Raises ElectricalError.
    """
    sine = sin_phi(cos_phi, exports_reactive=exports_reactive)
    return Power(number("p_w", p_w), abs(p_w) * sine / cos_phi)


def apparent_va(p_w: float, q_var: float) -> float:
    """Apparent power [VA]. Raises ElectricalError."""
    return hypot(number("p_w", p_w), number("q_var", q_var))


def sin_phi(cos_phi: float, *, exports_reactive: bool = True) -> float:
    """The sine of a power factor; positive where reactive power is exported.

    Raises ElectricalError for a power factor outside 0.05 to 1, at which no plant runs.
    """
    if not 0.05 <= cos_phi <= 1:
        raise ElectricalError("cos_phi", f"a power factor of {cos_phi:g} is outside 0.05 to 1")
    sine = sqrt(1 - cos_phi**2)
    return sine if exports_reactive else -sine
