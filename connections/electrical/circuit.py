"""The circuit of an inverter: design current, cable capacity, devices, fault withstand.

Formulas of IEC 60364 and BS 7671 (434.5.2 for the adiabatic check, secondary; 551.7.2 for boards
fed from two sides, secondary).
"""

from collections.abc import Mapping
from math import sqrt

from connections.electrical.electrical_errors import ElectricalError, positive

_SIZES = ("1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120")


def _columns(two: str, three: str) -> dict[str, dict[int, int]]:
    """Map size and number of loaded conductors to amps, from two columns."""
    pairs = zip(_SIZES, two.split(), three.split(), strict=True)
    return {size: {2: int(a), 3: int(b)} for size, a, b in pairs}


XLPE_RATING_A: dict[str, dict[str, dict[int, int]]] = {
    "C": _columns(
        "27 36 49 62 85 110 146 180 219 279 338 392", "23 31 42 53 73 94 124 154 187 238 289 335"
    ),
    "D": _columns(
        "25 33 43 53 71 91 116 139 164 203 239 271", "21 28 36 44 58 75 96 115 135 167 197 223"
    ),
    "E": _columns(
        "29 39 52 66 90 115 152 188 228 291 354 410", "25 33 44 56 78 99 131 162 197 251 304 353"
    ),
}
"""Current-carrying capacity of armoured XLPE copper cable at 90 °C by reference method, size and
loaded conductors [A]: air at 30 °C, ground at 20 °C (BS 7671 table 4E4A in public extracts that
agree; secondary). One catalogue prints 46 A for 4 mm² two-core in the ground; 43 is taken."""

PVC_RATING_A: dict[str, dict[str, dict[int, int]]] = {
    "C": _columns(
        "21 28 38 49 67 89 118 145 175 222 269 310", "18 25 33 42 58 77 102 125 151 192 231 267"
    ),
    "D": _columns(
        "22 29 37 46 60 78 99 119 140 173 204 231", "18 24 30 38 50 64 82 98 116 143 169 192"
    ),
    "E": _columns(
        "22 31 41 53 72 97 128 157 190 241 291 336", "19 26 35 45 62 83 110 135 163 207 251 290"
    ),
}
"""The same for PVC at 70 °C, and for terminals rated for 70 °C only (BS 7671 table 4D4A, from
memory; a test holds it within 7.5 % of the table above times the root of the temperature rises)."""

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


def conductor_rating_a(
    method: str,
    csa_mm2: str,
    insulation: str,
    loaded: int,
    *,
    material: str = "copper",
    hot_terminals: bool = False,
) -> int:
    """The tabulated capacity of an armoured copper cable before any factor [A].

    `loaded` is 2 for single-phase, 3 for three-phase. Uses the 70 °C table unless `hot_terminals`
    says that the terminals are rated for 90 °C (BS 7671 523.1, secondary). Raises ElectricalError
    where no table here has the cable.
    """
    kinds = {"xlpe": XLPE_RATING_A, "pvc": PVC_RATING_A}
    if material != "copper":
        raise ElectricalError(
            "material",
            f"no table is held for {material} cables; enter the designer's figure",
        )
    if insulation not in kinds:
        raise ElectricalError("insulation", f'no table is held for the insulation "{insulation}"')
    found = kinds[insulation].get(method, {}).get(csa_mm2, {}).get(loaded)
    if found is None:
        raise ElectricalError(
            "method",
            f"no capacity is held for {csa_mm2} mm² {insulation} by method {method} with {loaded} "
            "loaded conductors; enter the designer's figure",
        )
    if insulation == "xlpe" and not hot_terminals:
        return min(found, PVC_RATING_A[method][csa_mm2][loaded])
    return found


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


def adiabatic_csa_mm2(fault_a: float, time_s: float, k: float) -> float:
    """The smallest conductor that withstands a fault: sqrt(I^2 t) / k [mm²]."""
    positive("fault_a", fault_a)
    positive("time_s", time_s)
    return sqrt(fault_a**2 * time_s) / positive("k", k)


def board_sum_a(incoming_a: float, sources_a: tuple[float, ...]) -> float:
    """The minimum rating of a board fed from two sides: incoming device plus every source [A].

    BS 7671 551.7.2 (secondary): InA >= In + Ig(s).
    """
    return positive("incoming_a", incoming_a) + sum(positive("sources_a", a) for a in sources_a)
