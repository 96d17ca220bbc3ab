"""Conductors: IEC 60228 at 20 °C (three agreeing catalogues, secondary) against the wiring tables
of BS 7671 (4D1B to 4E4B in three public extracts, secondary), which are rounded to two figures:
within 2.5 %."""

import pytest

from connections.electrical.conductors import (
    Impedance,
    conductor,
    impedance_of_run,
    loop,
    resistance_ohm_per_km,
    sizes,
)
from connections.electrical.electrical_errors import ElectricalError

TABLES = [
    # size, mV/A/m: PVC 70 °C two-core; XLPE 90 °C two-core; XLPE 90 °C three-phase
    ("1.5", 29, 31, 27),
    ("2.5", 18, 19, 16),
    ("4", 11, 12, 10),
    ("6", 7.3, 7.9, 6.8),
    ("10", 4.4, 4.7, 4.0),
    ("16", 2.8, 2.9, 2.5),
    ("25", None, 1.85, 1.60),  # resistive part of the table
    ("35", None, 1.35, 1.15),
]


@pytest.mark.parametrize(("csa", "pvc", "xlpe", "three"), TABLES)
def test_the_wiring_tables(csa, pvc, xlpe, three):
    for wanted, temperature, phases in ((pvc, 70, 1), (xlpe, 90, 1), (three, 90, 3)):
        if wanted is not None:
            # Line and neutral, or between lines.
            found = (2 if phases == 1 else 3**0.5) * resistance_ohm_per_km(
                "copper", csa, temperature
            )
            assert found == pytest.approx(wanted, rel=0.025)


def test_temperature():
    # 1 + 0.00393 x 50 = 1.1965; 1 + 0.00393 x 70 = 1.2751; aluminium 1 + 0.00403 x 50 = 1.2015.
    assert resistance_ohm_per_km("copper", "6", 70) == pytest.approx(3.08 * 1.1965)
    assert resistance_ohm_per_km("copper", "6", 90) == pytest.approx(3.08 * 1.2751)
    assert resistance_ohm_per_km("aluminium", "35", 70) == pytest.approx(0.868 * 1.2015)


def test_iec_constants_give_the_same():
    # The other rule for copper, (234.5 + t) / (234.5 + 20), is 1.19646 at 70 °C.
    ratio = resistance_ohm_per_km("copper", "6", 70) / resistance_ohm_per_km("copper", "6", 20)
    assert ratio == pytest.approx((234.5 + 70) / (234.5 + 20), rel=1e-4)


# IEC 60364-5-52 annex G (from memory): 0.0225 ohm mm²/m for copper and 0.036 for aluminium in
# service, 1.25 times that at 20 °C. A nominal size is not a measured one, and 50 mm² is about 47:
# hence 12 %.
@pytest.mark.parametrize(("material", "rho"), [("copper", 0.0225), ("aluminium", 0.036)])
def test_the_table_against_the_resistivity(material, rho):
    for csa in sizes(material):
        if float(csa) >= 4:
            found = resistance_ohm_per_km(material, csa, 20)
            assert found == pytest.approx(rho / 1.25 * 1000 / float(csa), rel=0.12)


def test_what_a_unit_meets():
    assert impedance_of_run("copper", "6", 25, 70, 1) == loop("copper", "6", 25, 70)
    assert impedance_of_run("copper", "6", 25, 70, 3) == conductor("copper", "6", 25, 70)
    with pytest.raises(ElectricalError, match="phases"):
        impedance_of_run("copper", "6", 25, 70, 2)


def test_a_loop_is_two_conductors():
    assert loop("copper", "6", 25, 70) == conductor("copper", "6", 25, 70).times(2)
    assert loop("copper", "6", 25, 70).r_ohm == pytest.approx(0.184261, abs=1e-6)
    assert loop("copper", "6", 25, 70).x_ohm == pytest.approx(0.004)


LOOPS = [
    # Loop addition as a distribution engineer quoted it (secondary): parts and sums [ohm].
    ((0.021, 0.022), 0.030414),
    ((0.061, 0.026), 0.066310),
    ((0.091, 0.034), 0.097144),
]


@pytest.mark.parametrize(("parts", "modulus"), LOOPS)
def test_loop_addition(parts, modulus):
    assert Impedance(*parts).modulus_ohm == pytest.approx(modulus, abs=1e-6)
    halves = Impedance(parts[0] / 2, parts[1] / 2)
    assert (halves + halves).modulus_ohm == pytest.approx(modulus, abs=1e-6)


BAD = [
    ("steel", "6", 10, 70, "steel"),
    ("copper", "7", 10, 70, "7 mm²"),
    ("aluminium", "6", 10, 70, "6 mm²"),
    ("copper", "6", -1, 70, "length_m"),
    ("copper", "6", float("nan"), 70, "length_m"),
    ("copper", "6", float("inf"), 70, "length_m"),
    ("copper", "6", 25_000, 70, "25,000 m is longer than 10,000 m"),  # millimetres, likely
    ("copper", "6", 1e300, 70, "length_m"),
    ("copper", "6", 10, 400, "400 °C"),
    ("copper", "6", 10, -80, "-80 °C"),
    ("copper", "6", 10, float("nan"), "outside"),
]


@pytest.mark.parametrize(("material", "csa", "length", "temperature", "words"), BAD)
def test_what_is_wrong_is_named(material, csa, length, temperature, words):
    with pytest.raises(ElectricalError, match=words):
        loop(material, csa, length, temperature)


@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf")])
def test_a_reactance_that_is_none_is_refused(bad):
    with pytest.raises(ElectricalError, match="reactance_ohm_per_km"):
        loop("copper", "6", 10, 70, reactance_ohm_per_km=bad)


def test_sizes_of_an_unknown_conductor():
    with pytest.raises(ElectricalError, match="steel"):
        sizes("steel")


def test_resistance_falls_with_size():
    for material in ("copper", "aluminium"):
        found = [resistance_ohm_per_km(material, csa, 20) for csa in sizes(material)]
        assert found == sorted(found, reverse=True)
