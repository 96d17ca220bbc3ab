"""Compare our electrical formulas with pandapower, on random cases that are always the same.

pandapower is a tool of the tests and not installed with the program. Functions import it, since
that takes some seconds.
"""

import importlib.util
import random
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from math import inf, sqrt
from typing import Any, NamedTuple

from msgspec import Struct

from connections.electrical.conductors import Impedance
from connections.electrical.electrical_errors import ImpossibleOperatingPointError
from connections.electrical.radial import Place, solve
from connections.electrical.voltage_rise import end_voltage

VOLTS = 1e-4
"""Tolerance between the two answers [V]."""

_QUARREL = "Downcasting object dtype arrays"

_BASE_MVA = 1e-3
"""pandapower's three-phase load flow stops 3e-8 of the base before the answer, whatever the
tolerance. On the base of 1 MVA that is 0.03 VA, which can be more than half of our tolerance in
volts."""

_SOURCE_V = 400 / sqrt(3)

_HUGE_MVA = 1e9
"""Short-circuit power of a source that holds its voltage whatever flows."""


class Difference(Struct, frozen=True):
    """One case solved twice: its words, and how far the answers are apart [V].

    `impossible` says that both find no operating point.
    """

    case: str
    apart: float
    impossible: bool = False

    @property
    def agrees(self) -> bool:
        """Whether the answers are within the tolerance."""
        return self.impossible or self.apart <= VOLTS


class Along(NamedTuple):
    """One run by pandapower: the voltage behind it [V], its current [A], its losses [W]."""

    to_v: float
    current_a: float
    loss_w: float


class Island(NamedTuple):
    """A branch on its own: the place whose run is open, and the place that holds a voltage [V]."""

    cut: int
    forming: int
    forming_v: float


def installed() -> bool:
    """Whether pandapower is there."""
    return importlib.util.find_spec("pandapower") is not None


def differences(cases: int, seed: int = 60909) -> Iterator[Difference]:
    """Solve this many random cases, of each kind in turn."""
    chosen = random.Random(seed)
    kinds = (_two_bus, _chain, _tree, _island, _most_demand)
    for n in range(cases):
        yield kinds[n % len(kinds)](chosen)


