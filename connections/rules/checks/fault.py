"""Fault level and earthing; keeps the largest and the smallest current apart everywhere."""

from collections.abc import Iterator
from decimal import Decimal

from connections.electrical.fault_level import (
    contribution_a,
    largest_electrode_ohm,
    prospective_a,
)
from connections.facts.defaults import known, rating
from connections.facts.devices import device_kind
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.runs import Runs
from connections.rules.checks.basis.types import Check, amount
from connections.rules.checks.basis.working import Ground, Working
from connections.rules.checks.circuit import OVERCURRENT

_LOOPS = {"TN-C-S": "fault.loop_tn_c_s", "TN-S": "fault.loop_tn_s"}
_PROSPECTIVE = "supply.prospective_fault_a"
_LOOP = "supply.loop_impedance_uohm"


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check the largest current with the inverters, the breaking devices, loop and electrode."""
    if runs.outputs:
        yield largest(ground, runs)
        yield from breaking(ground, runs)
    yield loop(ground)
    yield from electrode(ground)


def _contribution(w: Working, runs: Runs) -> float | None:
    """Contribution of all inverters on the fullest phase [A]."""
    factor = w.default("fault.inverter_factor")
    ready = runs.state_outputs(w)
    if factor is None or not ready:
        return None
    phases = [0.0] * 3
    for output in runs.outputs:
        each = contribution_a(output.design_a(), factor / 1000) * (output.quantity or 0)
        for k, phase in enumerate(("L1", "L2", "L3")):
            phases[k] += each if phase in output.unit.phases else 0.0
    w.line(f"Inverters add {max(phases):.3f} A on the fullest phase ({factor / 1000:g} × rated).")
    return max(phases)


def _declared_key(ground: Ground) -> str:
    return "fault.network_three" if len(ground.phases) == 3 else "fault.network_single"


LEVEL = failing(
    "fault-level",
    "fault",
    "Is the fault current with the inverters above the declared one?",
)


def largest(ground: Ground, runs: Runs) -> Check:
    """Compare the largest prospective current with inverters with the operator's declared one."""
    w = Working(
        ground, LEVEL, "supply", "Largest prospective current with the inverters",
        "Ipf + k × Σ Ir; a largest current is never taken from the largest loop impedance",
    )  # fmt: skip
    measured = rating(ground.site.supply.prospective_fault_a)
    declared = w.limit(_declared_key(ground), "declared by the network operator")

    def work() -> Check:
        added = _contribution(w, runs)
        if added is not None and declared:
            w.line(f"That is {added / declared:.3%} of the declared {declared} A.")
        if measured is None:
            stated = ground.site.supply.prospective_fault_a
            w.need("the prospective fault current of the supply", _PROSPECTIVE, stated)
        else:
            w.fact("prospective fault current", _PROSPECTIVE, measured, f"{measured} A")
        if measured is None or added is None or declared is None:
            return w.missing()
        w.line(f"{measured} A + {added:.3f} A = {measured + added:.3f} A.")
        return w.compared(measured + added, declared, "A")

    return w.attempt(work)


BREAKING = failing(
    "breaking-capacity",
    "fault",
    "Does a device break less than can flow?",
)


def breaking(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check that devices of the schedule break the largest prospective current."""
    for i, entry in enumerate(ground.site.protection):
        most = rating(entry.breaking_a)
        if most is None or device_kind(entry) not in OVERCURRENT:
            continue
        of = known(entry.serves) or "the installation"
        w = Working(
            ground, BREAKING, f"{entry.kind} of {of}",
            "Device breaks the largest prospective current", "Icn ≥ Ipf + k × Σ Ir",
        )  # fmt: skip
        w.fact("breaking capacity", f"protection[{i}].breaking_a", most, f"{most} A")
        measured = rating(ground.site.supply.prospective_fault_a)
        if measured is not None:
            w.fact("prospective fault current", _PROSPECTIVE, measured, f"{measured} A")
        else:
            w.read(((_PROSPECTIVE, ground.site.supply.prospective_fault_a),))
            measured = w.default(_declared_key(ground))

        def work(w: Working = w, most: int = most, measured: int | None = measured) -> Check:
            added = _contribution(w, runs)
            if added is None or measured is None:
                return w.missing()
            w.line(
                f"{measured} A + {added:.3f} A against {most} A. Where the cut-out's fuse backs "
                "the device up, its maker says up to which current."
            )
            return w.compared(measured + added, most, "A")

        yield w.attempt(work)


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
    key = _LOOPS.get(str(earthing), "")
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
            w.line(
                f"At the measured one {prospective_a(ohm, u0, low / 1000):.2f} A at least and "
                f"{prospective_a(ohm, u0, high / 1000):.2f} A at most (c {low / 1000:g} and "
                f"{high / 1000:g})."
            )
        if w.needs:
            return w.missing()
        if most is None:
            w.line("A TT loop goes through the electrode: see the check on that.")
            return w.listed(Decimal(measured or 0) / 1_000_000, "ohm")
        return w.compared((measured or 0) / 1_000_000, Decimal(most) / 1_000_000, "ohm")

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
        trip = rating(entry.trip_ma)
        if trip is None or device_kind(entry) not in ("rcd", "rcbo"):
            continue
        of = known(entry.serves) or "the installation"
        w = Working(
            ground, RCD_TOUCH, f"{entry.kind} of {of}",
            "RCD trips before a touch voltage stands", "RA × IΔn ≤ 50 V",
        )  # fmt: skip
        _electrode(w, measured)
        w.fact("residual current", f"protection[{i}].trip_ma", trip, f"{trip} mA")
        touch = w.limit("fault.touch_voltage")
        if not measured or touch is None:
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
