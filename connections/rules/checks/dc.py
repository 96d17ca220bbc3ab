"""The DC side, as far as it matters to the application."""

from collections.abc import Iterator

from connections.facts.defaults import rating
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import Output, cells_behind, panels_behind
from connections.rules.checks.basis.runs import Runs
from connections.rules.checks.basis.types import Check, CheckKind, amount
from connections.rules.checks.basis.working import Ground, Working


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check panels against the inverter's input, and sources weaker than the inverter."""
    for output in runs.outputs:
        yield from panels(ground, output)
        yield from source(ground, output)


INPUT = failing(
    "dc-input",
    "dc",
    "Are the panels above what the inverter's inputs take?",
)


def panels(ground: Ground, output: Output) -> Iterator[Check]:
    """Compare the peak power of the panels with the limit of the inverter's inputs."""
    unit = output.unit
    arrays = panels_behind(ground, unit)
    if not arrays:
        return
    w = Working(
        ground, INPUT, unit.id, "Panels against the inverter's input",
        "Σ peak power of the panels ≤ number of units × largest input of one",
    )  # fmt: skip
    total = 0
    for i, array in arrays:
        peak = rating(array.peak_w)
        w.read(((f"arrays[{i}].unit_id", array.unit_id),))
        if peak is None:
            w.need(f"the peak power of the panels behind {unit.id}", f"arrays[{i}].peak_w")
        else:
            total += peak
            words = amount(peak / 1000, "kWp")
            w.fact(f"panels {i + 1}", f"arrays[{i}].peak_w", peak, words)
    most = rating(unit.dc_input_w)
    if most is None:
        w.need(f"the largest input of {unit.id}", f"{output.path}.dc_input_w", unit.dc_input_w)
    else:
        words = amount(most / 1000, "kW")
        w.fact("largest input", f"{output.path}.dc_input_w", most, words)
    if output.quantity is None:
        w.need(f"how many units {unit.id} stands for", f"{output.path}.quantity", unit.quantity)
    if w.needs or most is None:
        yield w.missing()
        return
    w.read(((f"{output.path}.quantity", unit.quantity),))
    yield w.exactly(total, most * (output.quantity or 1), "W")


SOURCE = CheckKind("dc-source", "dc")


def source(ground: Ground, output: Output) -> Iterator[Check]:
    """Tell of cells weaker than the inverter, since the inverter's rating counts."""
    unit = output.unit
    cells = cells_behind(ground, unit)
    powers = [(i, rating(one.discharge_w)) for i, one in cells]
    if not cells or unit.source != "storage" or not output.known:
        return
    if any(power is None for _, power in powers):
        return
    whole = (output.rated_w or 0) * (output.quantity or 0)
    total = sum(power or 0 for _, power in powers)
    if total >= whole:
        return
    w = Working(
        ground, SOURCE, unit.id, "Energy source below its inverter",
        "Σ discharging power of the cells beside the inverter's registered capacity",
    )  # fmt: skip
    for i, power in powers:
        words = amount((power or 0) / 1000, "kW")
        w.fact("discharging power", f"storage[{i}].discharge_w", power, words)
    w.fact(
        "registered capacity", f"{output.path}.rated_w", unit.rated_w, amount(whole / 1000, "kW")
    )
    w.line("The inverter's rating still counts; the lesser figure is for information.")
    yield w.listed()
