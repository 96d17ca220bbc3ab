"""Clamps by the circuit that they measure and by who reads them."""

from collections.abc import Iterable

from msgspec import Struct

from connections.diagram.circuits import words
from connections.diagram.circuits.circuit import Clamps
from connections.facts.defaults import known, status_of
from connections.facts.site import Clamp, Limits, Site

_LIMITS = {"export-limit": "export", "import-limit": "import_"}


class Clamping(Struct, frozen=True):
    """Every clamp of a site in its place.

    `scheme` are clamps at the supply that a limit of the site reads, `supply` the other ones there.
    `units` are those in the circuit of a unit, `loads` those on loads. `unplaced` are described
    where their circuit is not known. `read` tells of each unit the clamps that it reads.
    """

    scheme: tuple[Clamps, ...]
    supply: tuple[Clamps, ...]
    units: dict[str, tuple[Clamps, ...]]
    loads: tuple[Clamps, ...]
    unplaced: tuple[str, ...]
    read: dict[str, str]


def clamping_of(site: Site) -> Clamping:
    """Place the clamps of a site. Clamps alike but for name and phase are drawn as one."""
    groups: dict[tuple[object, ...], list[Clamp]] = {}
    for clamp in site.clamps or ():
        key = (clamp.place, clamp.serves, clamp.direction, clamp.link)
        groups.setdefault(key, []).append(clamp)
    scheme: list[Clamps] = []
    supply: list[Clamps] = []
    loads: list[Clamps] = []
    units: dict[str, tuple[Clamps, ...]] = {}
    unplaced: list[str] = []
    read: dict[str, list[str]] = {}
    for group in groups.values():
        drawn = _drawn(group)
        reader = known(group[0].serves) or ""
        for unit in site.units:
            if unit.id == reader:
                read.setdefault(unit.id, []).extend(words.text(clamp.id) for clamp in group)
        place = known(group[0].place)
        measured = _measured(site, group[0])
        if place == "grid":
            (scheme if _reads(site, reader) else supply).append(drawn)
        elif place == "load":
            loads.append(drawn)
        elif measured:
            units[measured] = (*units.get(measured, ()), drawn)
        else:
            what = {"pv": "PV", "storage": "storage"}.get(place or "", "a current not known")
            unplaced.append(f"{drawn.words}, measures {what}")
    return Clamping(
        tuple(scheme),
        tuple(supply),
        units,
        tuple(loads),
        tuple(unplaced),
        {unit_id: "reads CT " + ", ".join(names) for unit_id, names in read.items()},
    )


def _drawn(group: list[Clamp]) -> Clamps:
    reader = words.text(group[0].serves).replace("-limit", " limit")
    arrow = known(group[0].direction) or ""
    return Clamps(words.clamps(group, (reader,) if reader else ()), arrow)


def _reads(site: Site, reader: str) -> bool:
    """Whether a reader is a limit of the site; a clamp that names none is taken as the limit's."""
    limits = site.limits if isinstance(site.limits, Limits) else Limits()
    there = [name for name, field in _LIMITS.items() if known(getattr(limits, field)) is not None]
    return reader in there if reader else bool(there)


def _measured(site: Site, clamp: Clamp) -> str:
    """The unit whose circuit a clamp sits round; empty where several could be meant."""
    place = known(clamp.place)
    if place not in ("pv", "storage"):
        return ""
    return _only(
        unit.id
        for unit in site.units
        if status_of(unit) != "removed" and unit.source in (place, "pv+storage")
    )


def _only(found: Iterable[str]) -> str:
    names = tuple(found)
    return names[0] if len(names) == 1 else ""
