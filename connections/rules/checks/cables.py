"""Cables: the capacity of each as installed, and whether it withstands a fault."""

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from math import sqrt

from connections.electrical.circuit import capacity_a
from connections.electrical.electrical_errors import ElectricalError
from connections.electrical.rounding import outwards
from connections.facts.defaults import known, rating
from connections.facts.devices import MAIN_NAMES, ORIGIN_NAMES, device_kind, plain
from connections.facts.site import Cable, Protection
from connections.rules.checks.basis.failing import failing, in_sentences
from connections.rules.checks.basis.plant import PHASES, Output
from connections.rules.checks.basis.runs import MAIN, Runs, insulation_of, material_of, size_of
from connections.rules.checks.basis.types import Check, CheckKind, amount
from connections.rules.checks.basis.working import STEP, Ground, Working
from connections.rules.checks.circuit import OVERCURRENT, devices_of, state_rating
from connections.rules.checks.clearing import withstand
from connections.rules.figures import listed
from connections.rules.kinds import Kind

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
_ROW = re.compile(r"(?P<method>\w+), (?P<loaded>[23]) loaded: (?P<amps>.*)")
_AMPS = re.compile(r"([0-9.]+) mm² ([0-9]+(?:\.[0-9]+)?) A")


def checks(ground: Ground, runs: Runs) -> Iterator[Check]:
    """Check that each cable of a unit carries the current of its device, and withstands its
    faults; and each run from the cut-out beside its fuse."""
    behind_fuse = dict(runs.from_cut_out())
    for i in range(len(ground.site.cables)):
        sharing = [o for o in runs.outputs if i in runs.ways[o.unit.id].cables]
        if i in behind_fuse and not (len(sharing) == 1 and _own_device(runs, behind_fuse[i])):
            yield from _behind_fuse(ground, runs, sharing, i, behind_fuse[i])
        elif sharing:
            found = _ahead_of(ground, runs, sharing, i)
            carried = _capacity(ground, runs, sharing, i, found)
            yield carried
            if len(sharing) == 1 or runs.ends.get(i) in runs.fed_boards:
                yield withstand(ground, runs, i, sharing[0], found, carried)
    if ground.site.cables and MAIN not in runs.above:
        yield _no_tails(ground)


CAPACITY = failing(
    "cable-capacity",
    "circuit",
    "Does a cable carry less than its device lets through?",
)


def _ahead_of(
    ground: Ground, runs: Runs, sharing: list[Output], i: int
) -> list[tuple[int, Protection]]:
    """The over-current devices of a cable: those of its board, or of its one unit."""
    place = runs.ends.get(i, "")
    if place in runs.fed_boards:
        return _serving(ground, place)
    return devices_of(ground, sharing[0].unit.id) if len(sharing) == 1 else []


def _capacity(
    ground: Ground,
    runs: Runs,
    sharing: list[Output],
    i: int,
    found: list[tuple[int, Protection]],
) -> Check:
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
    place = runs.ends.get(i, "")
    incoming = _incoming(w, place) if place in runs.fed_boards and not found else None
    for index, entry in found:
        state_rating(w, index, entry)
    rated = [value for _, entry in found if (value := rating(entry.rating_a))]
    rated += [incoming] if incoming else []
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


_TITLE = "Run from the cut-out carries what its fuse lets through"
FROM_CUT_OUT = failing(
    "run-from-cut-out",
    "circuit",
    "Does a run from the cut-out carry less than the fuse ahead of it lets through?",
)
LONG_RUN = CheckKind(
    "long-run-from-cut-out",
    "circuit",
    Kind(
        "caution-long-tails",
        "inform",
        "Is a long run from the cut-out without a fuse of its own?",
        lambda v: (
            f"{v['says'][:1].upper()}{v['says'][1:]}.",
            f"Common practice, no rule. {in_sentences(v['workings'])}",
        ),
    ),
    told_on=("lacks",),
)


