"""Voltages of an unbalanced four-wire supply: three phases with a neutral that carries the rest.

V_i = E_i + sum over k of Z_ik I_k with Z_ii = Z_phase + Z_neutral and Z_ik = Z_neutral, and
I_k = conj(S_k / V_k); found by fixed-point iteration. Sequence equivalents: Z1 = Z_phase,
Z0 = Z_phase + 3 Z_neutral.

The iteration draws nearer by the factor |Z S| / |V|^2 a step: 50 of them find every voltage between
about 0.63 and 2.5 times the network's. What lies outside is said to be beyond the supply.
"""

from cmath import exp, pi
from collections.abc import Sequence
from math import sqrt

from msgspec import Struct

from connections.electrical.conductors import Impedance
from connections.electrical.faults import (
    ElectricalError,
    ImpossibleOperatingPointError,
    number,
    positive,
)

MOST_STEPS = 50
_EXACT_V = 1e-9
_A = exp(2j * pi / 3)
_ANGLES = (1, _A**2, _A)


class FourWire(Struct, frozen=True):
    """What an unbalanced supply does: voltage of each phase to neutral [V], current of each phase
    and of the neutral [A], voltage unbalance (negative over positive sequence) as a share."""

    v: tuple[float, float, float]
    i_a: tuple[float, float, float]
    neutral_a: float
    unbalance: float
    steps: int


def solve(
    source_v: float,
    power_va: tuple[complex, complex, complex],
    phase: Impedance,
    neutral: Impedance,
) -> FourWire:
    """The voltages for what each phase sends into the network [VA, + is export].

    `source_v` is the network's voltage, phase to neutral. Raises ImpossibleOperatingPointError
    where no voltages are found, that is, where the iteration leaves them or does not settle.
    """
    positive("source_v", source_v)
    if len(power_va) != 3:
        raise ElectricalError("power_va", "give the power of three phases")
    for s in power_va:
        number("power_va", s.real)
        number("power_va", s.imag)
    z_phase, z_neutral = _complex(phase.checked()), _complex(neutral.checked())
    source = [source_v * angle for angle in _ANGLES]
    v = list(source)
    for step in range(1, MOST_STEPS + 1):
        i = [(s / u).conjugate() for s, u in zip(power_va, v, strict=True)]
        together = z_neutral * sum(i)
        new = [e + z_phase * one + together for e, one in zip(source, i, strict=True)]
        change = max(abs(a - b) for a, b in zip(new, v, strict=True))
        v = new
        if min(abs(u) for u in v) < source_v * 0.3 or max(abs(u) for u in v) > source_v * 3:
            break
        if change < _EXACT_V:
            return FourWire(
                v=(abs(v[0]), abs(v[1]), abs(v[2])),
                i_a=(abs(i[0]), abs(i[1]), abs(i[2])),
                neutral_a=abs(sum(i)),
                unbalance=_unbalance(v),
                steps=step,
            )
    raise ImpossibleOperatingPointError(
        "power_va",
        "no voltages were found at which this power can flow through this supply; it is at or "
        "beyond the most that the supply can carry",
    )


def _complex(z: Impedance) -> complex:
    return complex(z.r_ohm, z.x_ohm)


def _unbalance(v: Sequence[complex]) -> float:
    positive_sequence = abs(v[0] + _A * v[1] + _A**2 * v[2])
    negative_sequence = abs(v[0] + _A**2 * v[1] + _A * v[2])
    return negative_sequence / positive_sequence


def neutral_current_a(a: float, b: float, c: float) -> float:
    """The neutral current of three phase currents of one power factor [A].

    sqrt(a^2 + b^2 + c^2 - ab - bc - ca).
    """
    return sqrt(max(0.0, a * a + b * b + c * c - a * b - b * c - c * a))
