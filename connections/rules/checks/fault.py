"""Fault level and earthing; keeps the largest and the smallest current apart everywhere."""

from collections.abc import Iterator
from decimal import Decimal

from connections.electrical.fault_level import largest_electrode_ohm, prospective_a
from connections.electrical.rounding import outwards
from connections.facts.defaults import known, rating
from connections.facts.devices import (
    MAIN_NAMES,
    ORIGIN_NAMES,
    device_kind,
    on_dc_side,
    plain,
)
from connections.facts.site import Protection
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import PHASES, outputs_of
from connections.rules.checks.basis.runs import MAIN, ORIGIN, Runs
from connections.rules.checks.basis.types import Check, amount
from connections.rules.checks.basis.working import GATHERED, Ground, Working
from connections.rules.checks.circuit import OVERCURRENT

LOOPS = {"TN-C-S": "fault.loop_tn_c_s", "TN-S": "fault.loop_tn_s"}
_PROSPECTIVE = "supply.prospective_fault_a"
_LOOP = "supply.loop_impedance_uohm"


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check the largest current with the inverters, the breaking devices, loop and electrode."""
    if runs.outputs:
        yield largest(ground, runs)
        yield from breaking(ground, runs)
    yield loop(ground)
    yield from readings(ground)
    yield from electrode(ground)


def contribution(w: Working) -> float | None:
    """Contribution of all inverters on the fullest phase [A], recorded; None if it is not known."""
    stated, added = w.ground.once(_inverters)
    w.take(stated)
    w.lines.extend(stated.lines)
    return added


def _inverters(ground: Ground) -> tuple[Working, float | None]:
    w = Working(ground, GATHERED, "", "")
    factor, outputs = w.default("fault.inverter_factor"), outputs_of(ground)
    ready = [output.state(w) for output in outputs]
    if factor is None or not all(ready):
        return w, None
    phases = [0.0] * 3
    for output in outputs:
        # Units of one and of three phases are added, so all at the voltage of phase to neutral.
        each = output.phase_a() * factor / 1000
        for k, phase in enumerate(PHASES):
            phases[k] += each if phase in output.unit.phases else 0.0
    w.line(f"Inverters add {max(phases):.3f} A on the fullest phase ({factor / 1000:g} × rated).")
    return w, max(phases)


def _declared_key(ground: Ground) -> str:
    return "fault.network_three" if len(ground.phases) == 3 else "fault.network_single"


LEVEL = failing(
    "fault-level",
    "fault",
    "Is the fault current with the inverters above the declared one?",
)


def largest(ground: Ground, runs: Runs) -> Check:
    """Compare the largest prospective current with inverters with the operator's declared one.

    A declared current is the operator's own, so it is only shown.
    """
    w = Working(
        ground, LEVEL, "supply", "Largest prospective current with the inverters",
        "Ipf + k × Σ Ir; a largest current is never taken from the largest loop impedance",
    )  # fmt: skip
    supply = ground.site.supply
    stated = rating(supply.prospective_fault_a)
    declared = w.limit(_declared_key(ground), "declared by the network operator")
    w.read((("supply.fault_measured", supply.fault_measured),))

    def work() -> Check:
        added = contribution(w)
        if added is not None and declared:
            w.line(f"That is {added / declared:.3%} of the declared {declared} A.")
        if stated is None:
            w.need(
                "the prospective fault current of the supply",
                _PROSPECTIVE,
                supply.prospective_fault_a,
            )
        else:
            w.fact("prospective fault current", _PROSPECTIVE, stated, f"{stated} A")
        if stated is None or added is None or declared is None:
            return w.missing()
        total = outwards(stated + added, Decimal(1), "at most")
        w.line(f"{stated} A and {added:.3f} A: {total} A of up to {declared} A.")
        if total <= declared or supply.fault_measured is False or stated == declared:
            return w.listed(total, "A")
        return w.compared(stated + added, declared, "A")

    return w.attempt(work)


BREAKING = failing(
    "breaking-capacity",
    "fault",
    "Do the devices of a board break less than can flow?",
)


def breaking(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check at each board that its devices break the largest prospective current."""
    named = {board_of(None): "main board"}
    for output in runs.outputs:
        feeds = known(output.unit.feeds_from)
        named.setdefault(board_of(feeds), feeds or "")
    for board in ground.site.boards or ():
        named[board_of(board.id)] = board.id
    for key, name in named.items():
        w = Working(
            ground, BREAKING, name, "Devices of the board break the largest prospective current",
            "Icn ≥ Ipf + k × Σ Ir of every device, or Icc ≥ Ipf of the assembly behind the "
            "cut-out's fuse",
        )  # fmt: skip
        yield w.attempt(lambda w=w, key=key, name=name: breaks(w, runs, key, name))  # type: ignore[misc]


