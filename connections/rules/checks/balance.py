"""Balance and neutral: worst export, worst import and both at once; voltage unbalance.

The largest imbalance of the phases is a finding of the procedure
(`connections.rules.findings.balance`); this module derives the neutral current and the voltages.
"""

from collections.abc import Iterator
from decimal import Decimal
from itertools import product

from connections.electrical.four_wire import neutral_current_a
from connections.facts.defaults import rating
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import PHASES
from connections.rules.checks.basis.runs import ORIGIN, Runs
from connections.rules.checks.basis.types import Check, Level, PlotData, Series, bars
from connections.rules.checks.basis.working import GATHERED, Ground, Working
from connections.rules.checks.demand import demand_of


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check the neutral of a supply with several phases, and its voltage unbalance."""
    if len(ground.phases) < 2 or not runs.outputs:
        return
    yield neutral(ground, runs)
    if len(ground.phases) == 3:
        yield unbalance(ground, runs)


NEUTRAL = failing(
    "neutral-current",
    "balance",
    "Is the largest neutral current above the cut-out?",
)


def neutral(ground: Ground, runs: Runs) -> Check:
    """Compare the largest neutral current with the cut-out's rating."""
    w = Working(
        ground, NEUTRAL, "supply", "Largest neutral current",
        "√(a² + b² + c² − ab − bc − ca) for three phases, the difference for two; each phase "
        "anywhere between all of its single-phase plant and all that charges or is listed on it",
    )  # fmt: skip
    cutout = ground.site.supply.cutout_a
    rated = rating(cutout)
    if rated is None:
        w.need("the rating of the cut-out", "supply.cutout_a", cutout)
    else:
        w.fact("rating of the cut-out", "supply.cutout_a", cutout, f"{rated} A")
    ready = runs.state_outputs(w)
    if not ready:
        return w.missing()

    def work() -> Check:
        count = len(ground.phases)
        export = [0.0, 0.0, 0.0]
        alone: dict[str, list[float]] = {}
        for output in runs.outputs:
            if output.line.phases < count:  # equal phases load no neutral
                for k, phase in enumerate(PHASES):
                    if phase in output.unit.phases:
                        amps = output.design_a() * (output.quantity or 0)
                        export[k] += amps
                        alone.setdefault(output.unit.source, [0.0] * 3)[k] += amps
        take = _imports(ground, w)
        for source, on_each in alone.items():
            words = ", ".join(f"{p} {on_each[k]:.3f} A" for k, p in enumerate(ground.phases))
            found = _neutral(tuple(on_each[:count]))
            w.line(f"{source.replace('+', ' and ')} alone: {words}; neutral {found:.3f} A")
        cases = {
            "export": [(0.0, export[k]) for k in range(count)],
            "import": [(-take[k], 0.0) for k in range(count)],
            "export and import at once": [(-take[k], export[k]) for k in range(count)],
        }
        w.line(f"All together: neutral {_neutral(tuple(export[:count])):.3f} A")
        worst = 0.0
        for name, ranges in cases.items():
            found, corner = max((_neutral(c), c) for c in product(*ranges))
            worst = max(worst, found)
            words = ", ".join(f"{p} {a:+.3f} A" for p, a in zip(ground.phases, corner, strict=True))
            w.line(f"Worst {name}: {words}; neutral {found:.3f} A")
        w.plot = PlotData(
            kind="bars",
            x_unit="phase",
            y_unit="A",
            series=(
                Series("export", bars(ground.phases, export)),
                Series("import", bars(ground.phases, take)),
            ),
            levels=(Level("cut-out", float(rated)),) if rated else (),
        )
        if rated is None:
            return w.missing()
        return w.compared(worst, rated, "A")

    return w.attempt(work)


def _neutral(currents: tuple[float, ...]) -> float:
    if len(currents) == 2:
        return abs(currents[0] - currents[1])
    return neutral_current_a(*currents)


def _imports(ground: Ground, w: Working) -> list[float]:
    """Charging, charge points and heat pumps on fewer phases than the supply has [A], as far as
    known; the workings name the rest. Assumes ordinary demand to be balanced."""
    side = Working(ground, GATHERED, "", "")
    demand = demand_of(ground, side)
    w.read(side.reads.items())
    for words in side.needs:
        if "assessed or measured" in words:
            continue
        w.line(f"Import leaves out what is not known: {words}.")
    return demand.uneven


UNBALANCE = failing(
    "voltage-unbalance",
    "balance",
    "Are the voltages of three phases further out of balance than the limit?",
)


def unbalance(ground: Ground, runs: Runs) -> Check:
    """The voltages at the supply terminals with all plant at full output."""
    w = Working(
        ground, UNBALANCE, "supply", "Voltage unbalance at the terminals",
        "negative over positive sequence of the voltages, solved with the neutral",
    )  # fmt: skip
    limit = w.limit("voltage_rise.unbalance_limit")
    service = runs.service(w)
    ready = runs.state_outputs(w)
    if limit is None or service is None or not ready:
        return w.missing()

    def work() -> Check:
        here = runs.voltages(ground.nominal_v, service=service)[ORIGIN]
        volts = ", ".join(f"{p} {v:.3f} V" for p, v in zip(PHASES, here.v, strict=True))
        w.line(f"{volts}; neutral {here.neutral_a:.3f} A; {here.unbalance:.4%}")
        return w.compared(here.unbalance * 100, Decimal(limit or 0) / 10, "%")

    return w.attempt(work)
