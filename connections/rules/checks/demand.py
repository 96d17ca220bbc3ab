"""Demand and import: after diversity or as measured, headroom on each phase, the import limit.

The assessed or measured figure covers the ordinary loads of the site. Charge points, heat pumps and
charging storage come on top. A measured figure may already include some of them; these count twice,
which errs high.
"""

from collections.abc import Iterator
from functools import cached_property

from connections.electrical.demand import Diversity, after_diversity_a, headroom_a
from connections.facts.decision import Way
from connections.facts.defaults import known, load_kind, rating
from connections.facts.site import Load
from connections.rulebook.book import Value
from connections.rules.checks.basis.failing import failing, in_sentences
from connections.rules.checks.basis.plant import (
    PHASES,
    cells_behind,
    charging_w,
    outputs_of,
    read_cells,
    through_phases,
)
from connections.rules.checks.basis.types import (
    Check,
    CheckKind,
    Level,
    PlotData,
    Series,
    amount,
    bars,
)
from connections.rules.checks.basis.working import GATHERED, Ground, Working
from connections.rules.deciding_facts import counts, limit_of, limit_per_phase
from connections.rules.figures import listed
from connections.rules.kinds import Kind, Values, Words

ON_TOP = {"vehicle": "demand.vehicle_share", "heat-pump": "demand.heat_pump_share"}
"""Kinds that come on top of an assessed figure, and the keys of their shares."""

FULL = ("stored-water", "storage-heating", "floor-heating")
REST = {"circuit": "demand.circuit_rest", "socket": "demand.socket_rest"}
"""Kinds whose largest load counts in full, and the keys of the share for the others."""

STORAGE = "demand.storage_share"
_ASKED_ABOVE = "load_notice.demand_limit"
_TOLD = "When the network operator is told of the loads"
_NOISE = 1e-6
"""Amps by which a sum of floats may miss a whole limit; our choice."""