def breaks(
    w: Working,
    runs: Runs,
    key: str,
    name: str,
    found: list[tuple[int, Protection]] | None = None,
) -> Check:
    """End with the breaking capacity of the devices of a board, or of those `found` there."""
    ground = w.ground
    conditional = None
    path: tuple[str, object] = ("boards", None)
    for n, board in enumerate(ground.site.boards or ()):
        if board_of(board.id) == key:
            conditional = rating(board.conditional_a)
            path = f"boards[{n}].conditional_a", board.conditional_a
            w.read((path,))
    flows = network_a(w, name if key else "", conditional)
    if flows is None:
        return w.missing()
    if conditional is not None and conditional >= flows:
        w.fact("conditional rating", path[0], conditional, f"{conditional} A")
        w.line(f"The assembly stands {conditional} A behind the cut-out's fuse; {flows} A flow.")
        return w.exactly(flows, conditional, "A")
    devices = found or [
        (i, entry)
        for i, entry in enumerate(ground.site.protection)
        if device_kind(entry) in OVERCURRENT and not on_dc_side(entry)
        if _stands_at(runs, known(entry.serves)) == key
    ]
    rated: list[int] = []
    for i, entry in devices:
        most = rating(entry.breaking_a)
        at = f"protection[{i}]"
        w.read(((f"{at}.kind", entry.kind), (f"{at}.serves", entry.serves)))
        if most is None:
            w.read(((f"{at}.breaking_a", entry.breaking_a),))
        else:
            serves = known(entry.serves) or "the installation"
            w.fact(f"{entry.kind} of {serves}", f"{at}.breaking_a", most, f"breaks {most} A")
            rated.append(most)
    if len(rated) < len(devices) or not devices:
        w.need(f"the breaking capacity of every device at {name}, or its conditional rating", *path)
    added = contribution(w)
    if w.needs or added is None:
        return w.missing()
    w.line(f"{flows} A + {added:.3f} A against {min(rated)} A.")
    return w.exactly(outwards(flows + added, Decimal(1), "at most"), min(rated), "A")


def network_a(w: Working, board: str, conditional: int | None = None) -> int | None:
    """The largest current that the network drives into a fault [A]; only a measured one at the
    origin proves that it is too much."""
    supply = w.ground.site.supply
    stated = rating(supply.prospective_fault_a)
    w.read((("supply.fault_measured", supply.fault_measured),))
    if stated is not None:
        w.fact("prospective fault current", _PROSPECTIVE, stated, f"{stated} A")
    else:
        w.read(((_PROSPECTIVE, supply.prospective_fault_a),))
    key = _declared_key(w.ground)
    found = stated if stated is not None else w.default(key)
    sure = supply.fault_measured is True if stated is not None else key in w.ground.overrides
    if board:
        w.at_most(f"the prospective fault current at {board}")
    elif not sure:
        other = "" if conditional else ", or the conditional rating of the board"
        w.at_most(f"the prospective fault current, measured{other}")
    return found


def board_of(name: str | None) -> str:
    """A board in comparable form: empty for the main one."""
    said = plain(name or "")
    return "" if said in MAIN_NAMES | ORIGIN_NAMES else said


def _stands_at(runs: Runs, serves: str | None) -> str:
    """The board where a device stands: that of its unit, the one before its board, else the main
    one."""
    for output in runs.outputs:
        if output.unit.id == serves:
            return board_of(known(output.unit.feeds_from))
    before, _ = runs.above.get(plain(serves or ""), (MAIN, 0))
    return "" if before in (ORIGIN, MAIN) else before


READINGS = failing(
    "supply-readings",
    "fault",
    "Do the measured loop and the measured fault current of a supply contradict each other?",
)


def readings(ground: Ground) -> Iterator[Check]:
    """Single-phase TN-C-S: the current that was measured flows through the loop that was measured.

    Declared figures do not: one is the largest loop, the other the largest current.
    """
    supply = ground.site.supply
    loop_, fault = rating(supply.loop_impedance_uohm), rating(supply.prospective_fault_a)
    measured = supply.loop_measured is True and supply.fault_measured is True
    one = supply.phases == 1 and known(supply.earthing) == "TN-C-S"
    if not (one and measured and loop_ and fault):
        return
    w = Working(
        ground, READINGS, "supply", "Measured loop beside measured fault current",
        "Z × Ipf = U0 where neutral and earth are one conductor of the network",
    )  # fmt: skip
    w.read((("supply.phases", 1), ("supply.loop_measured", True), ("supply.fault_measured", True)))
    w.fact("earthing", "supply.earthing", "TN-C-S", "TN-C-S")
    w.fact("loop impedance", _LOOP, loop_, amount(Decimal(loop_) / 1_000_000, "ohm"))
    w.fact("prospective fault current", _PROSPECTIVE, fault, f"{fault} A")
    most = w.limit("fault.reading_tolerance")
    if most is None:
        yield w.missing()
        return
    u0 = ground.stated_nominal_v
    drives = Decimal(loop_ * fault) / 1_000_000
    apart = abs(drives - u0) / u0 * 100
    w.line(f"{amount(drives, 'V')} instead of {u0} V: {apart:.1f} % apart. Measure again.")
    yield w.exactly(round(apart, 3), Decimal(most) / 10, "%")


