"""Runs with plant and loads on the way, against values computed with pandapower 3.5.6: 40 m of
35 mm² aluminium to the supply terminals, 20 m of 16 mm² copper to the inverter; and what must hold
of any tree."""

from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.electrical.conductors import Impedance
from connections.electrical.electrical_errors import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.radial import Place, solve
from connections.electrical.voltage_rise import end_voltage

SERVICE, RUN = Impedance(0.04171608, 0.0032), Impedance(0.0275195, 0.0016)
REFERENCE, INSIDE = Impedance(0.4, 0.25), Impedance(0.0875838, 0.0032)
PHASE, NEUTRAL = Impedance(0.24, 0.15), Impedance(0.16, 0.10)
NONE = Impedance(0, 0)

CASES = [
    # case, network V (between lines or of one phase), phases, runs, VA sent in behind each; volts,
    # amps, watts lost of each
    (
        "D1 30 kW", 400, 3, [SERVICE, RUN], [0j, 30_000 + 0j],
        (403.08897, 405.12680), (42.753, 42.753), (228.75, 150.90),
    ),
    (
        "D2 30 kVA at 0.95 absorbing, load of 5 kW and 1 kvar", 400, 3, [SERVICE, RUN],
        [-5000 - 1000j, 28_500 - 9367.497j],
        (402.33635, 404.23878), (36.665, 42.847), (168.24, 151.57),
    ),
    (
        "D3 30 kW on 432 V", 432, 3, [SERVICE, RUN], [0j, 30_000 + 0j],
        (434.86530, 436.75555), (39.657, 39.657), (196.82, 129.84),
    ),
    (
        "D4 6 kW on one phase", 230, 1, [REFERENCE, INSIDE], [0j, 6000 + 0j],
        (239.83156, 242.00302), (24.793, 24.793), None,
    ),
    (
        "D5 3.68 kW on one phase", 230, 1, [REFERENCE, INSIDE], [0j, 3680 + 0j],
        (236.16390, 237.52086), (15.493, 15.493), None,
    ),
]  # fmt: skip


def places_of(phases, runs, power):
    """One behind the other: a third of a balanced power on each phase, and of one phase half of the
    loop in the phase and half in the neutral."""
    if phases == 3:
        return [
            Place(n - 1, z, z, (s / 3, s / 3, s / 3))
            for n, (z, s) in enumerate(zip(runs, power, strict=True))
        ]
    return [
        Place(n - 1, z.times(0.5), z.times(0.5), (s, 0j, 0j))
        for n, (z, s) in enumerate(zip(runs, power, strict=True))
    ]


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_the_three_bus_cases(case):
    _, v1, phases, runs, power, volts, amps, lost = case
    root = sqrt(3) if phases == 3 else 1
    found = solve(v1 / root, phases, places_of(phases, runs, power))
    assert [at.v[0] * root for at in found] == pytest.approx(volts, abs=1e-4)
    assert [at.i_a[0] for at in found] == pytest.approx(amps, abs=1e-3)
    if lost is not None:
        # 3 I^2 R of the three phases
        watts = [3 * at.i_a[0] ** 2 * z.r_ohm for at, z in zip(found, runs, strict=True)]
        assert watts == pytest.approx(lost, abs=0.01)


def test_the_phases_of_a_split_supply_help_each_other():
    # Equal power on both halves: nothing in the neutral, each half sees its conductor alone.
    both = solve(230, 2, [Place(-1, PHASE, NEUTRAL, (3680 + 0j, 3680 + 0j, 0j))])[0]
    assert both.neutral_a == pytest.approx(0, abs=1e-9)
    assert both.v[0] == pytest.approx(end_voltage(230, 3680, 0, PHASE), abs=1e-6)
    # On one half alone it sees the loop.
    one = solve(230, 2, [Place(-1, PHASE, NEUTRAL, (3680 + 0j, 0j, 0j))])[0]
    assert one.v[0] == pytest.approx(end_voltage(230, 3680, 0, PHASE + NEUTRAL), abs=1e-6)
    assert one.neutral_a == one.i_a[0]


watts = st.floats(-3000, 9000)
ohms = st.floats(0.001, 0.15)
each = st.builds(complex, watts, st.floats(-2000, 2000))


@given(watts, st.lists(ohms, min_size=1, max_size=4))
def test_with_nothing_on_the_way_it_is_one_line(power, lengths):
    """Followed from its end to the network: the current there is that of the whole line."""
    runs = [Impedance(r, r / 4) for r in lengths]
    v = complex(end_voltage(230, power, 0, Impedance(sum(lengths), sum(lengths) / 4)))
    current, wanted = power / v, [abs(v)]
    for run in reversed(runs[1:]):
        v -= current * complex(run.r_ohm, run.x_ohm)
        wanted.insert(0, abs(v))
    sent = [0j] * (len(runs) - 1) + [complex(power)]
    found = solve(230, 1, places_of(1, runs, sent))
    assert [at.v[0] for at in found] == pytest.approx(wanted)


@given(each, each, each, ohms)
def test_branches_do_not_meet(a, b, c, r):
    # Two runs from the network: what flows in one is nothing to the other.
    z = Impedance(r, r / 5)
    places = [Place(-1, z, z, (a, b, c)), Place(-1, z, z, (c, a, b))]
    both = solve(230, 3, places)
    for n in (0, 1):
        alone = solve(230, 3, [places[n]])[0]
        assert both[n].v == pytest.approx(alone.v)


def test_a_load_as_large_as_the_plant_leaves_nothing_in_the_service():
    places = places_of(1, [REFERENCE, NONE], [-3000 + 0j, 3000 + 0j])
    found = solve(230, 1, places)
    assert found[0].v[0] == pytest.approx(230)
    assert found[0].i_a[0] == pytest.approx(0, abs=1e-9)
    assert found[1].i_a[0] == pytest.approx(3000 / 230)


def test_what_no_run_can_carry_is_said():
    with pytest.raises(ImpossibleOperatingPointError, match="no voltages were found"):
        solve(230, 1, places_of(1, [REFERENCE], [-60_000 + 0j]))
    assert solve(230, 3, []) == ()


@pytest.mark.parametrize(
    ("v1", "phases", "place", "words"),
    [
        (nan, 1, Place(-1, PHASE, NEUTRAL), "source_v"),
        (230, 4, Place(-1, PHASE, NEUTRAL), "phases"),
        (230, 1, Place(0, PHASE, NEUTRAL), "a place comes after"),
        (230, 1, Place(-1, PHASE, NEUTRAL, (complex(nan), 0j, 0j)), "power_va"),
        (230, 1, Place(-1, PHASE, NEUTRAL, (complex(0, inf), 0j, 0j)), "power_va"),
        (230, 1, Place(-1, Impedance(nan, 0), NEUTRAL), "r_ohm"),
        (230, 1, Place(-1, PHASE, Impedance(0, -0.1)), "x_ohm"),
    ],
)
def test_what_is_wrong_is_named(v1, phases, place, words):
    with pytest.raises(ElectricalError, match=words):
        solve(v1, phases, [place])