def _behind_fuse(
    ground: Ground, runs: Runs, sharing: list[Output], i: int, place: str
) -> Iterator[Check]:
    """Check tails, or another run from the cut-out, beside the fuse or the device at its start."""
    cable = ground.site.cables[i]
    subject = f"{cable.from_} to {cable.to}"
    w = Working(
        ground, FROM_CUT_OUT, subject, _TITLE,
        "In ≤ Iz; In of the cut-out, or of a device at the start of the run; Iz = tabulated "
        "capacity × factors",
    )  # fmt: skip
    runs.state_cable(w, i)
    if not size_of(cable):
        w.need(f"the size of the cable {subject}", f"cables[{i}].csa_mm2", cable.csa_mm2)
    found = _at_its_start(ground, place)
    for index, entry in found:
        state_rating(w, index, entry)
    cutout = rating(ground.site.supply.cutout_a)
    if runs.is_unit(place):
        w.need(f"the protective device of {runs.label(place)}", "protection")
    if not found and cutout is None:
        w.need("the rating of the cut-out", "supply.cutout_a", ground.site.supply.cutout_a)
    elif not found:
        w.fact("rating of the cut-out", "supply.cutout_a", cutout, f"{cutout} A")
    phases = {phase for output in sharing for phase in output.unit.phases}
    loaded = len(phases) if phases and place != MAIN else len(ground.phases)
    w.read((("supply.phases", len(ground.phases)),))
    capacity = _Capacity(w, i, 3 if loaded == 3 else 2)
    rated = [value for _, entry in found if (value := rating(entry.rating_a))]
    incoming = _incoming(w, place) if not found else None
    through = max(rated) if rated else incoming or cutout or 0

    def work() -> Check:
        if w.needs:
            return w.missing()
        carries = capacity.beside(float(through))
        if carries is None:
            return w.missing()
        what = "the fuse of the cut-out"
        if found or incoming:
            what = "the device at its start" if found else "the incoming device of its board"
        w.line(f"{through} A ({what}) through a cable that carries {carries} A.")
        if carries == int(carries):
            return w.exactly(through, int(carries), "A")
        return w.compared(float(through), carries, "A")

    yield w.attempt(work)
    w = Working(ground, LONG_RUN, subject, "Long run from the cut-out has a fuse of its own")
    longest = w.limit("cable.tails_longest", "longest without one")
    length = known(cable.length_mm)
    if length is None or longest is None or length <= longest:
        return
    w.fact(f"length, {subject}", f"cables[{i}].length_mm", length, amount(length / 1000, "m"))
    w.read(
        (f"protection[{index}].{name}", getattr(entry, name))
        for index, entry in enumerate(ground.site.protection)
        for name in ("kind", "serves")
    )
    if found:
        yield w.there()
    elif not ground.site.protection:
        w.need("the protection schedule", "protection")
        yield w.missing()
    else:
        yield w.lacks(
            f"the run {subject} is {amount(length / 1000, 'm')}, and no switch-fuse at its start "
            f"is named; one is fitted from {amount(longest / 1000, 'm')} on"
        )


def _incoming(w: Working, place: str) -> int | None:
    """The incoming device of a board that is not the main one, where it is stated."""
    for n, board in enumerate(w.ground.site.boards or ()):
        incoming = rating(board.incoming_a)
        if plain(board.id) == place and plain(board.id) not in MAIN_NAMES and incoming:
            w.fact("incoming device", f"boards[{n}].incoming_a", incoming, f"{incoming} A")
            return incoming
    return None


def _no_tails(ground: Ground) -> Check:
    """Say that the tails are not among the cables that are stated."""
    w = Working(ground, FROM_CUT_OUT, "tails", _TITLE)
    w.need("the cable from the supply terminals to the main board", "cables")
    return w.missing()


def _own_device(runs: Runs, place: str) -> bool:
    """Whether a place is a unit with an over-current device of its own."""
    return any(
        runs.end_of(o.unit.id) == place and devices_of(runs.ground, o.unit.id)
        for o in runs.outputs
        if runs.ways[o.unit.id].places
    )


