"""Faults on the circuit of a unit: does its cable withstand them, and does its device open in time?

Both ends count: the largest fault at the device, the smallest at the far end.
"""

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from connections.electrical.circuit import ADIABATIC_K, adiabatic_csa_mm2
from connections.electrical.clearing import Breaker, Fuse
from connections.electrical.conductors import conductor
from connections.electrical.fault_level import contribution_a
from connections.facts.defaults import known, rating
from connections.facts.devices import breaker_type, device_kind
from connections.facts.site import Protection
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import Output
from connections.rules.checks.basis.runs import Runs, insulation_of, material_of, nominal, size_of
from connections.rules.checks.basis.supply_loop import supply_loop
from connections.rules.checks.basis.types import Check, amount
from connections.rules.checks.basis.working import GATHERED, Ground, Working
from connections.rules.checks.circuit import devices_of, state_rating
from connections.rules.checks.fault import (
    LOOPS,
    board_of,
    breaks,
    contribution,
    network_a,
)
from connections.rules.checks.schedule import RESIDUAL, feeds

_N = r"(\d+(?:\.\d+)?)"
_PAIR = re.compile(rf"(\S+) {_N}")
_GATES = re.compile(rf"{_N} A: {_N} A, {_N} A")
_CLASS = re.compile(rf"([BC]) {_N} A: (.+)")
_STEP = re.compile(rf"{_N} A {_N} A²s")


def _device(w: Working, i: int, entry: Protection) -> Breaker | Fuse | None:
    """How a device opens, from its rating and type; None, and a need, where that is not known."""
    rated = rating(entry.rating_a)
    state_rating(w, i, entry)
    if rated is None:
        return None
    if device_kind(entry) == "fuse":
        for of, slow, fast in _gates(w.words("fault.fuse_gates")):
            if of == rated:
                w.at_most(f"the maker's curve of the {entry.kind} of {entry.serves}")
                return Fuse(slow, fast)
        w.need(f"the gates of a fuse of {rated} A, which the rulebook does not hold")
        return None
    type_ = breaker_type(entry)
    w.read(((f"protection[{i}].breaker_type", entry.breaker_type),))
    if type_ is None:
        w.at_most(f"the type of the {entry.kind} of {entry.serves}: B, C or D")
    else:
        w.computed("type of the device", type_)
    time_ms = w.default("cable.fault_time")
    times = _pairs(w.words("fault.breaker_multiples")).get(type_ or "D")
    if time_ms is None or times is None:
        w.need("the rulebook's multiple for the type of circuit-breaker")
        return None
    at_once = rated * float(times)
    pairs = _let_through(w.words("fault.let_through"), type_, rated)
    return Breaker(at_once, time_ms / 1000, pairs, float(rating(entry.breaking_a) or 0))


@lru_cache(maxsize=16)
def _pairs(rows: tuple[str, ...]) -> dict[str, str]:
    """A table of two columns; a row of another form is left out, here and below."""
    return {m[1]: m[2] for row in rows if (m := _PAIR.fullmatch(row))}


@lru_cache(maxsize=16)
def _gates(rows: tuple[str, ...]) -> list[tuple[float, float, float]]:
    """Rating of a fuse, and its gates at 5 s and at 0.1 s [A]."""
    return [(float(m[1]), float(m[2]), float(m[3])) for row in rows if (m := _GATES.fullmatch(row))]


@lru_cache(maxsize=256)
def _let_through(
    rows: tuple[str, ...], type_: str | None, rated: int
) -> tuple[tuple[float, float], ...]:
    """Fault current [A] and energy [A²s] of the first row for the type that holds the rating."""
    for row in rows:
        m = _CLASS.fullmatch(row)
        if m and m[1] == type_ and rated <= float(m[2]):
            return tuple((float(most), float(energy)) for most, energy in _STEP.findall(m[3]))
    return ()


WITHSTAND = failing(
    "cable-withstand",
    "circuit",
    "Does a cable not withstand a fault until its device opens?",
)