class Demand:
    """The demand of a site on each phase [A], gathered for a check."""

    def __init__(self, ground: Ground, w: Working) -> None:
        self.ground, self.w = ground, w
        self.base = [0.0, 0.0, 0.0]
        self.uncontrolled = [0.0, 0.0, 0.0]
        self.controllable = [0.0, 0.0, 0.0]
        self.uneven = [0.0, 0.0, 0.0]
        """Current on fewer phases than the supply has, which reaches the neutral."""
        self.terms: list[str] = []
        self._base()
        self._on_top()
        self._storage()

    def whole(self, k: int) -> float:
        """All demand on a phase [A]."""
        return self.base[k] + self.uncontrolled[k] + self.controllable[k]

    def _base(self) -> None:
        w, loads = self.w, self.ground.loads
        assessed = known(loads.assessed_demand_va) if loads is not None else None
        if loads is not None and assessed is not None:
            path = "loads.assessed_demand_va"
            how = {True: "measured", False: "assessed"}.get(
                loads.measured if isinstance(loads.measured, bool) else False, "assessed"
            )
            w.fact("ordinary demand", path, assessed, f"{amount(assessed / 1000, 'kVA')}, {how}")
            w.read((("loads.measured", loads.measured),))
            each = assessed / len(self.ground.phases) / self.ground.stated_nominal_v
            if len(self.ground.phases) > 1:
                w.computed("ordinary demand of a phase", "an equal share, taken so")
            self._add(self.base, [each] * len(self.ground.phases), "ordinary demand", 1.0)
            return
        items = self.ordinary
        if not items:
            w.need("the assessed or measured demand, or its loads", "loads.assessed_demand_va")
            return
        for kind in dict.fromkeys(load_kind(load) for _, load in items):
            self._kind(kind, [(i, load) for i, load in items if load_kind(load) == kind])

    @cached_property
    def ordinary(self) -> list[tuple[int, Load]]:
        """Loads that an assessed figure covers."""
        loads = self.ground.loads
        items = loads.items if loads is not None else ()
        return [(i, load) for i, load in enumerate(items) if load_kind(load) not in ON_TOP]

    def _kind(self, kind: str, items: list[tuple[int, Load]]) -> None:
        rule = self._rule(kind)
        if rule is None:
            return
        currents: list[list[float]] = []
        for i, load in items:
            found = self._current(i, load)
            if found is None:
                return
            currents.append(found)
        for k in range(len(self.ground.phases)):
            on = [current[k] for current in currents if current[k]]
            counted = after_diversity_a(on, rule)
            self.base[k] += counted
            if on:
                names = ", ".join(load.name for _, load in items)
                self.terms.append(
                    f"{PHASES[k]}: {names}: {' + '.join(f'{a:.3f}' for a in on)} A, of which "
                    f"{counted:.3f} A count"
                )

    def _rule(self, kind: str) -> Diversity | None:
        """The diversity of a kind, from the rulebook; a kind without a rule counts in full."""
        share, first, extra, largest = 1000, 0, 0, 0
        w = self.w

        def value(key: str) -> int:
            _, _, name = key.partition(".")
            return w.limit(key, f"diversity, {name.replace('_', ' ')}") or 0

        if kind == "lighting":
            share = value("demand.lighting_share")
        elif kind == "heating":
            share, first = value("demand.heating_rest"), value("demand.heating_first")
        elif kind in ("cooker", "cooker-with-socket"):
            share, first = value("demand.cooker_rest"), value("demand.cooker_first")
            extra = value("demand.cooker_socket") if kind == "cooker-with-socket" else 0
        elif kind == "instant-water":
            share, largest = value("demand.water_rest"), value("demand.water_largest")
        elif kind in FULL:
            share = value("demand.full_share")
        elif kind in REST:
            share, largest = value(REST[kind]), 1
        if w.needs:
            return None
        return Diversity(share / 1000, largest, first / 1000, extra / 1000)

    def _current(self, i: int, load: Load) -> list[float] | None:
        """The current of a load on each phase [A]; None, and a need, if undecided."""
        w, path = self.w, f"loads.items[{i}]"
        w.read(
            (
                (f"{path}.name", load.name),
                (f"{path}.kind", load.kind),
                (f"{path}.status", known(load.status)),
                (f"{path}.phases", known(load.phases)),
            )
        )
        power = rating(load.w)
        if power is None:
            w.need(f"the power of {load.name}", f"{path}.w", load.w)
            return None
        w.fact(load.name, f"{path}.w", power, amount(power / 1000, "kW"))
        phases: tuple[str, ...] = known(load.phases) or ()
        if not phases and len(self.ground.phases) == 1:
            phases = self.ground.phases
        if not phases:
            w.need(f"the phases of {load.name}", f"{path}.phases")
            return None
        if set(phases) - set(self.ground.phases):
            w.need(f"phases of {load.name} that the supply has", f"{path}.phases", phases)
            return None
        return through_phases(self.ground, tuple(phases), float(power))

    def _on_top(self) -> None:
        loads = self.ground.loads
        for i, load in enumerate(loads.items if loads is not None else ()):
            key = ON_TOP.get(load_kind(load))
            if key is None:
                continue
            current = self._current(i, load)
            share = self.w.limit(key, f"what counts of {load_kind(load).replace('-', ' ')}s")
            path = f"loads.items[{i}].controllable"
            controlled = known(load.controllable) is True
            if known(load.controllable) is None:
                self.w.taken(f"{load.name} can be turned down", path, load.controllable, "no")
            else:
                said = "yes" if controlled else "no"
                self.w.fact(f"{load.name} can be turned down", path, load.controllable, said)
            if current is not None and share is not None:
                to = self.controllable if controlled else self.uncontrolled
                self._add(to, current, load.name, share / 1000)

    def _storage(self) -> None:
        for output in outputs_of(self.ground):
            taken = charging_w(self.ground, output)
            if taken == 0.0:
                continue
            unit = output.unit
            read_cells(self.w, output)
            self.w.read(
                (
                    (f"{output.path}.rated_w", unit.rated_w),
                    (f"{output.path}.quantity", unit.quantity),
                )
            )
            share = self.w.limit(STORAGE, "what counts of storage that charges")
            if taken is None or output.elsewhere:
                self.w.need(
                    f"the charging power of {unit.id} and its phases", f"{output.path}.rated_w"
                )
            elif share is not None:
                current = through_phases(self.ground, tuple(unit.phases), taken)
                self._add(self.controllable, current, f"charging of {unit.id}", share / 1000)

    def _add(self, to: list[float], current: list[float], name: str, share: float) -> None:
        uneven = to is not self.base and sum(map(bool, current)) < len(self.ground.phases)
        for k, amps in enumerate(current):
            if amps:
                to[k] += amps * share
                self.uneven[k] += amps * share if uneven else 0.0
                self.terms.append(f"{PHASES[k]}: {name}: {amps * share:.3f} A")


def demand_of(ground: Ground, w: Working) -> Demand:
    """The demand of the site, gathered once; copies its inputs and needs to the check."""
    demand = ground.once(_gathered)
    w.take(demand.w)
    return demand


def _gathered(ground: Ground) -> Demand:
    return Demand(ground, Working(ground, GATHERED, "", ""))


OTHER_FUSE = Way("other-fuse", "the network operator fits another fuse before energising")
MEASURED = Way("measured", "the demand is measured, and the figure entered, before energising")
IMPORT_LIMIT = Way("import-limit", "an import limit, which the design has", "limits.import.value")