def _serving(ground: Ground, place: str) -> list[tuple[int, Protection]]:
    """Over-current devices that feed a board."""
    return [
        (index, entry)
        for index, entry in enumerate(ground.site.protection)
        if device_kind(entry) in OVERCURRENT
        and (serves := plain(known(entry.serves) or ""))
        and (serves in MAIN_NAMES if place == MAIN else serves == place)
    ]


def _at_its_start(ground: Ground, place: str) -> list[tuple[int, Protection]]:
    """Devices at the start of a run from the cut-out: those that feed its board, or a switch-fuse
    that serves the tails."""
    return _serving(ground, place) + [
        (index, entry)
        for index, entry in enumerate(ground.site.protection)
        if device_kind(entry) in OVERCURRENT
        and plain(known(entry.serves) or "") in ORIGIN_NAMES
        and "switch" in plain(entry.kind)
    ]


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
        self.ambient: dict[str, tuple[float, float]] = {}
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
        held = tuple((kind, self.w.words(key)) for kind, key in self._kinds())
        tables = _tabulated(held, self.method, self.loaded, size)
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
            told = _told(ways, list(ways))
            counts = "Passes {}: the least counts." if passes else "Fails {}: the largest counts."
            self.w.line(counts.format(told))
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
        key, basis = (
            ("cable.ambient_ground", 20.0) if method == "D" else ("cable.ambient_air", AIR_C)
        )
        if key not in self.ambient:
            around = self.w.default(key) if self.stated_c is None else self.stated_c
            taken = basis if around is None else float(around)
            if taken >= HOTTEST_C:
                raise ElectricalError(
                    "ambient_c", f"{taken:g} °C around a cable leaves nothing to carry"
                )
            factor = min(sqrt((HOTTEST_C - taken) / (HOTTEST_C - basis)), 1.5)
            self.ambient[key] = taken, factor
        return self.ambient[key]

    def _carries(self, method: str, table_a: float) -> Decimal:
        factors = {"ambient": self._ambient(method)[1], "grouping": self.grouping}
        return outwards(capacity_a(table_a, factors), STEP, "at least")


def kind_of(cable: Cable) -> str | None:
    """The kind of a cable where insulation or laying name it, or one core alone; None if not."""
    words = f"{known(cable.insulation) or ''} {known(cable.method) or ''}"
    return _kind_in(words) or (SINGLES if known(cable.cores) == 1 else None)


@lru_cache(maxsize=256)
def _kind_in(words: str) -> str | None:
    said = f" {plain(words)} "
    return next(
        (kind for kind, names in _SAID.items() if any(f" {name} " in said for name in names)), None
    )


def method_of(cable: Cable) -> str:
    """The reference method, from free text such as "method C"; empty if none is named."""
    return _method_in((known(cable.method) or "").strip())


@lru_cache(maxsize=256)
def _method_in(said: str) -> str:
    words = re.split(r"\W+", said if re.search(r"\W", said) else said.upper())
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


@lru_cache(maxsize=256)
def _tabulated(
    held: tuple[tuple[str, tuple[str, ...]], ...], method: str, loaded: int, size: str
) -> dict[tuple[str, str], float]:
    """What kinds of cable carry by their tables [A], by kind and method; every method if none is
    named."""
    return {
        (kind, by): sizes[size]
        for kind, rows in held
        for (by, n), sizes in table_of(rows).items()
        if n == loaded and method in ("", by) and size in sizes
    }


@lru_cache(maxsize=64)
def table_of(rows: tuple[str, ...]) -> dict[tuple[str, int], dict[str, float]]:
    """A table of the rulebook: method and loaded conductors, then size, to amps. A row of another
    form is left out."""
    return {
        (m["method"], int(m["loaded"])): {size: float(a) for size, a in _AMPS.findall(m["amps"])}
        for row in rows
        if (m := _ROW.fullmatch(row))
    }
