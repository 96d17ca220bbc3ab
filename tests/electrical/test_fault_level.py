"""Fault currents: loops worked by hand, a network that pandapower 3.5.6 solves (check A), and the
low-voltage example of IEC TR 60909-4 (check B), recalled from memory: get the document before it is
cited."""

import pytest

from connections.electrical.conductors import Impedance
from connections.electrical.fault_level import (
    Source,
    Transformer,
    contribution_a,
    correction,
    hot_resistance,
    largest_electrode_ohm,
    loop_for_a,
    one_phase_a,
    prospective_a,
    source_impedance,
    three_phase_a,
    transformer_impedance,
)
from connections.electrical.faults import ElectricalError


# 230 / 0.35 = 657.14 A and so on; c 0.95 and 1.10.
@pytest.mark.parametrize(
    ("ohm", "c", "amps"),
    [
        (0.35, 1, 657.14), (0.35, 0.95, 624.29), (0.35, 1.1, 722.86), (0.8, 1, 287.50),
        (0.8, 0.95, 273.13), (21, 1, 10.952), (21, 0.95, 10.405),
    ],
)  # fmt: skip
def test_loops(ohm, c, amps):
    assert prospective_a(ohm, 230, c) == pytest.approx(amps, rel=5e-5)


def test_loops_of_a_current():
    assert loop_for_a(16_000, 230) == pytest.approx(0.014375)
    assert loop_for_a(6000, 230) == pytest.approx(0.038333, rel=1e-4)


@pytest.mark.parametrize(("trip", "ohm"), [(30, 1666.7), (100, 500), (300, 166.67), (500, 100)])
def test_electrodes(trip, ohm):
    assert largest_electrode_ohm(trip) == pytest.approx(ohm, rel=5e-5)


def test_an_inverter_adds_its_current_times_a_factor():
    assert contribution_a(16, 1.2) == pytest.approx(19.2)
    assert contribution_a(24.537, 1.2) == pytest.approx(29.44, abs=5e-3)


@pytest.mark.parametrize("bad", [0, -1, float("nan")])
def test_no_loop_is_refused(bad):
    with pytest.raises(ElectricalError, match="loop_ohm"):
        prospective_a(bad, 230)


# Check A: 11 kV, 250 MVA (smallest 100), R/X 0.1; 500 kVA 11/0.4 kV, 4.75 %, 1.1 %; 100 m of mains
# 0.164 + j0.074, 20 m of service 0.868 + j0.075 ohm/km; zero sequence 0.656 + j0.12 and
# 3.472 + j0.12; conductors 80 °C at the end of the smallest fault.
TRANSFORMER = Transformer(11_000, 400, 500_000, 0.0475, 0.011)
MAINS, SERVICE = Impedance(0.0164, 0.0074), Impedance(0.01736, 0.0015)
MAINS_0, SERVICE_0 = Impedance(0.0656, 0.012), Impedance(0.06944, 0.0024)


def at(places, c, *, largest):
    """Positive and zero sequence impedance behind some runs, for the largest or smallest fault."""
    sk, source_c = (250e6, 1.10) if largest else (100e6, 1.00)
    source = source_impedance(Source(11_000, sk, 0.1, source_c), TRANSFORMER)
    own = transformer_impedance(TRANSFORMER)
    own = own.times(correction(TRANSFORMER, c)) if largest else own
    z1, z0 = source + own, own
    for run, run_0 in places:
        hot = (lambda r: r) if largest else (lambda r: hot_resistance(r, 80))
        z1 += Impedance(hot(run.r_ohm), run.x_ohm)
        z0 += Impedance(hot(run_0.r_ohm), run_0.x_ohm)
    return z1, z0


PLACES = [[], [(MAINS, MAINS_0)], [(MAINS, MAINS_0), (SERVICE, SERVICE_0)]]
CHECK_A = [
    # kind, c, largest, kA at the busbar, behind the mains, at the cut-out
    ("three", 1.05, True, (15.6940, 8.08476, 5.47580)),
    ("three", 1.10, True, (15.7263, 8.29787, 5.67134)),
    ("three", 0.95, False, (13.0692, 6.49170, 4.21205)),
    ("one", 1.05, True, (15.9340, 5.59376, 3.21421)),
    ("one", 0.95, False, (13.4947, 4.32227, 2.40284)),
]


@pytest.mark.parametrize(("kind", "c", "largest", "wanted"), CHECK_A)
def test_check_a(kind, c, largest, wanted):
    for places, ka in zip(PLACES, wanted, strict=True):
        z1, z0 = at(places, c, largest=largest)
        amps = three_phase_a(z1, 400, c) if kind == "three" else one_phase_a(z1, z0, 400, c)
        assert amps / 1000 == pytest.approx(ka, abs=1e-3)


def test_the_corrections_of_check_a():
    assert correction(TRANSFORMER, 1.05) == pytest.approx(0.970590, abs=1e-6)
    assert correction(TRANSFORMER, 1.10) == pytest.approx(1.016809, abs=1e-6)


# Check B (from memory): two transformers 630 and 400 kVA on 20 kV, 10 kA; four lines.
def test_check_b():
    c = 1.05
    t1 = Transformer(20_000, 410, 630_000, 0.04, 6500 / 630_000)
    t2 = Transformer(20_000, 410, 400_000, 0.04, 4600 / 400_000)
    sk = 3**0.5 * 20_000 * 10_000
    # In the example the network has R/X 0.1 and c 1.1 above 1 kV.
    network = source_impedance(Source(20_000, sk, 0.1, 1.1), t1)
    k1, k2 = correction(t1, c), correction(t2, c)
    z1_t1, z1_t2 = transformer_impedance(t1).times(k1), transformer_impedance(t2).times(k2)
    l1 = Impedance(0.077, 0.079).times(0.010 / 2)
    l2 = Impedance(0.208, 0.068).times(0.004 / 2)
    l3, l4 = Impedance(0.271, 0.087).times(0.020), Impedance(0.3704, 0.297).times(0.050)

    def parallel(a, b):
        za, zb = complex(a.r_ohm, a.x_ohm), complex(b.r_ohm, b.x_ohm)
        z = za * zb / (za + zb)
        return Impedance(z.real, z.imag)

    # F2 at the junction: both transformers with their lines side by side, behind the network.
    f2 = network + parallel(z1_t1 + l1, z1_t2 + l2)
    f1 = network + parallel(z1_t1, z1_t2 + l2 + l1)
    f3 = f2 + l3 + l4
    for z, ka in ((f1, 34.62), (f2, 34.12), (f3, 6.95)):
        assert three_phase_a(z, 400, c) / 1000 == pytest.approx(ka, rel=0.003)