def withstand(
    ground: Ground,
    runs: Runs,
    i: int,
    output: Output,
    found: list[tuple[int, Protection]],
    capacity: Check,
) -> Check:
    """Check that a cable withstands every fault until its devices open, those of `found`.

    `capacity` is the check that the cable carries the device's rating: where it keeps, and the
    device breaks what can flow, the cable is protected (BS 7671 435.1, from memory). `output` is
    a unit behind the cable.
    """
    cable = ground.site.cables[i]
    name = f"{cable.from_} to {cable.to}"
    w = Working(
        ground, WITHSTAND, name, "Cable withstands a fault until the device opens",
        "S ≥ √(I² t) / k at the largest and the smallest fault; so deemed where In ≤ Iz and the "
        "device breaks what can flow",
    )  # fmt: skip
    place = runs.ends.get(i, "")
    if not found:
        of = output.unit.id if place not in runs.fed_boards else runs.label(place)
        w.need(f"the protective device of {of}", "protection")
        return w.missing()
    for index, entry in found:
        state_rating(w, index, entry)
    board = runs.board_before(output, place)
    if capacity.result == "keeps" and not w.needs:
        other = Working(ground, GATHERED, board, "")
        broken = other.attempt(lambda: breaks(other, runs, board_of(board), board, found))
        if broken.result == "keeps":
            w.take(other)
            w.read(capacity.read)
            w.line(
                "The cable carries what the device is rated for, and the device breaks what can "
                "flow: deemed protected (BS 7671 435.1, from memory)."
            )
            return w.there()
    return w.attempt(lambda: _adiabatic(w, runs, i, output, board, found))


def _adiabatic(
    w: Working,
    runs: Runs,
    i: int,
    output: Output,
    board: str,
    found: list[tuple[int, Protection]],
) -> Check:
    """End with the size that the energy of either fault asks for."""
    ground = w.ground
    cable = ground.site.cables[i]
    name = f"{cable.from_} to {cable.to}"
    k = ADIABATIC_K.get((material_of(cable) or "copper", insulation_of(cable) or ""))
    if k is None:
        w.need(f"conductor and insulation of the cable {name}")
    else:
        w.computed("k", f"{k} (BS 7671 table 43.1, secondary)")
    ready = runs.state(w, output.unit.id)
    devices = [_device(w, index, entry) for index, entry in found]
    flows = network_a(w, board if board_of(board) else "")
    added = contribution(w)
    loop = supply_loop(ground, w)
    low = w.limit("fault.voltage_factor_low", "c for the smallest current")
    if w.needs or not ready or None in (k, flows, added, loop, low):
        return w.missing()
    cables = runs.ways[output.unit.id].cables
    before = cables[: cables.index(i) + 1]
    ohm = (loop.modulus_ohm if loop else 0.0) + sum(
        2 * runs.impedance(n).modulus_ohm for n in before
    )
    least = (low or 0) / 1000 * ground.stated_nominal_v / ohm
    most = max((flows or 0) + (added or 0.0), least)
    w.line(f"From {least:.1f} A at the far end ({ohm:.3f} ohm) to {most:.1f} A at the device.")
    energies: list[float] = []
    for device, (_, entry) in zip(devices, found, strict=True):
        if device is None:
            return w.missing()
        both = device.energy_a2s(least), device.energy_a2s(most)
        if None in both:
            if isinstance(device, Breaker) and breaker_type(entry) is None:
                return w.unproved(f"{least:.0f} A beside {device.at_once_a:g} A")
            w.need(f"how long the {entry.kind} of {entry.serves} takes at {least:.0f} A")
            return w.missing()
        energies += [energy for energy in both if energy is not None]
    size = adiabatic_csa_mm2(max(energies), k or 1)
    w.line(f"√({max(energies):.0f} A²s) / {k} = {size:.3f} mm² beside {size_of(cable)} mm².")
    return w.compared(size, Decimal(size_of(cable)), "mm²")


DISCONNECTION = failing(
    "disconnection",
    "fault",
    "May a device not open in time for an earth fault at the end of its circuit?",
)


def disconnection(ground: Ground, runs: Runs, output: Output) -> Iterator[Check]:
    """Check that a fault to earth at a unit's end is opened in time, in parallel and as an island.

    On TT a residual-current device opens: the schedule and the touch voltage say whether.
    """
    if known(ground.site.supply.earthing) != "TT":
        w = Working(
            ground, DISCONNECTION, output.unit.id, "Device opens an earth fault in time",
            "c × U0 / (Ze + R1 + R2) ≥ Ia, or a residual-current device",
        )  # fmt: skip
        yield w.attempt(lambda: _in_parallel(w, runs, output))
    if output.unit.can_island is True:
        w_island = Working(
            ground, DISCONNECTION, f"{output.unit.id} as an island",
            "Device opens an earth fault in time", "k × Ir ≥ Ia, or a residual-current device",
        )  # fmt: skip
        yield w_island.attempt(lambda: _as_island(w_island, output))


