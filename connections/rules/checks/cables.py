"""Cables: the capacity of each as installed, and whether it withstands a fault."""

from collections.abc import Iterator
from decimal import Decimal
from math import sqrt

from connections.electrical.circuit import (
    ADIABATIC_K,
    adiabatic_csa_mm2,
    capacity_a,
    conductor_rating_a,
)
from connections.electrical.electrical_errors import ElectricalError
from connections.facts.defaults import known, rating
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import PHASES, Output
from connections.rules.checks.basis.runs import Runs, insulation_of, material_of, size_of
from connections.rules.checks.basis.types import Check
from connections.rules.checks.basis.working import Ground, Working
from connections.rules.checks.circuit import devices_of, state_rating

HOTTEST_C = 70.0
"""Assumed rating of terminals [°C] (BS 7671 523.1, secondary). A 90 °C cable therefore counts at
its 70 °C capacity unless the facts say otherwise."""


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check that each cable of a unit carries the current of its device, and withstands its
    faults."""
    for i in range(len(ground.site.cables)):
        sharing = [o for o in runs.outputs if i in runs.ways[o.unit.id].cables]
        if sharing:
            yield _capacity(ground, runs, sharing, i)
        if len(sharing) == 1:
            yield _withstand(ground, runs, i)


CAPACITY = failing(
    "cable-capacity",
    "circuit",
    "Does a cable carry less than its device lets through?",
)


def _capacity(ground: Ground, runs: Runs, sharing: list[Output], i: int) -> Check:
    cable = ground.site.cables[i]
    subject = f"{cable.from_} to {cable.to}"
    w = Working(
        ground, CAPACITY, subject, "Cable carries what its device lets through",
        "In ≤ Iz, or Ib ≤ Iz where no device is stated; Iz = tabulated capacity × factors. "
        "I2 ≤ 1.45 Iz follows for circuit-breakers and fuses of general use",
    )  # fmt: skip
    runs.state_cable(w, i)
    ready = True
    for output in sharing:
        ready = output.state(w) and ready
    phases = {phase for output in sharing for phase in output.unit.phases}
    found = devices_of(ground, sharing[0].unit.id) if len(sharing) == 1 else []
    for index, entry in found:
        state_rating(w, index, entry)
    rated = [value for _, entry in found if (value := rating(entry.rating_a))]
    capacity = _Capacity(w, i, 3 if len(phases) == 3 else 2)

    def work() -> Check:
        if not ready or w.needs:
            return w.missing()
        carried = [0.0, 0.0, 0.0]
        for output in sharing:
            for k, phase in enumerate(PHASES):
                if phase in output.unit.phases:
                    carried[k] += output.design_a() * (output.quantity or 1)
        through = float(max(rated)) if rated else max(carried)
        what = "the device" if rated else "the design current, no device being stated"
        if rated and max(carried) > through:
            through, what = max(carried), "the design current, above the device"
        carries = capacity()
        w.line(f"{through:.3f} A ({what}) through a cable that carries {carries:.3f} A.")
        return w.compared(through, Decimal(f"{carries:.3f}"), "A")

    return w.attempt(work)


class _Capacity:
    """The capacity of a cable as installed: the designer's figure, or the table's with factors."""

    def __init__(self, w: Working, i: int, loaded: int) -> None:
        self.w, self.loaded = w, loaded
        self.cable = w.ground.site.cables[i]
        path = f"cables[{i}]"
        cable = self.cable
        self.own = rating(cable.capacity_a)
        w.read(
            (f"{path}.{name}", getattr(cable, name))
            for name in ("capacity_a", "method", "ambient_c", "grouped")
        )
        self.method = (known(cable.method) or "").strip().upper()[:1]
        self.grouping: float | None = 1.0
        self.ambient_c = 30
        if self.own:
            w.fact("the designer's capacity", f"{path}.capacity_a", self.own, f"{self.own} A")
            return
        if not self.method:
            w.need(f"how the cable {cable.from_} to {cable.to} is laid", f"{path}.method")
        else:
            w.fact("reference method", f"{path}.method", cable.method, self.method)
        if insulation_of(cable) is None:
            w.need(f"the insulation of the cable {cable.from_} to {cable.to}", f"{path}.insulation")
        self._factors(path)

    def _factors(self, path: str) -> None:
        w, cable = self.w, self.cable
        stated = known(cable.ambient_c)
        if stated is not None:
            self.ambient_c = stated
            w.fact("temperature around it", f"{path}.ambient_c", stated, f"{stated} °C")
        else:
            ground = self.method == "D"
            found = w.default("cable.ambient_ground" if ground else "cable.ambient_air")
            self.ambient_c = found if found is not None else (20 if ground else 30)
        together = known(cable.grouped) or 1
        if together > 1:
            w.fact("circuits together", f"{path}.grouped", together, str(together))
            factors = w.words("cable.grouping")
            if together > len(factors):
                w.need(f"the factor for {together} circuits together, or the designer's capacity")
            else:
                self.grouping = float(factors[together - 1])
                w.computed("factor for grouping", factors[together - 1])

    def __call__(self) -> float:
        if self.own:
            return float(self.own)
        insulation = insulation_of(self.cable) or "pvc"
        material = material_of(self.cable) or "copper"
        table = conductor_rating_a(
            self.method, size_of(self.cable), insulation, self.loaded, material=material
        )
        basis = 20.0 if self.method == "D" else 30.0
        if self.ambient_c >= HOTTEST_C:
            raise ElectricalError(
                "ambient_c", f"{self.ambient_c} °C around a cable leaves nothing to carry"
            )
        ambient = sqrt((HOTTEST_C - self.ambient_c) / (HOTTEST_C - basis))
        factors = {"ambient": min(ambient, 1.5), "grouping": self.grouping or 1.0}
        carries = capacity_a(table, factors)
        self.w.line(
            f"Tabulated {table} A (armoured cable, method {self.method}, terminals of 70 °C) × "
            f"{ambient:.3f} for {self.ambient_c} °C × {factors['grouping']:.2f} for grouping = "
            f"{carries:.3f} A."
        )
        return carries


WITHSTAND = failing(
    "cable-withstand",
    "circuit",
    "Does a cable not withstand a fault until its device opens?",
)


def _withstand(ground: Ground, runs: Runs, i: int) -> Check:
    cable = ground.site.cables[i]
    w = Working(
        ground, WITHSTAND, f"{cable.from_} to {cable.to}",
        "Cable withstands a fault until the device opens", "S ≥ √(I² t) / k",
    )  # fmt: skip
    runs.state_cable(w, i)
    supply = ground.site.supply
    fault = rating(supply.prospective_fault_a)
    if fault is None:
        w.need(
            "the prospective fault current of the supply",
            "supply.prospective_fault_a",
            supply.prospective_fault_a,
        )
    else:
        w.fact("prospective fault current", "supply.prospective_fault_a", fault, f"{fault} A")
    time = w.default("cable.fault_time")
    k = ADIABATIC_K.get((material_of(cable) or "copper", insulation_of(cable) or ""))
    if k is None:
        w.need(f"conductor and insulation of the cable {cable.from_} to {cable.to}")
    else:
        w.computed("k", f"{k} (BS 7671 table 43.1, secondary)")
    try:
        size = Decimal(size_of(cable))
    except ArithmeticError:
        w.need(f"the size of the cable {cable.from_} to {cable.to}", f"cables[{i}].csa_mm2")
        size = Decimal(0)
    if w.needs or fault is None or time is None or k is None:
        return w.missing()

    def work() -> Check:
        least = adiabatic_csa_mm2(fault, time / 1000, k)
        w.line(f"√({fault}² × {time / 1000:g}) / {k} = {least:.3f} mm² beside {size} mm².")
        return w.compared(least, size, "mm²")

    return w.attempt(work)
