"""Voltage rise along a run that carries generation, exactly.

V1 is the voltage at the network side, V2 at the inverter. Single-phase: phase voltage, and R, X of
the loop (line and neutral). Three-phase balanced: voltage between lines, total P and Q, and R, X
of one conductor. With these conventions the same formulas serve both. Q is signed: positive means
that the generator exports reactive power and raises the voltage.

The formula follows from Kirchhoff's laws for a line without shunt admittance, at constant power:
V2^2 = (a + sqrt(a^2 - 4 S^2 Z^2)) / 2 with a = V1^2 + 2 (P R + Q X)
"""

from math import floor, sqrt

from connections.electrical.conductors import Impedance, impedance_of_run, sizes
from connections.electrical.electrical_errors import ImpossibleOperatingPointError, number, positive
from connections.electrical.power import apparent_va, sin_phi


def end_voltage(v1_v: float, p_w: float, q_var: float, z: Impedance) -> float:
    """The voltage at the far end for constant power [V]; negative power is demand, and a drop.

    Raises ImpossibleOperatingPointError where the power is more than the line can carry.
    """
    positive("v1_v", v1_v)
    number("p_w", p_w)
    number("q_var", q_var)
    z.checked()
    a = v1_v**2 + 2 * (p_w * z.r_ohm + q_var * z.x_ohm)
    s2, z2 = p_w**2 + q_var**2, z.r_ohm**2 + z.x_ohm**2
    under = a**2 - 4 * s2 * z2
    if a <= 0 or under < 0:
        raise ImpossibleOperatingPointError(
            "power", "no voltage exists at which this power can flow through this cable"
        )
    return sqrt((a + sqrt(under)) / 2)


def largest_power_va(
    v1_v: float,
    target_v: float,
    z: Impedance,
    cos_phi: float = 1.0,
    *,
    exports_reactive: bool = True,
) -> float:
    """The largest apparent power at a power factor that keeps a voltage at the far end [VA].

    S = V2 (k V2 - sqrt(k^2 V2^2 - Z^2 (V2^2 - V1^2))) / Z^2 with k = R cos + X sin: the formula of
    constant power, solved for S. Raises ImpossibleOperatingPointError for a target that no power
    reaches or that is below the network's voltage.
    """
    sine = sin_phi(cos_phi, exports_reactive=exports_reactive)
    z.checked()
    positive("v1_v", v1_v)
    if positive("target_v", target_v) < v1_v:
        raise ImpossibleOperatingPointError(
            "target_v", "the network's voltage is above this limit already"
        )
    if z.modulus_ohm == 0:
        raise ImpossibleOperatingPointError(
            "impedance", "without an impedance no current raises the voltage"
        )
    along = z.r_ohm * cos_phi + z.x_ohm * sine
    found = _first_crossing(v1_v, target_v, along, z.modulus_ohm)
    if found is None:
        how = "unity power factor" if cos_phi == 1 else "this power factor"
        raise ImpossibleOperatingPointError(
            "target_v", f"no current at {how} raises the voltage so far"
        )
    return found


def longest_run_m(v1_v: float, p_w: float, q_var: float, each_m: Impedance, rise_v: float) -> float:
    """The longest run that keeps a rise, for an impedance per metre [m].

    The formula of constant power, solved for the length and rounded down to a millimetre. Raises
    ImpossibleOperatingPointError where every length keeps the rise (no flow, or a flow that lowers
    the voltage).
    """
    positive("v1_v", v1_v)
    positive("rise_v", rise_v)
    s = apparent_va(p_w, q_var)
    along = p_w * each_m.checked().r_ohm + q_var * each_m.x_ohm
    found = _first_crossing(v1_v, v1_v + rise_v, along, s * each_m.modulus_ohm)
    if found is None:
        raise ImpossibleOperatingPointError("length", "this rise is kept on a run of any length")
    return floor(found * 1000) / 1000


def smallest_conductor(
    v1_v: float,
    p_w: float,
    q_var: float,
    rise_v: float,
    *,
    material: str,
    length_m: float,
    temperature_c: float,
    phases: int,
) -> str:
    """The smallest nominal size of IEC 60228 that keeps a rise over a run, as a label [mm²].

    Raises ElectricalError for unusable figures, ImpossibleOperatingPointError where even the
    largest known size does not keep it.
    """
    positive("rise_v", rise_v)
    known = sizes(material)
    for csa in known:
        z = impedance_of_run(material, csa, length_m, temperature_c, phases)
        try:
            end = end_voltage(v1_v, p_w, q_var, z)
        except ImpossibleOperatingPointError:
            continue
        if end - v1_v <= rise_v:
            return csa
    raise ImpossibleOperatingPointError(
        "csa_mm2", f"no size up to {known[-1]} mm² {material} keeps this rise on this run"
    )


# 2026-11-25: take the first crossing. Beyond it absorbed reactive power may lower the voltage
# again.
def _first_crossing(v1: float, v2: float, along: float, size: float) -> float | None:
    """The smaller n for which n times a power or length lifts V1 to V2; None if there is none.

    n may be a power (along R cos + X sin, size Z) or a length (along P r + Q x, size S z): both
    solve n^2 size^2 - 2 n along V2^2 + V2^2 (V2^2 - V1^2) = 0.
    """
    under = (along * v2) ** 2 - size**2 * (v2**2 - v1**2)
    if along <= 0 or size == 0 or under < 0:
        return None
    # Product of the roots over the larger root: avoids a difference of nearly equal numbers.
    return v2 * (v2**2 - v1**2) / (along * v2 + sqrt(under))
