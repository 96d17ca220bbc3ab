"""Describe one design by its facts and its decision, for comparison with others.

The energy of a year is not here; the room `energy` gives it.
"""

from typing import Literal

from msgspec import Struct

from connections.electrical.phase_sums import whole_milliamps, whole_watts
from connections.facts.defaults import (
    is_counted,
    part_status,
    phases_now,
    quantity_of,
    rating,
    registered_w,
    supply_phases,
)
from connections.facts.site import Site, Unit
from connections.remedies.kinds.shared_inverter import MICRO_W
from connections.remedies.telling import power_w, time_in_words
from connections.rules.case import title_of
from connections.rules.decide import UNDETERMINED, Decided
from connections.rules.deciding_facts import limit_of
from connections.rules.export import export_figure
from connections.rules.figures import amps, kilowatts, listed, plural

RouteName = Literal["sun-to-house", "sun-to-cells-to-house", "grid-to-cells-to-house"]
Coupling = Literal["ac", "dc"]


BACKUP_LOAD_W = 500
"""The load for hours of back-up [W]: light, cold storage and a network box (our choice, no
source)."""


class Box(Struct, frozen=True):
    """One kind of box on the wall: how many, and what still works `without` one of them."""

    name: str
    count: int
    without: str


class Route(Struct, frozen=True):
    """A path of energy with its conversions; coupled by AC or by DC."""

    name: RouteName
    coupling: Coupling
    conversions: tuple[str, ...]


class DesignFacts(Struct, frozen=True):
    """A design as shown beside others.

    Power in W: `power_w` from everything at once, `sun_w` and `cells_w` from each alone; None where
    a rating is not known. `backup_wh` is the energy of cells behind a unit that can run as an
    island; None where it is not known.
    """

    procedure: str
    title: str
    order: int
    time: str
    stops: int
    decides: int
    per_phase_ma: dict[str, int | None]
    per_phase_w: dict[str, int | None]
    power_w: int | None
    sun_w: int | None
    cells_w: int | None
    export_w: int | None
    routes: tuple[Route, ...]
    boxes: tuple[Box, ...]
    backup_wh: int | None
    backup: str
    dc_runs: str
    told: tuple[str, ...]

    @property
    def box_count(self) -> int:
        """The total number of boxes."""
        return sum(box.count for box in self.boxes)


def design_facts(site: Site, decided: Decided, *, backup_load_w: int) -> DesignFacts:
    """Describe a design.

    Args:
        site: the design with the existing plant that stays.
        decided: the decision on it.
        backup_load_w: the load [W] for the hours of back-up.
    """
    case = decided.case
    plant = _Plant(site)
    figure = export_figure(site, case.setting, case.sums)
    known_sums = case.capacity_known
    sums = {phase: case.sums.phases[phase][0] for phase in supply_phases(site)}
    order = case.ready.order
    backup_wh, backup = _backup(plant, backup_load_w)
    undetermined = decided.procedure == UNDETERMINED
    return DesignFacts(
        procedure=decided.procedure,
        title="Not yet determined" if undetermined else title_of(case, decided.procedure),
        order=order.get(decided.procedure, len(order)),
        time="" if undetermined else time_in_words(decided),
        stops=sum(found.severity == "stops" for found in decided.findings),
        decides=sum(found.severity == "decide" for found in decided.findings),
        per_phase_ma={
            phase: whole_milliamps(amount, case.ready.nominal_mv) if known_sums else None
            for phase, amount in sums.items()
        },
        per_phase_w={
            phase: whole_watts(amount) if known_sums else None for phase, amount in sums.items()
        },
        power_w=power_w(site),
        sun_w=_sum([*plant.of_sun, *plant.shared]),
        cells_w=_cells_w(plant),
        export_w=whole_watts(figure.total) if known_sums else None,
        routes=_routes(plant),
        boxes=_boxes(plant, site),
        backup_wh=backup_wh,
        backup=backup,
        dc_runs=_dc_runs(plant),
        told=_told(plant, site, decided),
    )