DEMAND = failing(
    "demand",
    "demand",
    "Is the uncontrolled demand above the cut-out?",
    (OTHER_FUSE, MEASURED),
)
IMPORT = failing(
    "import-limit",
    "demand",
    "Is all demand above the cut-out, with no import limit that holds it?",
    (IMPORT_LIMIT, OTHER_FUSE, MEASURED),
)


def checks(ground: Ground) -> Iterator[Check]:
    """Check demand, import and the notice of loads, on each phase."""
    cutout = rating(ground.site.supply.cutout_a)
    for k, phase in enumerate(ground.phases):
        w = _working(ground, DEMAND, phase, "Uncontrolled demand against the cut-out")
        yield w.attempt(lambda w=w, k=k: _demand(ground, w, k, cutout))  # type: ignore[misc]
        w = _working(ground, IMPORT, phase, "All demand against the cut-out")
        yield w.attempt(lambda w=w, k=k: _import(ground, w, k, cutout))  # type: ignore[misc]
    yield from _notice(ground, cutout)


def _working(ground: Ground, kind: CheckKind, phase: str, title: str) -> Working:
    w = Working(
        ground, kind, phase, title,
        "Σ currents after diversity; charge points, heat pumps and charging in full",
    )  # fmt: skip
    cutout = ground.site.supply.cutout_a
    if rating(cutout):
        w.fact("rating of the cut-out", "supply.cutout_a", cutout, f"{cutout} A")
    else:
        w.need("the rating of the cut-out", "supply.cutout_a", cutout)
    return w


def _demand(ground: Ground, w: Working, k: int, cutout: int | None) -> Check:
    demand = demand_of(ground, w)
    _terms(w, demand, k)
    if w.needs or cutout is None:
        return w.missing()
    uncontrolled = demand.base[k] + demand.uncontrolled[k]
    room = headroom_a(cutout, uncontrolled)
    w.line(
        f"{uncontrolled:.3f} A of {cutout} A; {room:.3f} A "
        f"({room * ground.stated_nominal_v / 1000:.3f} kVA) are left for what can be turned down."
    )
    w.plot = _bars(ground, demand, cutout)
    return w.compared(uncontrolled, cutout, "A")


def _import(ground: Ground, w: Working, k: int, cutout: int | None) -> Check:
    demand = demand_of(ground, w)
    _terms(w, demand, k)
    limit = limit_of(ground.site, "import")
    bound_a = None
    if limit is not None and counts(limit):
        scaled = limit_per_phase(limit, len(ground.phases), ground.stated_nominal_v * 1000)
        bound_a = None if scaled is None else scaled / 6 / (ground.stated_nominal_v * 1000) / 1000
    if limit is not None:
        w.read(
            (f"limits.import.{name}", getattr(limit, name))
            for name in ("value", "basis", "type_tested", "nets_phases")
        )
        if bound_a is not None:
            w.computed("import limit on a phase", amount(bound_a, "A"))
        else:
            w.line("The import limit does not count: it is not known to be fully type tested.")
    else:
        w.read((("limits.import", None),))
    if w.needs or cutout is None:
        return w.missing()
    uncontrolled = demand.base[k] + demand.uncontrolled[k]
    whole = uncontrolled + demand.controllable[k]
    room = headroom_a(cutout, uncontrolled)
    w.line(
        f"{uncontrolled:.3f} A and {demand.controllable[k]:.3f} A that can be turned down: "
        f"{whole:.3f} A ({whole * ground.stated_nominal_v / 1000:.3f} kVA) of {cutout} A."
    )
    if whole > cutout:
        if room > 0:
            w.line(
                f"An import limit of {cutout} A a phase is needed: it leaves {room:.3f} A "
                f"({room * ground.stated_nominal_v / 1000:.3f} kVA) for charging."
            )
        else:
            w.line("No import limit answers this: what nobody controls is over the cut-out alone.")
        if bound_a is not None:
            whole = max(uncontrolled, min(whole, bound_a))
            w.line(f"With the import limit {whole:.3f} A.")
            if bound_a == cutout and whole == bound_a:
                return w.exactly(cutout, cutout, "A")
    else:
        w.line("No import limit is needed.")
    return w.compared(whole, cutout, "A")


def _notice_words(v: Values) -> Words:
    why = v["says"] or f"the demand is {v['value']}, and up to {v['limit']} it is told afterwards"
    return (
        f"Before the work the network operator is asked about the demand on {v['subject']}: {why}.",
        in_sentences(v["workings"]),
    )


NOTICE = CheckKind(
    "load-notice",
    "demand",
    Kind(
        "load-notice",
        "inform",
        "Is the network operator asked before charge points, heat pumps or charging are connected?",
        _notice_words,
    ),
    told_on=("over", "close", "lacks"),
)


