"""Export and import of a site's plant, phase by phase, for computed checks."""

from functools import cached_property
from math import hypot

from connections.electrical.circuit import design_current_a
from connections.electrical.power import at_power_factor
from connections.electrical.radial import NOTHING, Three
from connections.facts.defaults import known, part_status, rating, registered_w
from connections.facts.site import Array, Storage, Unit
from connections.rules.checks.basis.types import amount
from connections.rules.checks.basis.working import Ground, Working
from connections.rules.plant import Line

PHASES = ("L1", "L2", "L3")
POWER_FACTOR = "voltage_rise.power_factor"


class Output:
    """The output of the units of one line at full power."""

    def __init__(self, ground: Ground, line: Line) -> None:
        self.ground, self.line, self.unit = ground, line, line.unit
        self.path = f"units[{line.index}]"
        self.rated_w = registered_w(line.unit)
        self.quantity = line.quantity[0] if line.quantity[0] == line.quantity[1] else None
        self.elsewhere = [phase for phase in line.unit.phases if phase not in ground.phases]
        """Phases of the unit that the supply lacks."""
        self.known = self.rated_w is not None and self.quantity is not None and not self.elsewhere
        """Whether capacity and number are known, and the supply has its phases."""
        self._design_a: float | None = None

    @cached_property
    def one(self) -> tuple[float, float]:
        """Real and reactive power of one unit [W, var]; reactive is signed, + is export."""
        rated = float(self.rated_w or 0)
        stated = known(self.unit.q_var)
        if stated is not None:
            return rated, float(stated)
        factor = (self.ground.figure(POWER_FACTOR) or 1000) / 1000
        p, q = at_power_factor(rated, factor, exports_reactive=False)
        return p, q

    def apparent_va(self) -> float:
        """Apparent power of one unit [VA]: the larger of declared and computed."""
        return max(hypot(*self.one), float(rating(self.unit.rated_va) or 0))

    def design_a(self) -> float:
        """Design current of one unit on each of its phases [A]; a declared one wins."""
        if self._design_a is None:
            declared = rating(self.unit.rated_ma)
            self._design_a = design_current_a(
                apparent_va=self.apparent_va(),
                phases=self.line.phases,
                nominal_v=self.ground.stated_nominal_v,
                declared_a=declared / 1000 if declared else None,
            )
        return self._design_a

    def phase_a(self) -> float:
        """The current of all of the line on each of its phases, to be added to others [A].

        At the voltage of phase to neutral, whatever its phases; a declared current wins.
        """
        declared = (rating(self.unit.rated_ma) or 0) / 1000
        usual = self.apparent_va() / self.line.phases / self.ground.stated_nominal_v
        return (declared or usual) * (self.quantity or 0)

    def sent(self) -> tuple[Three, Three]:
        """Power [VA] and current [A] that the line exports on each phase.

        Constant power; constant current if the declared current exceeds the power at nominal
        voltage.
        """
        p, q = self.one
        n = (self.quantity or 0) / self.line.phases
        declared = (rating(self.unit.rated_ma) or 0) / 1000
        usual = hypot(p, q) / self.line.phases / self.ground.nominal_v
        if declared > usual and hypot(p, q) > 0:
            angle = complex(p, -q) / hypot(p, q)
            return NOTHING, self._spread(declared * (self.quantity or 0) * angle)
        return self._spread(complex(p, q) * n), NOTHING

    def _spread(self, each: complex) -> Three:
        on = [each if phase in self.unit.phases else 0j for phase in PHASES]
        return on[0], on[1], on[2]

    def state(self, w: Working) -> bool:
        """Record the output as inputs of a check; return whether all of it is known."""
        w.take(self.ground.stated(self.path, self._state))
        return self.known

    def _state(self, w: Working) -> None:
        unit, path = self.unit, self.path
        if self.rated_w is None:
            w.need(f"the registered capacity of {unit.id}", f"{path}.rated_w", unit.rated_w)
        else:
            name, value = ("rated_w", unit.rated_w) if rating(unit.rated_w) else ("rated_va", None)
            value = value if name == "rated_w" else known(unit.rated_va)
            w.fact(
                f"registered capacity of {unit.id}",
                f"{path}.{name}",
                value,
                amount(self.rated_w / 1000, "kW"),
            )
        if self.quantity is None:
            w.need(f"how many units {unit.id} stands for", f"{path}.quantity", unit.quantity)
        elif self.quantity != 1:
            w.fact(f"number of {unit.id}", f"{path}.quantity", unit.quantity, str(self.quantity))
        if self.elsewhere:
            w.need(f"phases of {unit.id} that the supply has", f"{path}.phases", tuple(unit.phases))
        w.read(((f"{path}.phases", tuple(unit.phases)), ("supply.phases", len(w.ground.phases))))
        stated = known(unit.q_var)
        if stated is not None:
            w.fact(
                f"reactive power of {unit.id}",
                f"{path}.q_var",
                stated,
                f"{amount(abs(stated) / 1000, 'kvar')} {'absorbed' if stated < 0 else 'exported'}",
            )
        else:
            w.read(((f"{path}.q_var", unit.q_var),))
            w.default(POWER_FACTOR)
        declared = rating(unit.rated_ma)
        w.read(((f"{path}.rated_ma", unit.rated_ma),))
        if declared:
            w.fact(
                f"declared current of {unit.id}",
                f"{path}.rated_ma",
                declared,
                amount(declared / 1000, "A a phase"),
            )


