"""How devices open: beside the tables of BS 7671 and EN 60898-1, from memory."""

import pytest

from connections.electrical.circuit import adiabatic_csa_mm2
from connections.electrical.clearing import Breaker, Fuse

B32 = Breaker(160, 0.1, ((3000, 18_000), (6000, 45_000), (10_000, 90_000)))


@pytest.mark.parametrize(
    # BS 7671 table 41.3: the largest loop at 0.95 x 230 V, in ohm.
    ("multiple", "rated", "ohm"),
    [(5, 16, 2.73), (5, 20, 2.19), (5, 32, 1.37), (10, 16, 1.37), (10, 20, 1.09), (10, 32, 0.68),
     (20, 16, 0.68), (20, 32, 0.34)],
)  # fmt: skip
def test_a_circuit_breaker_opens_at_a_multiple(multiple, rated, ohm):
    opens = Breaker(multiple * rated, 0.1).opens_a(0.4)
    assert round(0.95 * 230 / opens, 2) == pytest.approx(ohm, abs=0.011)


def test_what_a_circuit_breaker_lets_through():
    # 200 A for 0.1 s are 4000 A²s; at 1500 A the class lets no more than 18,000 A²s through where
    # the time alone would allow 225,000; a breaker for 6 kA is tested at 45,000.
    assert B32.energy_a2s(200) == pytest.approx(4000)
    assert B32.energy_a2s(1500) == 18_000
    assert Breaker(160, 0.1, B32.let_through, 6000).energy_a2s(1500) == 45_000
    # Above the table the time alone bounds it; below five times the rating nothing here does.
    assert B32.energy_a2s(12_000) == pytest.approx(14_400_000)
    assert B32.energy_a2s(159) is None


def test_copper_of_1_mm2_and_a_half_stands_a_class_3_breaker_of_6_ka():
    # 115² x 1.5² = 29,756 A²s is below 45,000; 2.5 mm² has 82,656 (BS 7671 434.5.2).
    assert 1.5 < adiabatic_csa_mm2(45_000, 115) < 2.5


@pytest.mark.parametrize(
    # IEC 60269-1, gates of 32 A: 150 A within 5 s, 350 A within 0.1 s. 350² x 0.1 = 12,250 A²s.
    ("fault_a", "energy"),
    [(149, None), (150, 112_500), (340, 578_000), (350, 12_250), (16_000, 12_250)],
)
def test_what_a_fuse_lets_through(fault_a, energy):
    assert Fuse(150, 350).energy_a2s(fault_a) == (energy and pytest.approx(energy))
    assert (Fuse(150, 350).opens_a(5), Fuse(150, 350).opens_a(0.4)) == (150, 350)
