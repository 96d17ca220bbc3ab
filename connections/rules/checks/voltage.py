"""Voltage rise: in the run of each unit, at the supply terminals, and against the trip.

Formulas: `connections.electrical.radial` and `connections.electrical.voltage_rise`.
"""

from collections.abc import Iterator
from decimal import Decimal

from connections.electrical.conductors import Impedance, impedance_of_run
from connections.electrical.electrical_errors import ElectricalError, ImpossibleOperatingPointError
from connections.electrical.radial import At
from connections.electrical.voltage_rise import (
    largest_power_va,
    longest_run_m,
    smallest_conductor,
)
from connections.facts.defaults import known, load_kind
from connections.rules.checks.basis.failing import failing, in_sentences
from connections.rules.checks.basis.interface import overvoltage_of
from connections.rules.checks.basis.plant import PHASES, Output
from connections.rules.checks.basis.runs import (
    MAIN,
    ORIGIN,
    Runs,
    insulation_of,
    material_of,
    size_of,
)
from connections.rules.checks.basis.types import (
    Check,
    CheckKind,
    Level,
    PlotData,
    Point,
    Series,
    amount,
)
from connections.rules.checks.basis.working import Ground, Working
from connections.rules.kinds import Kind

EXACT = (
    "V at each place = V of the place before + Z × I of all behind it, I = conj(S / V), solved "
    "exactly for constant power (constant current where more is declared)"
)


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check rise and trip of every unit, the band at the terminals, and broken-conductor
    detection."""
    for output in runs.outputs:
        yield rise(ground, runs, output)
        yield trip(ground, runs, output)
    if runs.outputs:
        yield band(ground, runs)
    yield from open_pen(ground, runs)


RISE = failing(
    "voltage-rise",
    "voltage",
    "Does the voltage rise by more than its limit in the run of a unit?",
)


def rise(ground: Ground, runs: Runs, output: Output) -> Check:
    """The rise between the origin and the unit, at nominal voltage."""
    unit = output.unit
    w = Working(ground, RISE, unit.id, "Voltage rise in the installer's run", EXACT)
    limit = w.limit("voltage_rise.run_limit")
    ready = _stated(w, runs, output)
    _nominal(w)
    if limit is None or not ready:
        return w.missing()

    def work() -> Check:
        nominal = ground.nominal_v
        found = runs.voltages(nominal)
        k = _worst(found[runs.end_of(unit.id)], output)
        end = found[runs.end_of(unit.id)].v[k]
        way = runs.ways[unit.id]
        for n, i in enumerate(way.cables):
            here, before = found[way.places[n + 1]], found[way.places[n]]
            z = runs.impedance(i)
            w.line(
                f"From {runs.label(way.places[n])} to {runs.label(way.places[n + 1])}: "
                f"{z.r_ohm * 1000:.3f} + j{z.x_ohm * 1000:.3f} mohm each conductor, "
                f"{here.i_a[k]:.3f} A, {before.v[k]:.3f} V to {here.v[k]:.3f} V "
                f"({(here.v[k] - before.v[k]) / nominal:+.4%})"
            )
        w.line(
            f"In all {nominal:.3f} V to {end:.3f} V on {PHASES[k]}: {end - nominal:+.3f} V, "
            f"{(end - nominal) / nominal:+.4%} of {nominal:.3f} V."
        )
        for line in _inverse(runs, output, limit / 1000):
            w.line(line)
        w.plot = _along(runs, output, found, k, nominal * (1 + limit / 1000))
        return w.compared((end - nominal) / nominal * 100, Decimal(limit) / 10, "%", of_v=nominal)

    return w.attempt(work)


TRIP = failing(
    "voltage-trip",
    "voltage",
    "Does an inverter trip where the network is at its highest voltage?",
)


def trip(ground: Ground, runs: Runs, output: Output) -> Check:
    """Check the inverter's voltage against its over-voltage trip, at the highest network voltage.

    The network operator keeps the terminals within the band, generation included. So the rise in
    the service is not added.
    """
    unit = output.unit
    w = Working(
        ground,
        TRIP,
        unit.id,
        "Voltage at the inverter against its trip",
        EXACT,
    )
    ready = _stated(w, runs, output)
    highest = w.default("voltage_rise.network_highest")
    trip_mv = overvoltage_of(w, output)
    assumed = ground.assumed_mv
    if highest is not None and assumed is not None and assumed > highest:
        _assumed(w, assumed)
        highest = assumed
    if highest is None or trip_mv is None or not ready:
        return w.missing()

    def work() -> Check:
        source = (highest or 0) / 1000
        found = runs.voltages(source)
        k = _worst(found[runs.end_of(unit.id)], output)
        end = found[runs.end_of(unit.id)].v[k]
        w.line(
            f"{source:.3f} V at the terminals and {end - source:+.3f} V along the run: "
            f"{end:.3f} V on {PHASES[k]}; the trip stands at {trip_mv / 1000:g} V."
        )
        return w.compared(end, Decimal(trip_mv) / 1000, "V")

    return w.attempt(work)


BAND = failing(
    "voltage-band",
    "voltage",
    "Do the terminals leave the statutory band with all plant running?",
)


def band(ground: Ground, runs: Runs) -> Check:
    """The voltage at the supply terminals with all plant at full output."""
    w = Working(
        ground,
        BAND,
        "supply",
        "Voltage at the supply terminals with generation",
        f"{EXACT}; Z is the loop of the supply",
    )
    limit = w.limit("voltage_rise.band_high")
    # 2026-11-25: no default. Nobody knows the voltage at the terminals of a site.
    assumed = ground.assumed_mv
    if assumed is None:
        w.need("the voltage that the network is assumed to have", "network.assumed_voltage_mv")
    else:
        _assumed(w, assumed)
    service = runs.service(w)
    ready = runs.state_outputs(w)
    if limit is None or assumed is None or service is None or not ready:
        return w.missing()

    def work() -> Check:
        source = assumed / 1000
        found = runs.voltages(source, service=service)
        here = found[ORIGIN]
        k = max(range(len(ground.phases)), key=lambda k: here.v[k])
        for n, phase in enumerate(ground.phases):
            w.line(f"{phase}: {source:.3f} V to {here.v[n]:.3f} V at the terminals")
        for output in runs.outputs:
            if not runs.ways[output.unit.id].needs:
                end = found[runs.end_of(output.unit.id)]
                high = end.v[_worst(end, output)]
                w.line(
                    f"{output.unit.id}: {high:.3f} V, a total rise of {high - source:+.3f} V "
                    f"({(high - source) / ground.nominal_v:+.4%} of nominal)"
                )
        if len(ground.phases) > 1:
            w.line(f"Neutral {here.neutral_a:.3f} A")
        return w.compared(here.v[k], Decimal(limit or 0) / 1000, "V")

    return w.attempt(work)


OPEN_PEN = CheckKind(
    "voltage-open-pen",
    "voltage",
    Kind(
        "caution-open-pen",
        "inform",
        "May a charge point that finds a broken combined conductor by voltage open?",
        lambda v: (
            f"A board can come to {v['value']}: a charge point ({v['subject']}) that finds a "
            f"broken combined conductor by voltage opens at {v['limit']}.",
            in_sentences(v["workings"]),
        ),
    ),
    # A board that can reach exactly this voltage can also pass it.
    told_on=("over", "close"),
)


def open_pen(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Caution: detection of a broken combined conductor by voltage opens above its band."""
    loads = ground.loads
    if loads is None or known(ground.site.supply.earthing) == "TT" or not runs.outputs:
        return
    for i, load in enumerate(loads.items):
        if load_kind(load) != "vehicle":
            continue
        w = Working(
            ground,
            OPEN_PEN,
            load.name,
            "Voltage at the boards against broken-conductor detection",
            EXACT,
        )
        w.fact("load", f"loads.items[{i}].name", load.name, load.name)
        w.read(((f"loads.items[{i}].kind", load.kind),))
        earthing = known(ground.site.supply.earthing)
        w.fact("earthing", "supply.earthing", earthing, earthing or "not known")
        limit = w.limit("voltage_rise.open_pen_high")
        highest = w.default("voltage_rise.network_highest")
        runs.state_outputs(w)
        if limit is None or highest is None:
            yield w.missing()
            continue

        def work(w: Working = w, limit: int = limit, highest: int = highest) -> Check:
            found = runs.voltages(highest / 1000)
            boards = {place: max(at.v) for place, at in found.items() if runs.is_board(place)}
            place = max(boards, key=lambda name: (boards[name], name == MAIN))
            w.line(
                f"With {highest / 1000:g} V at the terminals, {runs.label(place)} is at "
                f"{boards[place]:.3f} V. Detection by voltage alone would open; ask which kind the "
                "charge point has."
            )
            return w.compared(boards[place], Decimal(limit) / 1000, "V")

        yield w.attempt(work)


