"""Cables: the capacity of each as installed, and whether it withstands a fault."""

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from math import sqrt

from connections.electrical.circuit import ADIABATIC_K, adiabatic_csa_mm2, capacity_a
from connections.electrical.electrical_errors import ElectricalError
from connections.electrical.rounding import outwards
from connections.facts.defaults import known, rating
from connections.facts.devices import plain
from connections.facts.site import Cable
from connections.rules.checks.basis.failing import failing
from connections.rules.checks.basis.plant import PHASES, Output
from connections.rules.checks.basis.runs import Runs, insulation_of, material_of, size_of
from connections.rules.checks.basis.types import Check
from connections.rules.checks.basis.working import STEP, Ground, Working
from connections.rules.checks.circuit import devices_of, state_rating
from connections.rules.figures import listed

HOTTEST_C = 70.0
"""Assumed rating of terminals [°C] (BS 7671 523.1, secondary). A 90 °C cable therefore counts at
its 70 °C capacity, and the tables are those for 70 °C."""

SINGLES = "singles"
TABLES = {
    "flat twin and earth": "cable.capacity_flat",
    "unarmoured": "cable.capacity_unarmoured",
    "armoured": "cable.capacity_armoured",
    SINGLES: "cable.capacity_singles",
}
"""Kinds of cable, and the keys of their tables."""

_SAID = {
    "unarmoured": ("unarmoured", "non armoured", "multicore"),
    "armoured": ("armoured", "swa"),
    "flat twin and earth": ("flat", "twin and earth", "t e"),
    SINGLES: ("single core", "singles", "tails"),
}
"""Words that name a kind of cable where its insulation or laying is described, in the order of
reading. Our choice."""

_METHOD = re.compile(r"(10[0-3]|[A-G])[12]?")
LOFT = ("100", "101")
"""Methods above a ceiling, under its insulation."""
AIR_C = 30.0
"""Temperature of the air that the tables are for [°C]."""
_AMPS = re.compile(r"(\S+) mm² (\S+) A")


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
                    alone = output.design_a() * (output.quantity or 1)
                    carried[k] += alone if len(sharing) == 1 else output.phase_a()
        through = float(max(rated)) if rated else max(carried)
        what = "the device" if rated else "the design current, no device being stated"
        if rated and max(carried) > through:
            through, what = max(carried), "the design current, above the device"
        carries = capacity.beside(through)
        if carries is None:
            return w.missing()
        w.line(f"{through:.3f} A ({what}) through a cable that carries {carries} A.")
        if rated and through == max(rated) and carries == int(carries):
            return w.exactly(int(through), int(carries), "A")
        return w.compared(through, carries, "A")

    return w.attempt(work)