def outputs_of(ground: Ground) -> list[Output]:
    """The counted lines of a site, made once."""
    return ground.once(_outputs)


def _outputs(ground: Ground) -> list[Output]:
    return [Output(ground, line) for line in ground.lines]


def cells_behind(ground: Ground, unit: Unit) -> list[tuple[int, Storage]]:
    """The remaining and proposed cells behind a unit."""
    return [
        (i, cells)
        for i, cells in enumerate(ground.site.storage)
        if cells.unit_id == unit.id and part_status(cells.status, unit) != "removed"
    ]


def panels_behind(ground: Ground, unit: Unit) -> list[tuple[int, Array]]:
    """The remaining and proposed panels behind a unit."""
    return [
        (i, array)
        for i, array in enumerate(ground.site.arrays)
        if array.unit_id == unit.id and part_status(array.status, unit) != "removed"
    ]


def tap_of(ground: Ground, unit: Unit) -> str | None:
    """Where the circuit of a unit's cells leaves the tails; None if not known, or told both
    ways."""
    taps = {tap for _, cells in cells_behind(ground, unit) if (tap := known(cells.tap))}
    return taps.pop() if len(taps) == 1 else None


def read_tap(w: Working, unit: Unit) -> None:
    """Record where the circuit of a unit's cells leaves the tails."""
    w.read((f"storage[{i}].tap", cells.tap) for i, cells in cells_behind(w.ground, unit))


def charging_w(ground: Ground, output: Output) -> float | None:
    """Power that a line takes from the network to charge its cells [W], at most its rating.

    0 without cells, or if they are known not to charge from the network; None if the rating is not
    known.
    """
    parts = cells_behind(ground, output.unit)
    has_cells = bool(parts) or output.unit.source in ("storage", "pv+storage", "vehicle")
    if not has_cells or (parts and all(c.charges_from_grid is False for _, c in parts)):
        return 0.0
    if output.rated_w is None or output.quantity is None:
        return None
    powers = [rating(cells.charge_w) for _, cells in parts if cells.charges_from_grid is not False]
    whole = float(output.rated_w * output.quantity)
    if not powers or any(power is None for power in powers):
        return whole
    return min(whole, float(sum(power for power in powers if power)))


def read_cells(w: Working, output: Output) -> None:
    """Record the facts of the cells behind a line, and the defaults for those left out."""
    unit = output.unit
    for i, cells in cells_behind(w.ground, unit):
        path = f"storage[{i}]"
        w.read(((f"{path}.unit_id", cells.unit_id),))
        if rating(cells.charge_w):
            w.fact(
                f"charging power of {unit.id}",
                f"{path}.charge_w",
                cells.charge_w,
                amount((rating(cells.charge_w) or 0) / 1000, "kW"),
            )
        else:
            w.taken(
                f"charging power of {unit.id}", f"{path}.charge_w", cells.charge_w, "its rating"
            )
        if known(cells.charges_from_grid) is None:
            w.taken(
                f"charging of {unit.id} from the network",
                f"{path}.charges_from_grid",
                cells.charges_from_grid,
                "yes",
            )
        else:
            w.read(((f"{path}.charges_from_grid", cells.charges_from_grid),))


def through_phases(ground: Ground, phases: tuple[str, ...], w_total: float) -> list[float]:
    """The current of a power on each phase [A], shared among its phases.

    At the voltage of phase to neutral throughout, so that currents of one and of three phases add.
    """
    each = w_total / len(phases) / ground.stated_nominal_v if phases else 0.0
    return [each if phase in phases else 0.0 for phase in PHASES]
