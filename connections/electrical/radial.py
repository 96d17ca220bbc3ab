"""Voltages of everything fed from one supply: boards, runs and plant as a tree of four wires.

Every run has a phase conductor and a neutral. The power or current that is sent in at a place may
differ on each phase, and the neutral carries what does not cancel: so one solution serves a
single-phase run (which meets phase and neutral), a balanced three-phase one (whose neutral carries
nothing), a split supply and anything unbalanced. Found by sweeping: currents from the far ends to
the network with I = conj(S / V), voltages back again with V = V of the place before + Z I, until
they settle.
"""

from cmath import exp, pi
from collections.abc import Sequence

from msgspec import Struct

from connections.electrical.conductors import Impedance
from connections.electrical.faults import (
    ElectricalError,
    ImpossibleOperatingPointError,
    number,
    positive,
)
from connections.electrical.four_wire import MOST_STEPS

_EXACT_V = 1e-9
_A = exp(2j * pi / 3)
ANGLES: dict[int, tuple[complex, complex, complex]] = {
    1: (1 + 0j, 0j, 0j),
    2: (1 + 0j, -1 + 0j, 0j),
    3: (1 + 0j, _A**2, _A),
}
"""Direction of each phase voltage by the phases of the supply; two are a split single-phase one."""

Three = tuple[complex, complex, complex]
NOTHING: Three = (0j, 0j, 0j)


class Place(Struct, frozen=True):
    """A place of the tree, and the run that feeds it.

    `before` is the index of the place before it, which comes earlier in the list, or -1 for the
    network. `power_va` is what is sent in here on each phase [VA, + is export], `current_a` the
    same as a current at an angle to the voltage here [A]: cos - j sin of the power factor, where
    sin above nothing exports reactive power.
    """

    before: int
    phase: Impedance
    neutral: Impedance
    power_va: Three = NOTHING
    current_a: Three = NOTHING


class At(Struct, frozen=True):
    """A place worked out: voltage of each phase to neutral [V], and what its run carries on each
    phase and in the neutral [A]."""

    v: tuple[float, float, float]
    i_a: tuple[float, float, float]
    neutral_a: float
    unbalance: float
    """Negative over positive sequence of a three-phase supply; nothing on another."""


def solve(source_v: float, phases: int, places: Sequence[Place]) -> tuple[At, ...]:
    """Every place, in the order given. `source_v` is the network's voltage, phase to neutral [V].

    Raises ImpossibleOperatingPointError where no voltages are found, ElectricalError for figures
    that can't be worked with.
    """
    positive("source_v", source_v)
    if phases not in ANGLES:
        raise ElectricalError("phases", "a supply has one, two or three phases")
    source = [source_v * angle for angle in ANGLES[phases]]
    live = range(phases)
    runs = [_run(place, n) for n, place in enumerate(places)]
    v = [list(source) for _ in places]
    flows: list[list[complex]] = []
    for _ in range(MOST_STEPS):
        flows = [_sent_in(place, u, live) for place, u in zip(places, v, strict=True)]
        for n in range(len(places) - 1, -1, -1):
            before = places[n].before
            if before >= 0:
                for k in live:
                    flows[before][k] += flows[n][k]
        new: list[list[complex]] = []
        change = 0.0
        for n, place in enumerate(places):
            at = source if place.before < 0 else new[place.before]
            z, z_neutral = runs[n]
            together = z_neutral * sum(flows[n])
            here = list(source)
            for k in live:
                # The neutral's own drop adds to every phase, seen from where each one points.
                here[k] = at[k] + z * flows[n][k] + together
                change = max(change, abs(here[k] - v[n][k]))
            new.append(here)
        v = new
        if any(not 0.3 * source_v <= abs(u[k]) <= 3 * source_v for u in v for k in live):
            break
        if change < _EXACT_V:
            return tuple(_at(u, i, phases) for u, i in zip(v, flows, strict=True))
    if not places:
        return ()
    raise ImpossibleOperatingPointError(
        "power",
        "no voltages were found at which this power can flow through these cables; it is at or "
        "beyond the most that they can carry",
    )


def _run(place: Place, n: int) -> tuple[complex, complex]:
    if not -1 <= place.before < n:
        raise ElectricalError("before", "a place comes after the place that feeds it")
    phase, neutral = place.phase.checked(), place.neutral.checked()
    for one in (*place.power_va, *place.current_a):
        number("power_va", one.real)
        number("power_va", one.imag)
    return complex(phase.r_ohm, phase.x_ohm), complex(neutral.r_ohm, neutral.x_ohm)


def _sent_in(place: Place, v: Sequence[complex], live: range) -> list[complex]:
    flows = [0j, 0j, 0j]
    for k in live:
        if place.power_va[k]:
            flows[k] += (place.power_va[k] / v[k]).conjugate()
        if place.current_a[k]:
            flows[k] += place.current_a[k] * v[k] / abs(v[k])
    return flows


def _at(v: Sequence[complex], i: Sequence[complex], phases: int) -> At:
    unbalance = 0.0
    if phases == 3:
        along = abs(v[0] + _A * v[1] + _A**2 * v[2])
        against = abs(v[0] + _A**2 * v[1] + _A * v[2])
        unbalance = against / along
    sizes = [abs(u) if k < phases else 0.0 for k, u in enumerate(v)]
    return At(
        (sizes[0], sizes[1], sizes[2]),
        (abs(i[0]), abs(i[1]), abs(i[2])),
        abs(sum(i)),
        unbalance,
    )