EARTH_LOOP = failing(
    "earth-loop",
    "fault",
    "Is the loop impedance above the largest for its earthing?",
)


def loop(ground: Ground) -> Check:
    """Compare the supply's earth-fault loop with the largest for its earthing; tell the current."""
    supply = ground.site.supply
    w = Working(
        ground, EARTH_LOOP, "supply", "Earth-fault loop impedance of the supply",
        "Ze ≤ the largest for the earthing; smallest current c × U0 / Z",
    )  # fmt: skip
    earthing = known(supply.earthing)
    measured = known(supply.loop_impedance_uohm)
    declared = supply.loop_measured is False
    w.read((("supply.loop_measured", supply.loop_measured),))
    if earthing in (None, "unknown"):
        w.need("the earthing arrangement", "supply.earthing", earthing)
    else:
        w.fact("earthing", "supply.earthing", earthing, str(earthing))
    if not measured:
        w.need("the loop impedance of the supply", _LOOP, measured)
    else:
        w.fact("loop impedance", _LOOP, measured, amount(Decimal(measured) / 1_000_000, "ohm"))
    low = w.limit("fault.voltage_factor_low", "c for the smallest current")
    high = w.limit("fault.voltage_factor_high", "c for the largest current")
    key = LOOPS.get(str(earthing), "")
    most = w.limit(key) if key else None

    def work() -> Check:
        if low is None or high is None:
            return w.missing()
        u0 = float(ground.stated_nominal_v)
        if most is not None:
            least = prospective_a(most / 1_000_000, u0, low / 1000)
            w.line(
                f"At the largest loop impedance at least {least:.2f} A flow: "
                f"{low / 1000:g} × U0 / Z."
            )
        if measured:
            ohm = measured / 1_000_000
            known_as = "declared" if declared else "stated"
            least = prospective_a(ohm, u0, low / 1000)
            w.line(
                f"At the {known_as} one {least:.2f} A at least and "
                f"{prospective_a(ohm, u0, high / 1000):.2f} A at most (c {low / 1000:g} and "
                f"{high / 1000:g})."
            )
        if w.needs:
            return w.missing()
        if most is None:
            w.line("A TT loop goes through the electrode: see the check on that.")
            return w.listed(Decimal(measured or 0) / 1_000_000, "ohm")
        stated, limit = (Decimal(uohm or 0) / 1_000_000 for uohm in (measured, most))
        if declared:
            w.line("Declared, not measured: the operator's own figure.")
            return w.listed(stated, "ohm")
        return w.exactly(stated, limit, "ohm")

    return w.attempt(work)


ELECTRODE = failing(
    "electrode",
    "fault",
    "Is the earth electrode above the largest steady resistance?",
)


RCD_TOUCH = failing(
    "rcd-touch",
    "fault",
    "Can a touch voltage stand before a residual-current device trips?",
)


def electrode(ground: Ground) -> Iterator[Check]:
    """TT: check that the electrode is stable, and that every RCD limits the touch voltage."""
    supply = ground.site.supply
    if known(supply.earthing) != "TT":
        return
    measured = known(supply.loop_impedance_uohm)
    w = Working(ground, ELECTRODE, "supply", "Earth electrode", "RA ≤ the largest steady one")
    _electrode(w, measured)
    limit = w.limit("fault.electrode_limit")
    if not measured or limit is None:
        yield w.missing()
    else:
        yield w.compared(measured / 1_000_000, Decimal(limit) / 1_000_000, "ohm")
    for i, entry in enumerate(ground.site.protection):
        if device_kind(entry) not in ("rcd", "rcbo"):
            continue
        trip = rating(entry.trip_ma)
        of = known(entry.serves) or "the installation"
        w = Working(
            ground, RCD_TOUCH, f"{entry.kind} of {of}",
            "RCD trips before a touch voltage stands", "RA × IΔn ≤ 50 V",
        )  # fmt: skip
        _electrode(w, measured)
        path = f"protection[{i}].trip_ma"
        if trip is None:
            w.need(f"the residual current of the {entry.kind} of {of}", path, entry.trip_ma)
        else:
            w.fact("residual current", path, trip, f"{trip} mA")
        touch = w.limit("fault.touch_voltage")
        if not measured or trip is None or touch is None:
            yield w.missing()
            continue

        def work(w: Working = w, trip: int = trip, touch: int = touch) -> Check:
            ra = (measured or 0) / 1_000_000
            most = largest_electrode_ohm(trip, touch / 1000)
            w.line(
                f"{ra:g} ohm × {trip} mA = {ra * trip / 1000:.3f} V; up to {most:.1f} ohm would do."
            )
            return w.compared(ra * trip / 1000, Decimal(touch) / 1000, "V")

        yield w.attempt(work)


def _electrode(w: Working, measured: int | None) -> None:
    w.fact("earthing", "supply.earthing", "TT", "TT")
    if measured:
        words = amount(Decimal(measured) / 1_000_000, "ohm, the loop standing for the electrode")
        w.fact("resistance", _LOOP, measured, words)
    else:
        w.need("the loop impedance or electrode resistance of the supply", _LOOP, measured)
