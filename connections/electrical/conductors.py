"""Resistance and reactance of a run of cable.

Resistance at 20 °C is the maximum of IEC 60228 for class 2 (stranded) conductors, read in three
agreeing catalogues (secondary). Temperature: R = R20 (1 + alpha (t - 20)) with 0.00393 /K for
copper and 0.00403 /K for aluminium (secondary). Reactance of multicore low-voltage cable: 0.08
mohm/m for each conductor (IEC 60364-5-52, annex G, from memory).
"""

from msgspec import Struct

from connections.electrical.electrical_errors import MOST, ElectricalError, not_negative

RESISTANCE_20_OHM_PER_KM: dict[str, dict[str, float]] = {
    "copper": {
        "1.5": 12.1, "2.5": 7.41, "4": 4.61, "6": 3.08, "10": 1.83, "16": 1.15, "25": 0.727,
        "35": 0.524, "50": 0.387, "70": 0.268, "95": 0.193, "120": 0.153, "150": 0.124,
        "185": 0.0991, "240": 0.0754, "300": 0.0601,
    },
    "aluminium": {
        "10": 3.08, "16": 1.91, "25": 1.20, "35": 0.868, "50": 0.641, "70": 0.443, "95": 0.320,
        "120": 0.253, "150": 0.206, "185": 0.164, "240": 0.125, "300": 0.100,
    },
}  # fmt: skip
"""Maximum d.c. resistance at 20 °C by nominal size in mm² (IEC 60228, class 2; secondary)."""

ALPHA_PER_K: dict[str, float] = {"copper": 0.00393, "aluminium": 0.00403}

REACTANCE_OHM_PER_KM = 0.08

COLDEST_C, HOTTEST_C = -25.0, 160.0
"""Range of working temperatures of a conductor [°C] (our choice)."""

LONGEST_M = 10_000.0
"""Longest plausible low-voltage run [m] (our choice); a longer one was entered in another unit."""


class Impedance(Struct, frozen=True):
    """Resistance and reactance [ohm]."""

    r_ohm: float
    x_ohm: float

    def __add__(self, other: "Impedance") -> "Impedance":
        return Impedance(self.r_ohm + other.r_ohm, self.x_ohm + other.x_ohm)

    def times(self, n: float) -> "Impedance":
        """`n` times this impedance: `n` such runs in series."""
        return Impedance(self.r_ohm * n, self.x_ohm * n)

    def checked(self) -> "Impedance":
        """This impedance, if neither part is negative or no number. Raises ElectricalError."""
        if not (0 <= self.r_ohm <= MOST and 0 <= self.x_ohm <= MOST):
            not_negative("r_ohm", self.r_ohm)
            not_negative("x_ohm", self.x_ohm)
        return self

    @property
    def modulus_ohm(self) -> float:
        """Modulus of the impedance [ohm]."""
        return float((self.r_ohm**2 + self.x_ohm**2) ** 0.5)


def sizes(material: str) -> tuple[str, ...]:
    """The known nominal sizes as labels, smallest first. Raises ElectricalError."""
    return tuple(_of(material))


def resistance_ohm_per_km(material: str, csa_mm2: str, temperature_c: float) -> float:
    """Resistance of one conductor at a temperature [ohm/km].

    Raises ElectricalError for an unknown conductor or a temperature outside the working range.
    """
    known = _of(material)
    if csa_mm2 not in known:
        raise ElectricalError(
            "csa_mm2",
            f"no resistance is known for {csa_mm2} mm² {material}; known are {', '.join(known)}",
        )
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise ElectricalError(
            "temperature_c",
            f"a conductor at {temperature_c:g} °C is outside {COLDEST_C:g} to {HOTTEST_C:g} °C",
        )
    return known[csa_mm2] * (1 + ALPHA_PER_K[material] * (temperature_c - 20))


def _of(material: str) -> dict[str, float]:
    if material not in RESISTANCE_20_OHM_PER_KM:
        raise ElectricalError(
            "material", f'the conductor "{material}" is not known; use copper or aluminium'
        )
    return RESISTANCE_20_OHM_PER_KM[material]


def conductor(
    material: str,
    csa_mm2: str,
    length_m: float,
    temperature_c: float,
    reactance_ohm_per_km: float = REACTANCE_OHM_PER_KM,
) -> Impedance:
    """One conductor of a run, for balanced three-phase current. Raises ElectricalError."""
    if not_negative("length_m", length_m) > LONGEST_M:
        raise ElectricalError(
            "length_m",
            f"a run of {length_m:,.0f} m is longer than {LONGEST_M:,.0f} m; check its unit",
        )
    not_negative("reactance_ohm_per_km", reactance_ohm_per_km)
    km = length_m / 1000
    return Impedance(
        resistance_ohm_per_km(material, csa_mm2, temperature_c) * km, reactance_ohm_per_km * km
    )


def loop(
    material: str,
    csa_mm2: str,
    length_m: float,
    temperature_c: float,
    reactance_ohm_per_km: float = REACTANCE_OHM_PER_KM,
) -> Impedance:
    """Line and neutral of a run, for single-phase current. Raises ElectricalError."""
    return conductor(material, csa_mm2, length_m, temperature_c, reactance_ohm_per_km).times(2)


def impedance_of_run(
    material: str,
    csa_mm2: str,
    length_m: float,
    temperature_c: float,
    phases: int,
    reactance_ohm_per_km: float = REACTANCE_OHM_PER_KM,
) -> Impedance:
    """Impedance of a run by phases of the unit: the loop for one, one conductor for a balanced
    three. Raises ElectricalError for any other number, such as two."""
    meets = {1: loop, 3: conductor}
    if phases not in meets:
        raise ElectricalError("phases", "the impedance of a run is that of one or of three phases")
    return meets[phases](material, csa_mm2, length_m, temperature_c, reactance_ohm_per_km)