class _Capacity:
    """The capacity of a cable as installed: the designer's figure, or the table's with factors.

    Where the facts leave open what kind of cable it is, or how it is laid, each way that they allow
    is looked at.
    """

    def __init__(self, w: Working, i: int, loaded: int) -> None:
        self.w, self.loaded = w, loaded
        self.cable = cable = w.ground.site.cables[i]
        self.name = f"{cable.from_} to {cable.to}"
        path = f"cables[{i}]"
        self.own = rating(cable.capacity_a)
        w.read(
            (f"{path}.{name}", getattr(cable, name))
            for name in ("capacity_a", "method", "cores", "ambient_c", "grouped")
        )
        self.grouping = 1.0
        self.stated_c = known(cable.ambient_c)
        if self.own:
            w.fact("the designer's capacity", f"{path}.capacity_a", self.own, f"{self.own} A")
            return
        self.method = method_of(cable)
        if self.method:
            w.fact("reference method", f"{path}.method", cable.method, self.method)
        if insulation_of(cable) is None:
            w.need(f"the insulation of the cable {self.name}", f"{path}.insulation")
        material = material_of(cable) or "copper"
        if material != "copper":
            w.need(f"no table is held for {material} cables; enter the designer's figure")
        self._factors(path)

    def _factors(self, path: str) -> None:
        w, cable = self.w, self.cable
        if self.stated_c is not None:
            w.fact(
                "temperature around it", f"{path}.ambient_c", self.stated_c, f"{self.stated_c} °C"
            )
        together = known(cable.grouped) or 1
        if together > 1:
            w.fact("circuits together", f"{path}.grouped", together, str(together))
            factors = w.words("cable.grouping")
            if together > len(factors):
                w.need(f"the factor for {together} circuits together, or the designer's capacity")
            else:
                self.grouping = float(factors[together - 1])
                w.computed("factor for grouping", factors[together - 1])

    def beside(self, through_a: float) -> Decimal | None:
        """The capacity that a current is compared with [A].

        Of several ways to read the facts the least if the current passes by all, the largest if it
        passes by none; None, and a need, if they differ.
        """
        if self.own:
            return Decimal(self.own)
        size = size_of(self.cable)
        tables = {
            (kind, method): sizes[size]
            for kind, key in self._kinds()
            for (method, loaded), sizes in _table(self.w.words(key)).items()
            if loaded == self.loaded and self.method in ("", method) and size in sizes
        }
        if not tables:
            self.w.need(
                f"no capacity is held for {size} mm² with {self.loaded} loaded conductors, laid as "
                f"the cable {self.name} is; enter the designer's figure"
            )
            return None
        ways = {way: self._carries(way[1], table) for way, table in tables.items()}
        asked = outwards(through_a, STEP, "at most")
        passes = [way for way in ways if asked <= ways[way]]
        if passes and len(passes) < len(ways):
            self.w.need(
                f"how the cable {self.name} is laid, and of which kind it is: {through_a:g} A "
                f"passes {_told(ways, passes)}, fails "
                f"{_told(ways, [way for way in ways if way not in passes])}: which is it?"
            )
            return None
        chosen = (min if passes else max)(ways, key=lambda way: ways[way])
        if len(ways) > 1:
            whether = "passes" if passes else "fails"
            self.w.line(f"{whether.capitalize()} {_told(ways, list(ways))}; of these counts:")
        kind, method = chosen
        around, factor = self._ambient(method)
        self.w.line(
            f"Tabulated {tables[chosen]:g} A ({kind}, method {method}, terminals of 70 °C) × "
            f"{factor:.3f} for {around:g} °C × {self.grouping:.2f} for grouping = "
            f"{ways[chosen]} A."
        )
        if passes and method in LOFT and self.stated_c is None:
            share = through_a / (tables[chosen] * self.grouping)
            hottest = HOTTEST_C - (HOTTEST_C - AIR_C) * share**2
            self.w.line(f"A loft gets warmer in summer: this holds up to {hottest:.0f} °C.")
        return ways[chosen]

    def _kinds(self) -> list[tuple[str, str]]:
        """The kinds of cable that the facts allow, with the keys of their tables."""
        said, cores = kind_of(self.cable), known(self.cable.cores)
        allowed = (
            [said] if said else [k for k in TABLES if not cores or (cores == 1) is (k == SINGLES)]
        )
        return [(kind, TABLES[kind]) for kind in allowed]

    def _ambient(self, method: str) -> tuple[float, float]:
        """The temperature around the cable [°C], and the factor that it gives."""
        ground = method == "D"
        around, basis = self.stated_c, 20.0 if ground else AIR_C
        if around is None:
            around = self.w.default("cable.ambient_ground" if ground else "cable.ambient_air")
        taken = basis if around is None else float(around)
        if taken >= HOTTEST_C:
            raise ElectricalError(
                "ambient_c", f"{taken:g} °C around a cable leaves nothing to carry"
            )
        return taken, min(sqrt((HOTTEST_C - taken) / (HOTTEST_C - basis)), 1.5)

    def _carries(self, method: str, table_a: float) -> Decimal:
        factors = {"ambient": self._ambient(method)[1], "grouping": self.grouping}
        return outwards(capacity_a(table_a, factors), STEP, "at least")


def kind_of(cable: Cable) -> str | None:
    """The kind of a cable where insulation or laying name it, or one core alone; None if not."""
    words = (known(cable.insulation), known(cable.method))
    said = f" {plain(' '.join(word for word in words if word))} "
    for kind, names in _SAID.items():
        if any(f" {name} " in said for name in names):
            return kind
    return SINGLES if known(cable.cores) == 1 else None


def method_of(cable: Cable) -> str:
    """The reference method, from free text such as "method C"; empty if none is named."""
    said = known(cable.method) or ""
    words = re.split(r"\W+", said if re.search(r"\W", said.strip()) else said.upper())
    found = {m[1] for word in words if (m := _METHOD.fullmatch(word))}
    return found.pop() if len(found) == 1 else ""


def _told(ways: Mapping[tuple[str, str], Decimal], some: Sequence[tuple[str, str]]) -> str:
    """Ways to lay a cable with what each carries: the kind is named where several are possible."""
    several = len({kind for kind, _ in ways}) > 1
    told = []
    for kind in dict.fromkeys(kind for kind, _ in some):
        methods = listed([f"{m} ({ways[k, m].normalize():f} A)" for k, m in some if k == kind])
        told.append(f"as {kind} by {methods}" if several else f"by {methods}")
    return "; ".join(told)


@lru_cache(maxsize=64)
def _table(rows: tuple[str, ...]) -> dict[tuple[str, int], dict[str, float]]:
    """A table of the rulebook: method and loaded conductors, then size, to amps."""
    found: dict[tuple[str, int], dict[str, float]] = {}
    for row in rows:
        head, _, body = row.partition(":")
        method, _, loaded = head.partition(",")
        amps = {size: float(a) for size, a in _AMPS.findall(body)}
        found[method.strip(), int(loaded.split()[0])] = amps
    return found


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