def _stated(w: Working, runs: Runs, output: Output) -> bool:
    """Record the run, its unit, and all plant that shares its cables."""
    ready = output.state(w)
    ready = runs.state(w, output.unit.id) and ready
    mine = set(runs.ways[output.unit.id].cables)
    places = set(runs.ways[output.unit.id].places[1:])
    if not mine and not places:  # at the terminals: nothing shares its run
        return ready
    for other in runs.outputs:
        if other is output:
            continue
        way = runs.ways[other.unit.id]
        shares = not mine.isdisjoint(way.cables)
        if shares or (way.needs and runs.board_of(other) in places):
            ready = other.state(w) and ready
    return ready


def _worst(at: At, output: Output) -> int:
    """The phase of the unit with the highest voltage."""
    on = [k for k, phase in enumerate(PHASES) if phase in output.unit.phases]
    return max(on, key=lambda k: at.v[k])


def _nominal(w: Working) -> None:
    stated = w.ground.site.supply.nominal_v
    words = amount(w.ground.stated_nominal_v, "V phase to neutral")
    if known(stated):
        w.fact("nominal voltage", "supply.nominal_v", stated, words)
    else:
        w.taken("nominal voltage", "supply.nominal_v", stated, words)


def _assumed(w: Working, assumed: int) -> None:
    words = amount(assumed / 1000, "V phase to neutral")
    w.fact("the network's voltage", "network.assumed_voltage_mv", assumed, words)


