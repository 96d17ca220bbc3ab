"""The circuit of an inverter: design current, conductor rating, devices, fault withstand.

Formulas of IEC 60364 and BS 7671 (433.1 for coordination, from memory; 434.5.2 for the adiabatic
check, secondary; 551.7.2 for boards fed from two sides, secondary).
"""

from math import sqrt

from msgspec import Struct

from connections.electrical.faults import ElectricalError, positive

RATING_A: dict[str, dict[str, dict[int, int]]] = {
    "C": {
        "4": {2: 49, 3: 42}, "6": {2: 62, 3: 53}, "10": {2: 85, 3: 73}, "16": {2: 110, 3: 94},
        "25": {2: 146, 3: 124}, "35": {2: 180, 3: 154},
    },
    "D": {
        "4": {2: 43, 3: 36}, "6": {2: 53, 3: 44}, "10": {2: 71, 3: 58}, "16": {2: 91, 3: 75},
        "25": {2: 116, 3: 96},
    },
    "E": {
        "4": {2: 52, 3: 44}, "6": {2: 66, 3: 56}, "10": {2: 90, 3: 78}, "16": {2: 115, 3: 99},
    },
}  # fmt: skip
"""Current-carrying capacity of armoured XLPE copper cable at 90 °C by reference method, size and
loaded conductors [A] (BS 7671 tables 4E4A in three public extracts; secondary). One catalogue
prints 46 A for 4 mm² in the ground; 43 is taken."""

PVC_RATING_A: dict[str, dict[str, dict[int, int]]] = {
    "C": {"4": {2: 38}, "6": {2: 49}, "10": {2: 67}, "16": {2: 89}, "25": {2: 118}},
}
"""The same for PVC at 70 °C, and what counts where terminals are good for 70 °C only (BS 7671
table 4D4A, from memory)."""

ADIABATIC_K: dict[tuple[str, str], int] = {
    ("copper", "pvc"): 115,
    ("copper", "xlpe"): 143,
    ("aluminium", "pvc"): 76,
    ("aluminium", "xlpe"): 94,
}
"""k of the adiabatic equation by conductor and insulation (BS 7671 table 43.1; secondary)."""


class Coordination(Struct, frozen=True):
    """Ib <= In <= Iz, and I2 <= 1.45 Iz, all in A; each part by itself."""

    design_a: float
    device_a: float
    capacity_a: float

    @property
    def device_carries_it(self) -> bool:
        """The device carries the design current."""
        return self.design_a <= self.device_a

    @property
    def cable_is_protected(self) -> bool:
        """The device protects the cable."""
        return self.device_a <= self.capacity_a


def design_current_a(
    *, apparent_va: float, phases: int, nominal_v: float, declared_a: float | None = None
) -> float:
    """The design current of one unit [A]: the declared maximum output current wins.

    S / V for one phase, S / (sqrt 3 x 400) for three at 400 V between lines; a unit on two phases
    of a split supply carries half on each. Raises ElectricalError.
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
    """Nominal voltage between lines [V]: 400 for 230, otherwise the square root of three times."""
    return 400.0 if nominal_v == 230 else sqrt(3) * nominal_v


def conductor_rating_a(
    method: str, csa_mm2: str, insulation: str, loaded: int, *, hot_terminals: bool = False
) -> int:
    """The tabulated capacity of a copper cable before any factor [A].

    `loaded` is 2 for single-phase, 3 for three-phase. Unless the terminals are known to be good for
    90 °C (`hot_terminals`), the table of 70 °C counts where it has an entry. Raises ElectricalError
    where no table that is held has it.
    """
    kinds = {"xlpe": RATING_A, "pvc": PVC_RATING_A}
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
        cooler = PVC_RATING_A.get(method, {}).get(csa_mm2, {}).get(loaded)
        return min(found, cooler) if cooler is not None else found
    return found


def adiabatic_csa_mm2(fault_a: float, time_s: float, k: float) -> float:
    """The smallest conductor that withstands a fault: sqrt(I^2 t) / k [mm²]."""
    positive("fault_a", fault_a)
    positive("time_s", time_s)
    return sqrt(fault_a**2 * time_s) / positive("k", k)


def board_sum_a(incoming_a: float, sources_a: tuple[float, ...]) -> float:
    """What a board fed from two sides must be rated for: the incoming device and every source [A].

    BS 7671 551.7.2 (secondary): InA >= In + Ig(s).
    """
    return incoming_a + sum(sources_a)
