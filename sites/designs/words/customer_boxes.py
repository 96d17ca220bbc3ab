"""Words for the boxes of a plant as a customer knows them.

Says what each box is, what works without it, and what works in a power cut. Uses no ids: numbers
boxes of one kind if there are several.
"""

from collections import Counter
from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from connections.facts.defaults import (
    is_counted,
    part_status,
    quantity_of,
    rating,
    registered_w,
)
from connections.facts.site import Site, Storage, Unit
from connections.remedies.designs import BACKUP_LOAD_W, is_micro
from connections.rules.deciding_facts import limit_of
from connections.rules.figures import kilowatts, listed

Kind = Literal["sun", "battery", "both", "other"]

_INVERTERS: dict[Kind, str] = {
    "sun": "the panels’ inverter",
    "battery": "the battery’s inverter",
    "both": "the inverter of panels and battery",
}
_OTHERS = {
    "wind": "the wind turbine",
    "hydro": "the water turbine",
    "chp": "the heat and power unit",
    "vehicle": "the car’s inverter",
}
_NOTHING = "only the network"


class PlainBox(Struct, frozen=True):
    """A kind of box with its name, and its size if known.

    `fails` names one such box; `without` is what still works without it.
    """

    name: str
    size: str
    fails: str
    without: str


def plain_boxes(site: Site) -> tuple[PlainBox, ...]:
    """Return every box of a design, inverters first."""
    plant = _Plant(site)
    return (*_inverters(plant), *_batteries(plant), *_limiter(site))


def in_power_cut(site: Site, backup_wh: int | None) -> str:
    """Describe a power cut.

    `backup_wh` is the energy [Wh] of cells behind units that can run as an island; None if not
    known.
    """
    plant = _Plant(site)
    with_battery = [unit for kind, unit in plant.units if kind in ("battery", "both")]
    if any(unit.can_island is None for unit in with_battery):
        return "Not known yet."
    if any(unit.can_island is True for unit in with_battery):
        lasts = "while the battery lasts"
        if backup_wh:
            tenths = backup_wh * 10 // BACKUP_LOAD_W
            hours = f"{tenths // 10}.{tenths % 10}" if tenths % 10 else f"{tenths // 10}"
            lasts = f"about {hours} hours at {kilowatts(BACKUP_LOAD_W)} from full"
        return f"The back-up supply goes on, {lasts}; the rest stops."
    if with_battery:
        return "Everything stops, the battery too."
    if any(kind == "sun" for kind, _ in plant.units):
        return "Everything stops, the panels too."
    return "Not known yet."


class _Plant:
    """The counted units of a site by what sits behind them, and the cells that stay."""

    def __init__(self, site: Site) -> None:
        units = {unit.id: unit for unit in site.units}
        self.cells: list[Storage] = [
            part
            for part in site.storage
            if part_status(part.status, units.get(part.unit_id)) != "removed"
        ]
        with_cells = {part.unit_id for part in self.cells}
        with_panels = {
            part.unit_id
            for part in site.arrays
            if part_status(part.status, units.get(part.unit_id)) != "removed"
        }
        self.units: list[tuple[Kind, Unit]] = [
            (_kind(unit, with_cells, with_panels), unit) for unit in site.units if is_counted(unit)
        ]

    def left(self, without: Unit | None) -> str:
        """Return what works without one line of units, in the customer's words."""
        own = next((kind for kind, unit in self.units if unit is without), "other")
        kinds = [kind for kind, unit in self.units if unit is not without]
        said = []
        if "sun" in kinds or "both" in kinds:
            said.append("the other panels" if own in ("sun", "both") else "the sun")
        if "battery" in kinds or "both" in kinds:
            said.append("the other battery" if own in ("battery", "both") else "the battery")
        if "other" in kinds:
            said.append("what else makes power")
        return listed(said) or _NOTHING


def _kind(unit: Unit, with_cells: set[str], with_panels: set[str]) -> Kind:
    if unit.source == "pv+storage" or (unit.id in with_cells and unit.id in with_panels):
        return "both"
    if unit.source == "pv":
        return "sun"
    return "battery" if unit.source == "storage" else "other"


def _inverters(plant: _Plant) -> Iterator[PlainBox]:
    names = [_called(kind, unit) for kind, unit in plant.units]
    often = Counter(names)
    met: Counter[str] = Counter()
    for (kind, unit), called in zip(plant.units, names, strict=True):
        met[called] += 1
        name = f"{called} {met[called]}" if often[called] > 1 else called
        n = quantity_of(unit) or 1
        rated = registered_w(unit)
        size = "" if rated is None else kilowatts(rated)
        if n == 1:
            yield PlainBox(name, size, name, plant.left(unit))
            continue
        like = "small inverters" if kind == "sun" and is_micro(unit) else "inverters"
        yield PlainBox(
            f"{n} {like} of {_whose(kind)}",
            f"{size} each" if size else "",
            "one of the small inverters"
            if like != "inverters"
            else f"one inverter of {_whose(kind)}",
            f"the other {n - 1 if n > 2 else 'one'} and all else",
        )


def _called(kind: Kind, unit: Unit) -> str:
    if kind == "other":
        return _OTHERS.get(unit.source, "the generator")
    return _INVERTERS[kind]


def _whose(kind: Kind) -> str:
    return {"sun": "the panels", "battery": "the battery", "both": "panels and battery"}.get(
        kind, "the plant"
    )


def _batteries(plant: _Plant) -> Iterator[PlainBox]:
    sun = any(kind in ("sun", "both") for kind, _ in plant.units)
    several = len(plant.cells) > 1
    for number, part in enumerate(plant.cells, start=1):
        wh = rating(part.usable_wh)
        left = ["the sun"] if sun else []
        if several:
            left.append("the other battery" if len(plant.cells) == 2 else "the other batteries")
        name = f"battery {number}" if several else "the battery"
        size = "" if wh is None else kilowatts(wh, "kWh")
        yield PlainBox(name, size, name, listed(left) or _NOTHING)


def _limiter(site: Site) -> Iterator[PlainBox]:
    for which in ("export", "import"):
        if limit_of(site, which) is not None:
            name = f"the {which} limiter"
            yield PlainBox(name, "", name, "what keeps to the limit, or nothing")
            return
