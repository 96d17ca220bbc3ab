"""The loop of line and neutral up to the supply terminals, and what it is known from."""

from math import ceil

from connections.electrical.conductors import Impedance
from connections.facts.defaults import known, rating
from connections.rules.checks.basis.types import amount
from connections.rules.checks.basis.working import GATHERED, Ground, Working

REFERENCE = ("voltage_rise.reference_resistance", "voltage_rise.reference_reactance")
_PATH = "supply.line_neutral_uohm"
_MEASURE = "the loop of line and neutral, measured"


def supply_loop(ground: Ground, w: Working) -> Impedance | None:
    """Record the loop of line and neutral; None if nothing tells it."""
    stated, loop = ground.once(_known)
    w.take(stated)
    return loop


def _known(ground: Ground) -> tuple[Working, Impedance | None]:
    w = Working(ground, GATHERED, "", "")
    return w, _loop(ground, w)


def _loop(ground: Ground, w: Working) -> Impedance | None:
    """The loop of line and neutral. Without a reactance, only its modulus is known.

    In order: as stated; the earth loop of a TN-C-S supply, whose neutral is its earth; nominal
    voltage over a measured fault current; the network's largest. The last only proves that a limit
    is kept. A TN-S or TT earth loop never stands for it: its return is not the neutral.
    """
    supply = ground.site.supply
    stated = rating(supply.line_neutral_uohm)
    if stated:
        w.fact("loop of line and neutral", _PATH, stated, amount(stated / 1_000_000, "ohm"))
        return Impedance(stated / 1_000_000, 0.0)
    earthing = known(supply.earthing)
    w.read(((_PATH, supply.line_neutral_uohm), ("supply.earthing", earthing)))
    loop = rating(supply.loop_impedance_uohm) if earthing == "TN-C-S" else None
    declared = supply.loop_measured is False
    fault = rating(supply.prospective_fault_a) if len(ground.phases) < 3 else None
    if fault and supply.fault_measured is True and (loop is None or declared):
        w.fact("prospective fault current", "supply.prospective_fault_a", fault, f"{fault} A")
        w.read((("supply.fault_measured", True),))
        # A tester divides the nominal voltage by the loop that it measures.
        uohm = ceil(ground.stated_nominal_v * 1_000_000 / fault)
        words = amount(
            uohm / 1_000_000, f"ohm: {ground.stated_nominal_v} V / {fault} A as measured"
        )
        w.computed("loop of line and neutral", words)
        return Impedance(uohm / 1_000_000, 0.0)
    if loop:
        words = amount(loop / 1_000_000, "ohm, declared" if declared else "ohm")
        w.fact("loop impedance of the supply", "supply.loop_impedance_uohm", loop, words)
        w.read((("supply.loop_measured", supply.loop_measured),))
        if declared:
            w.at_most(_MEASURE)
        return Impedance(loop / 1_000_000, 0.0)
    w.read((("supply.fault_measured", supply.fault_measured),))
    if any(ground.held(key) is None for key in REFERENCE):
        w.need(_MEASURE, _PATH, supply.line_neutral_uohm)
        return None
    r, x = (w.default(key) or 0 for key in REFERENCE)
    if not any(key in ground.overrides for key in REFERENCE):
        w.at_most(_MEASURE)
    return Impedance(r / 1_000_000, x / 1_000_000)
