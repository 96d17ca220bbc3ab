"""Fault currents: loops worked by hand, a network that pandapower 3.5.6 solves (check A), and the
low-voltage example of IEC TR 60909-4 (check B), recalled from memory: get the document before it is
cited."""

from math import sqrt

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
    peak_a,
    prospective_a,
    source_impedance,
    three_phase_a,
    transformer_impedance,
    two_phase_a,
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
    # Three-phase, 25 kA: 400 / sqrt 3 = 230.94 V behind 9.2376 mohm.
    assert loop_for_a(25_000, 400 / sqrt(3)) == pytest.approx(0.0092376, rel=1e-5)
    assert three_phase_a(Impedance(0.0092376, 0), 400, 1) == pytest.approx(25_000, rel=1e-5)


@pytest.mark.parametrize(("trip", "ohm"), [(30, 1666.7), (100, 500), (300, 166.67), (500, 100)])
def test_electrodes(trip, ohm):
    assert largest_electrode_ohm(trip) == pytest.approx(ohm, rel=5e-5)


def test_an_inverter_adds_its_current_times_a_factor():
    assert contribution_a(16, 1.2) == pytest.approx(19.2)
    assert contribution_a(16, 1.5) == pytest.approx(24.0)
    assert contribution_a(24.537, 1.2) == pytest.approx(29.44, abs=5e-3)
    assert contribution_a(24.537, 1.5) == pytest.approx(36.81, abs=5e-3)
    # One unit beside 16 kA: 0.12 and 0.15 %.
    assert contribution_a(16, 1.2) / 16_000 == pytest.approx(0.0012)
    assert contribution_a(16, 1.5) / 16_000 == pytest.approx(0.0015)


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


def test_an_inverter_beside_the_network_of_check_a():
    # 17 kVA at 400 V, 24.537 A, times 1.2 at the cut-out: 15.7234, 8.11421, 5.50524 kA.
    inverter = contribution_a(17_000 / (sqrt(3) * 400), 1.2)
    assert inverter == pytest.approx(29.444, abs=1e-3)
    for places, ka in zip(PLACES, (15.7234, 8.11421, 5.50524), strict=True):
        z1, _ = at(places, 1.05, largest=True)
        assert (three_phase_a(z1, 400, 1.05) + inverter) / 1000 == pytest.approx(ka, abs=1e-3)


def test_the_peaks_of_check_a():
    # Fed from one side, largest three-phase fault, c 1.05.
    for places, ka in zip(PLACES, (33.495, 12.448, 7.9703), strict=True):
        z1, _ = at(places, 1.05, largest=True)
        assert peak_a(three_phase_a(z1, 400, 1.05), z1) / 1000 == pytest.approx(ka, abs=1e-3)


def test_a_meshed_network_has_a_higher_peak():
    # R = X: 1.02 + 0.98 e^-3 = 1.06879; times 1.15 it is 1.22911. R = 0: 2, and at most 1.8.
    z = Impedance(0.1, 0.1)
    assert peak_a(1000, z, meshed=True) == pytest.approx(1.22911 * sqrt(2) * 1000, rel=1e-5)
    assert peak_a(1000, Impedance(0, 0.1), meshed=True) == pytest.approx(1.8 * sqrt(2) * 1000)
    assert peak_a(1000, Impedance(0, 0.1)) == pytest.approx(2 * sqrt(2) * 1000)


def test_two_phases():
    z1, _ = at(PLACES[2], 1.05, largest=True)
    # sqrt 3 / 2 x 5.47580 = 4.74218 kA
    assert two_phase_a(z1, 400, 1.05) / 1000 == pytest.approx(4.74218, abs=1e-3)


@pytest.mark.parametrize("places", PLACES, ids=["busbar", "mains", "cut-out"])
def test_the_largest_is_above_the_smallest(places):
    most, most_0 = at(places, 1.05, largest=True)
    least, least_0 = at(places, 0.95, largest=False)
    assert three_phase_a(most, 400, 1.05) > three_phase_a(least, 400, 0.95)
    assert one_phase_a(most, most_0, 400, 1.05) > one_phase_a(least, least_0, 400, 0.95)