@contextmanager
def quiet() -> Iterator[None]:
    """Ignore a warning of pandas 2 on the way in which pandapower 3.5.6 fills gaps in tables."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", _QUARREL, FutureWarning)
        yield


def _line(chosen: random.Random) -> Impedance:
    r = chosen.uniform(0.005, 0.4)
    return Impedance(r, r * chosen.uniform(0.02, 0.7))


def _two_bus(chosen: random.Random) -> Difference:
    line = _line(chosen)
    p, q = chosen.uniform(-4000, 17_000), chosen.uniform(-4000, 4000)
    case = f"400 V, {line.r_ohm:.4f}+j{line.x_ohm:.4f} ohm, {p:.0f} W, {q:.0f} var"
    theirs = pandapower_voltages(400, [line], p, q)
    return _beside(case, lambda: [end_voltage(400, p, q, line)], theirs)


def _chain(chosen: random.Random) -> Difference:
    runs = [_line(chosen).times(0.3) for _ in range(chosen.randint(2, 4))]
    p, q = chosen.uniform(1000, 30_000), chosen.uniform(-6000, 6000)
    case = f"400 V, {len(runs)} runs, {p:.0f} W, {q:.0f} var"
    theirs = pandapower_voltages(400, runs, p, q)
    each = complex(p, q) / 3
    places = [Place(n - 1, run, run) for n, run in enumerate(runs[:-1])]
    places.append(Place(len(runs) - 2, runs[-1], runs[-1], (each, each, each)))
    return _beside(case, lambda: [at.v[0] * sqrt(3) for at in solve(_SOURCE_V, 3, places)], theirs)


def _tree(chosen: random.Random) -> Difference:
    """One to five places, each fed from any before it or from the network."""
    places = _grown(chosen, chosen.randint(1, 5))
    case = "a tree, " + "; ".join(f"{p.before}: {_words(p.power_va)}" for p in places)
    return _beside(
        case,
        lambda: [v for at in solve(_SOURCE_V, 3, places) for v in at.v],
        pandapower_tree(_SOURCE_V, places),
    )


def _island(chosen: random.Random) -> Difference:
    """A tree of which one branch is switched off the network, and runs on an inverter of its own.

    One place of the branch holds its voltage there, as the network does for all else.
    """
    most = chosen.randint(2, 6)
    places = _grown(chosen, most)
    cut = chosen.randrange(most)
    branch = _branch(places, cut)
    forming, forming_v = chosen.choice(branch), _SOURCE_V * chosen.uniform(0.97, 1.03)
    case = (
        f"a tree of {most} places, cut ahead of {cut}, with {forming} at {forming_v:.2f} V: "
        + "; ".join(f"{p.before}: {_words(p.power_va)}" for p in places)
    )
    found = {forming: (forming_v,) * 3}

    def ours() -> list[float]:
        for source_v, order in (
            (_SOURCE_V, _outwards(places, -1, set(range(most)) - set(branch))),
            (forming_v, _outwards(places, forming, set(branch))),
        ):
            at = solve(source_v, 3, [place for _, place in order])
            for (n, _), each in zip(order, at, strict=True):
                found[n] = each.v
        return [v for n in range(most) for v in found[n]]

    theirs = pandapower_tree(_SOURCE_V, places, Island(cut, forming, forming_v))
    return _beside(case, ours, theirs)


def _grown(chosen: random.Random, most: int) -> list[Place]:
    """So many places, each fed from any before it or from the network."""
    places = []
    for n in range(most):
        phase = _line(chosen).times(0.2)
        neutral = phase.times(chosen.uniform(0.5, 2))
        places.append(Place(chosen.randint(-1, n - 1), phase, neutral, _unequal(chosen, 6000)))
    return places


def _branch(places: list[Place], cut: int) -> list[int]:
    """A place and all that are fed through it."""
    found = [cut]
    for n in range(cut + 1, len(places)):
        if places[n].before in found:
            found.append(n)
    return found


def _outwards(places: list[Place], source: int, among: set[int]) -> list[tuple[int, Place]]:
    """The places of `among` as seen from one that holds its voltage, each behind the one that
    feeds it; -1 is the network. The source is none of them."""
    index, order = {source: -1}, list[tuple[int, Place]]()
    ahead = [source]
    while ahead:
        near = ahead.pop(0)
        for n in sorted(among - index.keys()):
            # A run joins a place with the one before it, whichever of them feeds the other.
            inwards = near >= 0 and places[near].before == n
            if not inwards and places[n].before != near:
                continue
            of = places[near if inwards else n]
            index[n] = len(order)
            order.append((n, Place(index[near], of.phase, of.neutral, places[n].power_va)))
            ahead.append(n)
    return order


def _unequal(chosen: random.Random, most_w: float) -> tuple[complex, complex, complex]:
    a, b, c = (complex(chosen.uniform(-4000, most_w), chosen.gauss(0, 1500)) for _ in range(3))
    return a, b, c


def _words(power: tuple[complex, complex, complex]) -> str:
    return ", ".join(f"{s.real:.0f} W {s.imag:.0f} var" for s in power)


def _most_demand(chosen: random.Random) -> Difference:
    """Demand near the most that a line can carry, on either side of it: V1^2 / 2 (R + Z)."""
    line = _line(chosen)
    most = 400**2 / (2 * (line.r_ohm + line.modulus_ohm))
    share = chosen.choice([chosen.uniform(0.5, 0.95), chosen.uniform(1.05, 3)])
    case = f"400 V, demand of {share:.2f} times the most of {most:.0f} W"
    theirs = pandapower_voltages(400, [line], -share * most, 0)
    return _beside(case, lambda: [end_voltage(400, -share * most, 0, line)], theirs)


def _beside(case: str, solve: Callable[[], list[float]], theirs: list[float] | None) -> Difference:
    """Compare both answers [V]; infinitely apart where only one finds an operating point."""
    try:
        ours = solve()
    except ImpossibleOperatingPointError:
        return Difference(case, 0.0 if theirs is None else inf, theirs is None)
    return Difference(case, inf if theirs is None else _apart(ours, theirs))


def _apart(ours: list[float], theirs: list[float]) -> float:
    return max(abs(a - b) for a, b in zip(ours, theirs, strict=True))


def pandapower_voltages(
    v1_v: float, runs: list[Impedance], p_w: float, q_var: float
) -> list[float] | None:
    """The voltage behind each run [V] by pandapower; None where it finds no operating point."""
    power = [0j] * (len(runs) - 1) + [complex(p_w, q_var)]
    found = pandapower_run(v1_v, runs, power)
    return None if found is None else [each.to_v for each in found]


def pandapower_run(
    v1_v: float, runs: list[Impedance], power_va: list[complex]
) -> list[Along] | None:
    """Solve runs one after another with a power fed in behind each; None as above.

    pandapower takes every network for three-phase. With voltages of one phase, its voltages and
    losses hold, and its currents are too low by the root of 3.
    """
    with quiet():
        import pandapower as pp

        net = pp.create_empty_network()
        bus = pp.create_bus(net, vn_kv=v1_v / 1000)
        pp.create_ext_grid(net, bus, vm_pu=1.0)
        for run, s in zip(runs, power_va, strict=True):
            after = pp.create_bus(net, vn_kv=v1_v / 1000)
            _create_line(pp, net, bus, after, run)
            pp.create_sgen(net, after, p_mw=s.real / 1e6, q_mvar=s.imag / 1e6)
            bus = after
        try:
            pp.runpp(net, init="flat", tolerance_mva=1e-12, numba=False, max_iteration=50)
        except pp.LoadflowNotConverged:
            return None
        return [
            Along(float(u) * v1_v, float(i) * 1000, float(p) * 1e6)
            for u, i, p in zip(
                net.res_bus.vm_pu[1:], net.res_line.i_ka, net.res_line.pl_mw, strict=True
            )
        ]


def pandapower_tree(
    source_v: float, places: list[Place], island: Island | None = None
) -> list[float] | None:
    """The voltage of each phase [V] at each place of a tree, by its three-phase load flow."""
    with quiet():
        import pandapower as pp

        un = source_v * sqrt(3)
        net = pp.create_empty_network(sn_mva=_BASE_MVA)
        network = pp.create_bus(net, vn_kv=un / 1000)
        _create_source(pp, net, network, 1.0)
        buses: list[int] = []
        for place in places:
            bus = pp.create_bus(net, vn_kv=un / 1000)
            before = network if place.before < 0 else buses[place.before]
            zero = place.phase + place.neutral.times(3)
            _create_line(pp, net, before, bus, place.phase, zero)
            pp.create_asymmetric_sgen(
                net,
                bus,
                **{
                    f"{name}_{letter}_{unit}": part / 1e6
                    for letter, s in zip("abc", place.power_va, strict=True)
                    for name, unit, part in (("p", "mw", s.real), ("q", "mvar", s.imag))
                },
            )
            buses.append(bus)
        if island is not None:
            net.line.loc[island.cut, "in_service"] = False
            _create_source(pp, net, buses[island.forming], island.forming_v / source_v)
        try:
            pp.runpp_3ph(net, tolerance_mva=1e-12, numba=False, max_iteration=100)
        except pp.LoadflowNotConverged:
            return None
        found = net.res_bus_3ph.loc[buses, ["vm_a_pu", "vm_b_pu", "vm_c_pu"]]
        return [float(u) * source_v for row in found.to_numpy() for u in row]


def _create_source(pp: Any, net: Any, bus: Any, of_nominal: float) -> None:
    pp.create_ext_grid(
        net,
        bus,
        vm_pu=of_nominal,
        s_sc_max_mva=_HUGE_MVA,
        rx_max=0.1,
        x0x_max=1.0,
        r0x0_max=0.1,
    )


def _create_line(
    pp: Any, net: Any, near: int, far: int, z: Impedance, zero: Impedance | None = None
) -> None:
    pp.create_line_from_parameters(
        net,
        near,
        far,
        length_km=1,
        r_ohm_per_km=z.r_ohm,
        x_ohm_per_km=z.x_ohm,
        c_nf_per_km=0,
        max_i_ka=1,
        r0_ohm_per_km=(zero or z).r_ohm,
        x0_ohm_per_km=(zero or z).x_ohm,
        c0_nf_per_km=0,
        endtemp_degree=20,
    )
