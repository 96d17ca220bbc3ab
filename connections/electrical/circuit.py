"""The circuit of an inverter: design current, cable capacity, devices, fault withstand.

Formulas of IEC 60364 and BS 7671 (434.5.2 for the adiabatic check, secondary; 551.7.2 for boards
fed from two sides, secondary).
"""

from collections.abc import Mapping
from math import sqrt

from connections.electrical.electrical_errors import ElectricalError, positive

ADIABATIC_K: dict[tuple[str, str], int] = {
    ("copper", "pvc"): 115,
    ("copper", "xlpe"): 143,
    ("aluminium", "pvc"): 76,
    ("aluminium", "xlpe"): 94,
}
"""Factor k of the adiabatic equation by conductor and insulation (BS 7671 table 43.1;
secondary)."""


def design_current_a(
    *, apparent_va: float, phases: int, nominal_v: float, declared_a: float | None = None
) -> float:
    """Design current of one unit [A]: the declared maximum output current, if given.

    Otherwise S / V for one phase, S / (sqrt 3 x 400) for three at 400 V between lines; a unit on
    two phases of a split supply carries half on each. Raises ElectricalError.
    """
    if declared_a is not None:
        return positive("declared_a", declared_a)
    positive("apparent_va", apparent_va)
    if phases not in (1, 2, 3):
        raise ElectricalError("phases", "a unit is on one, two or three phases")
    if phases == 3:
        return apparent_va / (sqrt(3) * line_voltage_v(nominal_v))
    return apparent_va / (phases * positive("nominal_v", nominal_v))


def line_voltage_v(nominal_v: float) -> float:
    """Nominal voltage between lines [V]: 400 for 230, otherwise sqrt 3 times the phase voltage."""
    return 400.0 if positive("nominal_v", nominal_v) == 230 else sqrt(3) * nominal_v


def capacity_a(tabulated_a: float, factors: Mapping[str, float]) -> float:
    """The capacity of a cable as installed [A]: the tabulated capacity times each factor.

    `factors` by name (ambient, grouping, thermal insulation, soil), each above 0 and at most 1.5.
    Source: BS 7671 appendix 4, 5.1, from memory. Raises ElectricalError.
    """
    product = positive("tabulated_a", tabulated_a)
    for name, factor in factors.items():
        if not 0 < factor <= 1.5:
            raise ElectricalError(
                name, f"the factor for {name} must be above nothing and at most 1.5"
            )
        product *= factor
    return positive("capacity_a", product)


def adiabatic_csa_mm2(energy_a2s: float, k: float) -> float:
    """The smallest conductor that withstands a fault: sqrt(I^2 t) / k [mm²]."""
    return sqrt(positive("energy_a2s", energy_a2s)) / positive("k", k)


def board_sum_a(incoming_a: float, sources_a: tuple[float, ...]) -> float:
    """The minimum rating of a board fed from two sides: incoming device plus every source [A].

    BS 7671 551.7.2 (secondary): InA >= In + Ig(s).
    """
    return positive("incoming_a", incoming_a) + sum(positive("sources_a", a) for a in sources_a)
