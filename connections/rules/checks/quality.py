"""Power quality: standards declared, the supply's impedance, and the step when plant trips."""

import re
from collections.abc import Iterator
from decimal import Decimal

from connections.facts.defaults import known
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import Output
from connections.rules.checks.basis.runs import ORIGIN, Runs
from connections.rules.checks.basis.supply_loop import supply_loop
from connections.rules.checks.basis.types import Check, amount
from connections.rules.checks.basis.working import Ground, Working


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check every unit's declarations, and the voltage step of the site."""
    for output in runs.outputs:
        yield emissions(ground, output)
        yield from impedance(ground, output)
    if runs.outputs:
        yield step(ground, runs)


EMISSIONS = failing(
    "emissions",
    "quality",
    "Are standards on harmonics and flicker not declared, or not for such a unit?",
)


def emissions(ground: Ground, output: Output) -> Check:
    """Check the declared standards on harmonics and flicker against a unit's size."""
    unit = output.unit
    w = Working(
        ground, EMISSIONS, unit.id, "Standards on harmonics and flicker",
        "the standards for equipment of this current",
    )  # fmt: skip
    small, large = (
        w.limit("quality.small_up_to", "small up to"),
        w.limit("quality.large_up_to", "larger up to"),
    )
    ready = output.state(w)
    path = f"{output.path}.emission_standards"
    stated = known(unit.emission_standards)
    if stated is not None:
        w.fact(f"declared by {unit.id}", path, list(stated), ", ".join(stated) or "none")
    if small is None or large is None or not ready:
        return w.missing()

    def work() -> Check:
        current_ma = output.design_a() * 1000
        is_small = current_ma <= small + 0.5
        wanted = w.words("quality.small_standards" if is_small else "quality.large_standards")
        w.line(f"{current_ma / 1000:.3f} A a phase: {' and '.join(wanted)}.")
        if current_ma > large + 0.5 and not output.line.existing:
            return w.lacks(
                f"the emissions of {unit.id}, at {current_ma / 1000:.3f} A a phase, are above what "
                "these standards cover: they are assessed one by one"
            )
        # A unit within the stricter standards of small equipment also meets the others.
        small_ones = w.words("quality.small_standards")
        declared = {_number(text) for text in stated or ()}
        if declared >= {_number(name) for name in wanted} or (
            declared >= {_number(name) for name in small_ones}
        ):
            return w.there()
        absent = [name for name in wanted if _number(name) not in declared]
        if is_small and stated is None:
            w.need(f"the standards on harmonics and flicker that {unit.id} is declared to", path)
            return w.missing()
        w.read(((path, None if stated is None else list(stated)),))
        if output.line.existing:
            w.line("Existing plant: what was declared when it was connected is not asked again.")
            return w.listed()
        return w.lacks(f"no declaration to {' and '.join(absent)} is named for {unit.id}")

    return w.attempt(work)


def _number(text: str) -> str:
    """The number of a standard in free text: "BS EN 61000-3-2:2019" is 61000-3-2."""
    found = re.search(r"61000-3-\d+", text)
    return found[0] if found else text.strip()


IMPEDANCE = failing(
    "supply-impedance",
    "quality",
    "Is the loop impedance above what a unit allows?",
)


def impedance(ground: Ground, output: Output) -> Iterator[Check]:
    """The largest supply impedance under which a unit keeps its standards."""
    unit = output.unit
    most = known(unit.max_impedance_uohm)
    if not most:
        return
    w = Working(
        ground, IMPEDANCE, unit.id, "Supply impedance that the unit allows",
        "loop impedance of the supply ≤ the largest one declared",
    )  # fmt: skip
    words = amount(Decimal(most) / 1_000_000, "ohm")
    w.fact("largest declared", f"{output.path}.max_impedance_uohm", most, words)
    loop = supply_loop(ground, w)
    if loop is None:
        yield w.missing()
        return
    yield w.compared(loop.modulus_ohm, Decimal(most) / 1_000_000, "ohm")


STEP = failing(
    "voltage-step",
    "quality",
    "Is the voltage step above its limit when all plant trips?",
)


def step(ground: Ground, runs: Runs) -> Check:
    """The step at the supply terminals when all plant trips at once."""
    w = Working(
        ground, STEP, "supply", "Voltage step when all plant trips at once",
        "ΔV = V with all plant at full output − V without, over the loop of the supply",
    )  # fmt: skip
    limit = w.limit("voltage_rise.step_limit")
    service = runs.service(w)
    ready = runs.state_outputs(w)
    if limit is None or service is None or not ready:
        return w.missing()

    def work() -> Check:
        nominal = ground.nominal_v
        here = runs.voltages(nominal, service=service)[ORIGIN]
        steps = [abs(v - nominal) for v in here.v[: len(ground.phases)]]
        for phase, change in zip(ground.phases, steps, strict=True):
            w.line(f"{phase}: {change:.3f} V, {change / nominal:.4%} of {nominal:.3f} V")
        return w.compared(max(steps) / nominal * 100, Decimal(limit or 0) / 10, "%", of_v=nominal)

    return w.attempt(work)