def _in_parallel(w: Working, runs: Runs, output: Output) -> Check:
    ground, unit = w.ground, output.unit
    if _residual(w, [n for n, entry in ground.once(_residuals) if feeds(entry, output)]):
        return w.there()
    found = devices_of(ground, unit.id)
    if not found:
        w.need(f"the protective device of {unit.id}", "protection")
    devices = [(_device(w, i, entry), rating(entry.rating_a) or 0) for i, entry in found]
    supply = ground.site.supply
    earthing, stated = known(supply.earthing), rating(supply.loop_impedance_uohm)
    w.read((("supply.earthing", earthing), ("supply.loop_measured", supply.loop_measured)))
    path = "supply.loop_impedance_uohm"
    largest = w.limit(LOOPS[earthing]) if earthing in LOOPS and not stated else None
    if stated:
        w.fact("loop impedance", path, stated, amount(Decimal(stated) / 1_000_000, "ohm"))
    elif largest is None:
        w.need("the loop impedance of the supply", path, supply.loop_impedance_uohm)
    if not stated or supply.loop_measured is False:
        w.read(((path, supply.loop_impedance_uohm),))
        w.at_most("the loop impedance of the supply, measured")
    low = w.limit("fault.voltage_factor_low", "c for the smallest current")
    final_ms = w.limit("fault.final_time", "opens a final circuit within")
    other_ms = w.limit("fault.other_time", "opens another circuit within")
    up_to = w.limit("fault.final_up_to", "a final circuit is rated up to")
    reduced = _pairs(w.words("cable.protective_sizes"))
    ready = runs.state(w, unit.id)
    if w.needs or not ready or None in (low, final_ms, other_ms, up_to):
        return w.missing()
    # Where a protective conductor's size is not known, the least one proves that a device opens in
    # time, one as large as the others that it does not.
    unsure = False
    ohm = best = (stated or largest or 0) / 1_000_000
    for i in runs.ways[unit.id].cables:
        cable = ground.site.cables[i]
        path, name = f"cables[{i}].protective_mm2", f"{cable.from_} to {cable.to}"
        stated_size = nominal(cable.protective_mm2)
        size = stated_size or reduced.get(size_of(cable))
        if size is None:
            w.need(f"the protective conductor of the cable {name}", path, cable.protective_mm2)
            return w.missing()
        words = f"protective conductor, {name}"
        if stated_size:
            w.fact(words, path, cable.protective_mm2, f"{size} mm²")
        else:
            w.read(((path, cable.protective_mm2),))
            w.computed(words, f"{size} mm² at least")
            unsure = True
        hot = "_thermosetting" if insulation_of(cable) == "xlpe" else ""
        temperature = ground.figure(f"cable.temperature{hot}")
        metres = (known(cable.length_mm) or 0) / 1000
        earth = conductor("copper", size, metres, float(temperature or 70))
        each = (runs.impedance(i) + earth).modulus_ohm
        ohm += each
        best += each if stated_size else 2 * runs.impedance(i).modulus_ohm
    opens = max(
        device.opens_a((final_ms if rated <= (up_to or 0) // 1000 else other_ms or 0) / 1000)  # type: ignore[operator]
        for device, rated in devices
        if device is not None
    )
    u = (low or 0) / 1000 * ground.stated_nominal_v
    if u / best < opens:
        ohm = best
    elif unsure:
        w.at_most("the size of the protective conductor")
    flows = u / ohm
    w.line(f"{ohm:.3f} ohm lets {flows:.1f} A flow; {opens:g} A open the device in time.")
    return w.compared(flows, Decimal(f"{opens:g}"), "A", "at least")


def _as_island(w: Working, output: Output) -> Check:
    """An inverter alone drives little more than its rated current into a fault."""
    unit, ground = output.unit, w.ground
    ready = output.state(w)
    w.read(((f"{output.path}.can_island", True),))
    factor = w.default("fault.inverter_factor")
    if not ready or factor is None:
        return w.missing()
    flows = contribution_a(output.design_a(), factor / 1000) * (output.quantity or 0)
    w.line(f"As an island at most {flows:.1f} A flow: no over-current device need open.")
    others = {each.id for each in ground.site.units} - {unit.id}
    if _residual(
        w, [n for n, entry in ground.once(_residuals) if known(entry.serves) not in others]
    ):
        return w.there()
    w.need(f"the residual-current device of the circuits that {unit.id} feeds as an island")
    w.read((("protection", None),) if not ground.site.protection else ())
    return w.missing()


def _residuals(ground: Ground) -> list[tuple[int, Protection]]:
    return [
        (n, entry)
        for n, entry in enumerate(ground.site.protection)
        if device_kind(entry) in RESIDUAL
    ]


def _residual(w: Working, found: list[int]) -> bool:
    """Record the first of these residual-current devices; return whether there is one."""
    for n in found[:1]:
        entry = w.ground.site.protection[n]
        of = known(entry.serves) or "the installation"
        trip = rating(entry.trip_ma)
        w.read(((f"protection[{n}].kind", entry.kind), (f"protection[{n}].serves", entry.serves)))
        words = f"{entry.kind}, {trip} mA" if trip else entry.kind
        w.fact("residual-current device", f"protection[{n}].trip_ma", entry.trip_ma, words)
        w.line(f"The {entry.kind} of {of} opens on an earth fault.")
    return bool(found)