class _Plant:
    """Counted units of a site, grouped by their panels and cells."""

    def __init__(self, site: Site) -> None:
        units = {unit.id: unit for unit in site.units}
        self.cells = [
            part for part in site.storage
            if part_status(part.status, units.get(part.unit_id)) != "removed"
        ]  # fmt: skip
        self.arrays = [
            part for part in site.arrays
            if part_status(part.status, units.get(part.unit_id)) != "removed"
        ]  # fmt: skip
        with_cells = {part.unit_id for part in self.cells}
        with_panels = {part.unit_id for part in self.arrays}
        counted = [unit for unit in site.units if is_counted(unit)]
        self.shared = [
            u for u in counted
            if u.source == "pv+storage" or (u.id in with_cells and u.id in with_panels)
        ]  # fmt: skip
        shared = {unit.id for unit in self.shared}
        self.of_sun = [u for u in counted if u.source == "pv" and u.id not in shared]
        self.of_cells = [u for u in counted if u.source == "storage" and u.id not in shared]
        self.others = [
            u for u in counted if u.source not in ("pv", "storage") and u.id not in shared
        ]


def is_micro(unit: Unit) -> bool:
    """Several small PV units in one line count as micro-inverters (common practice)."""
    return (quantity_of(unit) or 1) > 1 and (registered_w(unit) or 0) <= MICRO_W


def _sum(units: list[Unit]) -> int | None:
    total = 0
    for unit in units:
        rated, n = registered_w(unit), quantity_of(unit)
        if rated is None or n is None:
            return None
        total += rated * n
    return total


def _cells_w(plant: _Plant) -> int | None:
    """Discharge power of all cells at once [W]: for each unit the lower of its rating and its
    cells."""
    total = 0
    for unit in (*plant.of_cells, *plant.shared):
        rated = _sum([unit])
        if rated is None:
            return None
        cells = [part for part in plant.cells if part.unit_id == unit.id]
        given = [rating(part.discharge_w) for part in cells]
        known_given = [w for w in given if w is not None]
        total += min(rated, sum(known_given)) if cells and len(known_given) == len(given) else rated
    return total


_DC_AC = "direct to alternating current"
_AC_DC = "alternating to direct current"
_DC_DC = "direct current to the cells' voltage"


def _routes(plant: _Plant) -> tuple[Route, ...]:
    routes: list[Route] = []
    if plant.of_sun:
        routes.append(Route("sun-to-house", "ac", (_DC_AC,)))
    elif plant.shared:
        routes.append(Route("sun-to-house", "dc", (_DC_AC,)))
    if plant.of_cells:
        if plant.of_sun or plant.shared:
            routes.append(Route("sun-to-cells-to-house", "ac", (_DC_AC, _AC_DC, "cells", _DC_AC)))
        routes.append(Route("grid-to-cells-to-house", "ac", (_AC_DC, "cells", _DC_AC)))
    if plant.shared:
        routes.append(Route("sun-to-cells-to-house", "dc", (_DC_DC, "cells", _DC_DC, _DC_AC)))
        if any(part.charges_from_grid is not False for part in plant.cells):
            routes.append(
                Route(
                    "grid-to-cells-to-house",
                    "dc",
                    (_AC_DC, _DC_DC, "cells", _DC_DC, _DC_AC),
                )
            )
    return tuple(routes)


def _boxes(plant: _Plant, site: Site) -> tuple[Box, ...]:
    boxes: list[Box] = []
    sun = bool(plant.of_sun or plant.shared)
    for unit in (*plant.of_sun, *plant.of_cells, *plant.shared, *plant.others):
        n = quantity_of(unit) or 1
        boxes.append(Box(f"{_kind_words(unit, plant)} {unit.id}", n, _without(unit, plant, n)))
    stacks: dict[str, int] = {}
    for part in plant.cells:
        stacks[part.unit_id] = stacks.get(part.unit_id, 0) + 1
    for unit_id, n in stacks.items():
        rest = "the sun" if sun else "nothing of sun and cells"
        boxes.append(Box(f"cells behind {unit_id}", n, rest))
    if limit_of(site, "export") is not None or limit_of(site, "import") is not None:
        boxes.append(
            Box(
                "limitation scheme",
                1,
                "what stays within the limit, or nothing, if the scheme fails as it should",
            )
        )
    return tuple(boxes)