BAD = [
    ("uk", lambda bad: transformer_impedance(Transformer(11_000, 400, 5e5, bad, 0.011))),
    ("uk", lambda bad: correction(Transformer(11_000, 400, 5e5, bad, 0.011), 1.05)),
    ("s_va", lambda bad: transformer_impedance(Transformer(11_000, 400, bad, 0.04, 0.011))),
    ("sk_va", lambda bad: source_impedance(Source(11_000, bad, 0.1, 1.1), TRANSFORMER)),
    ("r_over_x", lambda bad: source_impedance(Source(11_000, 25e7, bad, 1.1), TRANSFORMER)),
    ("u_v", lambda bad: source_impedance(Source(bad, 25e7, 0.1, 1.1), TRANSFORMER)),
    ("u0_v", lambda bad: prospective_a(0.35, bad)),
    ("c", lambda bad: prospective_a(0.35, 230, bad)),
    ("c", lambda bad: three_phase_a(MAINS, 400, bad)),
    ("un_v", lambda bad: one_phase_a(MAINS, MAINS_0, bad, 1.05)),
    ("end_c", lambda bad: hot_resistance(0.1, bad)),
    ("r20_ohm", lambda bad: hot_resistance(bad, 80)),
    ("initial_a", lambda bad: peak_a(bad, MAINS)),
    ("trip_ma", lambda bad: largest_electrode_ohm(bad)),
    ("rated_a", lambda bad: contribution_a(bad, 1.2)),
    ("factor", lambda bad: contribution_a(16, bad)),
    ("current_a", lambda bad: loop_for_a(bad, 230)),
]


@pytest.mark.parametrize(("field", "ask"), BAD)
def test_what_is_no_number_is_named(field, ask):
    for bad in (-1, float("nan"), float("inf")):
        with pytest.raises(ElectricalError) as caught:
            ask(bad)
        assert caught.value.field == field


def test_no_impedance_is_no_fault_current():
    with pytest.raises(ElectricalError, match="more than nothing"):
        three_phase_a(Impedance(0, 0), 400, 1.05)


def test_the_corrections_of_check_a():
    assert correction(TRANSFORMER, 1.05) == pytest.approx(0.970590, abs=1e-6)
    assert correction(TRANSFORMER, 1.10) == pytest.approx(1.016809, abs=1e-6)


# Check B (from memory): 10 kA on 20 kV; transformers of 630 and 400 kVA, 20/0.41 kV; four lines.
# The network has R/X 0.1 and c 1.1; zero sequence of transformers X0/X 0.95, of lines as below.
T1 = Transformer(20_000, 410, 630_000, 0.04, 6500 / 630_000)
T2 = Transformer(20_000, 410, 400_000, 0.04, 4600 / 400_000)
LINES = [
    # ohm/km, km (halved where two lie side by side), R0/R, X0/X
    (0.077, 0.079, 0.010 / 2, 3.7, 1.81),
    (0.208, 0.068, 0.004 / 2, 4.24, 1.21),
    (0.271, 0.087, 0.020, 3.0, 4.46),
    (0.3704, 0.297, 0.050, 2.0, 3.0),
]


def test_check_b():
    c = 1.05
    network = source_impedance(Source(20_000, sqrt(3) * 20_000 * 10_000, 0.1, 1.1), T1)
    t1, t2 = (transformer_impedance(t).times(correction(t, c)) for t in (T1, T2))
    z1 = [t1, t2] + [Impedance(r, x).times(km) for r, x, km, _, _ in LINES]
    z0 = [Impedance(t.r_ohm, 0.95 * t.x_ohm) for t in (t1, t2)]
    z0 += [Impedance(r * r0, x * x0).times(km) for r, x, km, r0, x0 in LINES]
    nothing = Impedance(0, 0)

    def places(parts, behind):
        a, b, l1, l2, l3, l4 = parts
        f2 = behind + (a + l1).beside(b + l2)
        return behind + a.beside(b + l2 + l1), f2, f2 + l3 + l4

    three, one = (34.62, 34.12, 6.95), (35.64, 34.98, 4.83)
    # Zero sequence ends at the transformers, which are delta on the other side.
    found = zip(places(z1, network), places(z0, nothing), three, one, strict=True)
    for positive, zero, three_ka, one_ka in found:
        assert three_phase_a(positive, 400, c) / 1000 == pytest.approx(three_ka, rel=0.003)
        assert one_phase_a(positive, zero, 400, c) / 1000 == pytest.approx(one_ka, rel=0.003)