def notice_of(ground: Ground) -> str:
    """What the network operator is told of charge points, heat pumps and charging: none, notify
    (afterwards) or apply (before the work)."""
    # 2026-11-30: a step rests on this float, so that step and check never disagree. It is rounded
    # outwards, and a demand within a step of the limit is asked about.
    found = {check.result for check in _notice(ground, rating(ground.site.supply.cutout_a))}
    if found.intersection(NOTICE.told_on):
        return "apply"
    return "notify" if found == {"keeps"} else "none"


def _notice(ground: Ground, cutout: int | None) -> Iterator[Check]:
    """Check whether to ask the operator before loads are connected, or to tell it later."""
    loads = ground.loads
    asked = [
        load.name
        for load in (loads.items if loads else ())
        if load_kind(load) in ON_TOP and load.status != "existing"
    ]
    for k, phase in enumerate(ground.phases):
        if asked:
            yield _loads_notice(ground, k, phase, cutout, asked)
        elif _charging(ground):
            yield from _charging_notice(ground, k, phase, cutout)


def _loads_notice(
    ground: Ground, k: int, phase: str, cutout: int | None, asked: list[str]
) -> Check:
    w = _working(ground, NOTICE, phase, _TOLD)
    most_ma = w.limit(_ASKED_ABOVE, "asked first above")
    if most_ma is None:
        return w.missing()
    demand = demand_of(ground, w)
    looped = known(ground.site.supply.looped)
    said = "not known" if looped is None else "yes" if looped else "no"
    w.fact("looped service", "supply.looped", looped, said)
    if looped is not False and w.flag("looped.loads_ask_first"):
        w.line(f"Asked before they are connected: {', '.join(asked)}.")
        if looped:
            return w.lacks("the service is looped")
        w.need("whether the service is looped", "supply.looped", looped)
    if w.needs or cutout is None:
        # 2026-11-30: read what is not known strictly: the operator is asked first.
        lacking = list(w.needs)
        w.needs.clear()
        are = "is" if len(lacking) == 1 else "are"
        return w.lacks(f"{listed(lacking)} {are} not known")
    whole = demand.whole(k)
    first = min(most_ma // 1000, cutout)
    days = ground.held("time.load_notice")
    w.line(
        f"{whole:.3f} A beside {first} A (the cut-out, and the demand above which a home "
        "asks first). Above it the operator is asked before the work; otherwise it is told "
        f"{_within(days)}."
    )
    return _beside(w, whole, first)


def _charging_notice(ground: Ground, k: int, phase: str, cutout: int | None) -> Iterator[Check]:
    """Charging from the network alone: asked about only if the demand that is known is too much.

    Otherwise the papers of the generation tell of it (common practice, no source).
    """
    most_ma = ground.figure(_ASKED_ABOVE)
    if most_ma is None:
        return
    first = min(most_ma // 1000, cutout or most_ma)
    whole = ground.once(_gathered).whole(k)
    if whole < first - 1:
        return
    w = Working(ground, NOTICE, phase, _TOLD)
    w.limit(_ASKED_ABOVE, "asked first above")
    demand_of(ground, w)
    w.needs.clear()
    if cutout is not None:
        w.fact("rating of the cut-out", "supply.cutout_a", cutout, f"{cutout} A")
    w.line(f"At least {whole:.3f} A beside {first} A, above which the operator is asked first.")
    found = _beside(w, whole, first)
    if found.result in NOTICE.told_on:
        yield found


def _charging(ground: Ground) -> bool:
    """Whether cells that are new charge from the network."""
    return any(
        charging_w(ground, output) != 0.0
        and (
            not output.line.existing
            or any(cells.status == "proposed" for _, cells in cells_behind(ground, output.unit))
        )
        for output in outputs_of(ground)
    )


def _beside(w: Working, whole: float, first: int) -> Check:
    """Compare a demand; a sum that is the limit itself, but for the noise of floats, keeps it."""
    if abs(whole - first) < _NOISE:
        return w.exactly(first, first, "A")
    return w.compared(whole, first, "A")


def _within(days: Value | None) -> str:
    if days is None:
        return "afterwards"
    return "by the day of the work" if days.amount == 0 else f"within {days.written} of it"


def _terms(w: Working, demand: Demand, k: int) -> None:
    for term in demand.terms:
        if term.startswith(PHASES[k]):
            w.line(term)


def _bars(ground: Ground, demand: Demand, cutout: int) -> PlotData:

    fixed = [a + b for a, b in zip(demand.base, demand.uncontrolled, strict=True)]
    room = [max(0.0, cutout - a) for a in fixed]
    return PlotData(
        "bars",
        "phase",
        "A",
        (
            Series("nobody controls", bars(ground.phases, fixed)),
            Series("can be turned down", bars(ground.phases, demand.controllable)),
            Series("headroom", bars(ground.phases, room)),
        ),
        (Level("cut-out", float(cutout)),),
    )