def _inverse(runs: Runs, output: Output, share: float) -> Iterator[str]:
    """Changes that would keep the limit, for a run of one cable that carries only this line."""
    way = runs.ways[output.unit.id]
    phases = output.line.phases
    if len(way.cables) != 1 or not runs.alone(output.unit.id) or phases not in (1, 3):
        return
    if output.sent()[0] == (0j, 0j, 0j) or not output.quantity:
        return
    ground = runs.ground
    cable = ground.site.cables[way.cables[0]]
    v1 = ground.nominal_v * (3**0.5 if phases == 3 else 1)
    p, q = (one * output.quantity for one in output.one)
    metres = (known(cable.length_mm) or 0) / 1000
    hot = insulation_of(cable) == "xlpe"
    name = "cable.temperature_thermosetting" if hot else "cable.temperature"
    temperature = float(ground.figure(name) or 70)
    material = material_of(cable) or "copper"
    each = impedance_of_run(material, size_of(cable), 1.0, temperature, phases)
    try:
        longest = longest_run_m(v1, p, q, each, share * v1)
        yield f"This cable keeps {amount(share * 100, '%')} up to {longest:.3f} m."
    except ImpossibleOperatingPointError as fault:
        yield f"Length: {fault.message}."
    if metres > 0:
        yield from _smaller(
            v1, p, q, share, each.times(metres), material, metres, temperature, phases
        )


def _smaller(
    v1: float,
    p: float,
    q: float,
    share: float,
    z: Impedance,
    material: str,
    metres: float,
    temperature: float,
    phases: int,
) -> Iterator[str]:
    try:
        power = largest_power_va(v1, v1 * (1 + share), z)
        current = power / (v1 * (1 + share)) / (3**0.5 if phases == 3 else 1)
        kilowatts = power / 1000
        yield f"At unity power factor it is kept up to {current:.3f} A ({kilowatts:.3f} kW)."
    except ElectricalError as fault:
        yield f"Current: {fault.message}."
    try:
        size = smallest_conductor(
            v1, p, q, share * v1, material=material, length_m=metres, temperature_c=temperature,
            phases=phases,
        )  # fmt: skip
        yield f"The smallest {material} conductor that keeps it here is {size} mm²."
    except ElectricalError as fault:
        yield f"Conductor: {fault.message}."


def _along(runs: Runs, output: Output, found: dict[str, At], k: int, limit_v: float) -> PlotData:
    """Voltage along the run, from the terminals to the unit."""
    way = runs.ways[output.unit.id]
    at, points = 0.0, [Point(runs.label(way.places[0]), 0.0, found[way.places[0]].v[k])]
    for n, i in enumerate(way.cables):
        at += (known(runs.ground.site.cables[i].length_mm) or 0) / 1000
        place = way.places[n + 1]
        points.append(Point(runs.label(place), at, found[place].v[k]))
    return PlotData(
        "along",
        "m",
        "V",
        (Series(f"{output.unit.id} on {PHASES[k]}", tuple(points)),),
        (Level("nominal", runs.ground.nominal_v), Level("limit of the run", limit_v)),
    )