def _kind_words(unit: Unit, plant: _Plant) -> str:
    if unit in plant.shared:
        return "hybrid inverter"
    if unit in plant.of_cells:
        return "storage inverter"
    if unit in plant.of_sun:
        return "micro-inverters" if is_micro(unit) else "PV inverter"
    return f"{unit.source} unit"


def _without(unit: Unit, plant: _Plant, n: int) -> str:
    """What still works when one of `n` like units fails, in words."""
    if n > 1:
        return f"the other {plural(n - 1, 'unit')} of {unit.id} and all else"
    others_sun = [u for u in (*plant.of_sun, *plant.shared) if u is not unit]
    others_cells = [u for u in (*plant.of_cells, *plant.shared) if u is not unit]
    left = []
    if others_sun:
        left.append(f"the sun by {listed([u.id for u in others_sun])}")
    if others_cells:
        left.append(f"the cells by {listed([u.id for u in others_cells])}")
    if plant.others and unit not in plant.others:
        left.append(listed([u.id for u in plant.others]))
    return listed(left) if left else "nothing of sun and cells"


def _backup(plant: _Plant, load_w: int) -> tuple[int | None, str]:
    behind = [*plant.of_cells, *plant.shared]
    if not behind:
        return 0, "None: there are no cells."
    if any(unit.can_island is None for unit in behind):
        return None, "Not known: it is not said whether the plant can run as an island."
    able = [unit for unit in behind if unit.can_island is True]
    if not able:
        return 0, "None: the plant stops when the network does."
    ids = {unit.id for unit in able}
    amounts = [rating(part.usable_wh) for part in plant.cells if part.unit_id in ids]
    if not amounts or any(wh is None for wh in amounts):
        return None, "Not known: the usable energy of the cells is not said."
    wh = sum(amount or 0 for amount in amounts)
    tenths = wh * 10 // load_w
    hours = f"{tenths // 10}.{tenths % 10}" if tenths % 10 else f"{tenths // 10}"
    return wh, (
        f"{kilowatts(wh, 'kWh')} when full, {hours} hours at a load of {kilowatts(load_w)}, by "
        f"{listed([unit.id for unit in able])}; less what the conversions take."
    )


def _dc_runs(plant: _Plant) -> str:
    """Where DC runs through the building, as far as the facts tell, in words."""
    if plant.others and not (plant.of_sun or plant.shared or plant.of_cells):
        return "Not known."
    strings = [unit.id for unit in (*plant.of_sun, *plant.shared) if not is_micro(unit)]
    if strings:
        return f"Yes: from the panels to {listed(strings)}."
    if plant.of_sun:
        return "No: the panels' current is turned at the panels."
    return "Only between the cells and their inverter."


def _told(plant: _Plant, site: Site, decided: Decided) -> tuple[str, ...]:
    """Sentences to tell a customer about a design."""
    said: list[str] = []
    waits = any(step.wait for step in decided.steps)
    if waits:
        said.append("The work can't begin before the network operator has answered.")
    now = phases_now(site)
    if now is not None:
        of = {1: "one phase", 2: "two phases", 3: "three phases"}
        said.append(
            f"Your supply has {of[now]} now and would get {of[site.supply.phases]}. The network "
            "operator is asked for that first; it has a price and takes a time of its own."
        )
    limit = limit_of(site, "export")
    if limit is not None and limit.value is not None:
        stated = (
            f"{amps(limit.value)} on each phase"
            if limit.basis == "ma_per_phase"
            else kilowatts(limit.value, "kW" if limit.basis == "w_total" else "kVA")
        )
        said.append(
            f"Export is held to {stated}: what the sun makes above it is used or stored at home, "
            "or not made."
        )
    if plant.shared:
        power = _sum(plant.shared)
        said.append(
            f"Sun and cells share one inverter: together they give at most {kilowatts(power)}."
            if power is not None
            else "Sun and cells share one inverter, whose rating is all that they give together."
        )
    behind = [*plant.of_cells, *plant.shared]
    if behind:
        able = any(unit.can_island is True for unit in behind)
        said.append(
            "When the network fails, the circuits on the back-up supply go on while the cells "
            "last; the rest stops."
            if able
            else "When the network fails, everything stops, the cells too."
        )
    elif plant.of_sun:
        said.append("When the network fails, the panels stop too, sun or not.")
    return tuple(said)
