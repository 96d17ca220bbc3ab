"""Voltages of everything fed from one supply: boards, runs and plant as a tree of four wires.

Every run has a phase conductor and a neutral. The power or current injected at a place may differ
by phase, and the neutral carries the unbalanced part. One solution therefore serves a single-phase
run (phase and neutral), a balanced three-phase one (no neutral current), a split supply and
anything unbalanced. It sweeps until the voltages settle: currents from the far ends to the network
with I = conj(S / V), then voltages outwards with V = V of the place before + Z I.

On one run the error shrinks by the factor |Z S| / |V|^2 in each sweep: 50 sweeps find every voltage
between about 0.63 and 2.5 times the network's. Anything outside is reported as beyond the cables.
"""

from cmath import exp, pi
from collections.abc import Sequence

from msgspec import Struct

from connections.electrical.conductors import Impedance
from connections.electrical.electrical_errors import (
    ElectricalError,
    ImpossibleOperatingPointError,
    number,
    positive,
)

_MOST_STEPS = 50
_EXACT_V = 1e-6
_A = exp(2j * pi / 3)
ANGLES: dict[int, tuple[complex, complex, complex]] = {
    1: (1 + 0j, 0j, 0j),
    2: (1 + 0j, -1 + 0j, 0j),
    3: (1 + 0j, _A**2, _A),
}
"""Angle of each phase voltage by number of phases; two are a split single-phase supply."""

Three = tuple[complex, complex, complex]
NOTHING: Three = (0j, 0j, 0j)


class Place(Struct, frozen=True, gc=False):
    """A place of the tree, and the run that feeds it.

    `before` is the index of the upstream place, which comes earlier in the list, or -1 for the
    network. `power_va` is the power injected here on each phase [VA, + is export]. `current_a` is
    the same as a current at an angle to the voltage here [A]: cos - j sin of the power factor;
    positive sin exports reactive power.
    """

    before: int
    phase: Impedance
    neutral: Impedance
    power_va: Three = NOTHING
    current_a: Three = NOTHING


class At(Struct, frozen=True, gc=False):
    """A solved place: voltage of each phase to neutral [V], and the current of its run on each
    phase and in the neutral [A]."""

    v: tuple[float, float, float]
    i_a: tuple[float, float, float]
    neutral_a: float
    unbalance: float
    """Negative over positive sequence of a three-phase supply; 0 on any other."""


def solve(source_v: float, phases: int, places: Sequence[Place]) -> tuple[At, ...]:
    """Solve every place, in the order given. `source_v` is the network's phase voltage [V].

    Raises ImpossibleOperatingPointError where no voltages are found, ElectricalError for unusable
    figures.
    """
    positive("source_v", source_v)
    if phases not in ANGLES:
        raise ElectricalError("phases", "a supply has one, two or three phases")
    source = [source_v * angle for angle in ANGLES[phases]]
    live = range(phases)
    runs = [_run(place, n) for n, place in enumerate(places)]
    sent = [
        (
            [(k, place.power_va[k]) for k in live if place.power_va[k]],
            [(k, place.current_a[k]) for k in live if place.current_a[k]],
        )
        for place in places
    ]
    outer_first = [(n, places[n].before) for n in range(len(places) - 1, -1, -1)]
    v = [list(source) for _ in places]
    for _ in range(_MOST_STEPS):
        flows = [[0j, 0j, 0j] for _ in places]
        try:
            for flow, u, (powers, currents) in zip(flows, v, sent, strict=True):
                for k, power in powers:
                    flow[k] = (power / u[k]).conjugate()
                for k, current in currents:
                    flow[k] += current * u[k] / abs(u[k])
        except ZeroDivisionError:
            break
        for n, before in outer_first:
            if before >= 0:
                inner, outer = flows[before], flows[n]
                for k in live:
                    inner[k] += outer[k]
        change = 0.0
        for (before, z, z_neutral), here, flow in zip(runs, v, flows, strict=True):
            at = source if before < 0 else v[before]
            # The voltage drop of the neutral adds to every phase, each seen along its own angle.
            together = z_neutral * (flow[0] + flow[1] + flow[2])
            for k in live:
                now = at[k] + z * flow[k] + together
                moved = abs(now - here[k])
                # Carry NaN through: it fails every "at most" and so ends the search below.
                change = change if moved <= change else moved
                here[k] = now
        if not change < source_v:
            break
        if change < _EXACT_V:
            if all(0.3 * source_v <= abs(u[k]) <= 3 * source_v for u in v for k in live):
                return tuple(_at(u, i, phases) for u, i in zip(v, flows, strict=True))
            break
    if not places:
        return ()
    raise ImpossibleOperatingPointError(
        "power",
        "no voltages were found at which this power can flow through these cables; it is at or "
        "beyond the most that they can carry",
    )


def _run(place: Place, n: int) -> tuple[int, complex, complex]:
    if not -1 <= place.before < n:
        raise ElectricalError("before", "a place comes after the place that feeds it")
    phase, neutral = place.phase.checked(), place.neutral.checked()
    for one in (*place.power_va, *place.current_a):
        if one:
            number("power_va", one.real)
            number("power_va", one.imag)
    return place.before, complex(phase.r_ohm, phase.x_ohm), complex(neutral.r_ohm, neutral.x_ohm)


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
