"""Build the column of a unit from the facts: devices, words and sources."""

from collections.abc import Iterable
from typing import Final, TypeVar

from msgspec import structs

from connections.diagram.circuits import words
from connections.diagram.circuits.circuit import Column, Device, Source, Status
from connections.diagram.circuits.clamping import Clamping
from connections.diagram.circuits.device_kinds import island_device, on_dc_side, plain, symbol_of
from connections.diagram.circuits.facts_index import FactsIndex
from connections.diagram.circuits.island import IslandPlan, island_of
from connections.diagram.circuits.limitation import Scheme
from connections.facts.defaults import (
    is_fully_tested,
    kind_of,
    known,
    mode_of,
    part_status,
    status_of,
)
from connections.facts.site import Array, Protection, Storage, Unit

MOST_SOURCES = 4
"""Arrays and sets of cells drawn one by one behind a unit; more are drawn as sums. Our choice."""

Part = TypeVar("Part", Array, Storage)

_CELLS: Final = ("battery", "storage", "cells")
"""Words that place a DC isolator at the cells."""
_TURBINES: Final = {"wind": "wind turbine", "hydro": "hydro turbine", "chp": "engine (CHP)"}


def column_of(facts: FactsIndex, unit: Unit, scheme: Scheme | None, clamping: Clamping) -> Column:
    """The circuit of a unit."""
    name = words.text(unit.id)
    entries = facts.protection.get(name, ())
    on_ac = [e for e in entries if not on_dc_side(e)]
    island = island_of(facts, unit)
    used = island.used if island else ()
    isolators = [e for e in on_ac if symbol_of(e).startswith("isolator")]
    interfaces = [e for e in on_ac if symbol_of(e) == "interface"]
    changeovers = [e for e in on_ac if symbol_of(e) == "changeover"]
    apart = (*isolators, *interfaces, *changeovers, *used)
    in_line = [e for e in on_ac if island is None or island_device(e) is None]
    others = [e for e in in_line if e not in apart]
    return Column(
        unit_id=unit.id,
        status=_status(status_of(unit)),
        symbol=_symbol(unit),
        words=_words(unit, clamping.read.get(unit.id, "")),
        devices=_devices(unit, others),
        cable="; ".join(words.cable(run) for run in facts.cables.get(name, ()) if name),
        changeover=_changeover(unit, changeovers, island),
        island=island.drawn if island else None,
        isolator=_isolator(unit, isolators),
        interface=_interface(unit, interfaces),
        sources=_sources(facts, unit, [e for e in entries if on_dc_side(e)]),
        controlled=scheme is not None and unit.id in scheme.controlled,
        measured=scheme is not None and scheme.measured_at == unit.id,
        clamps=clamping.units.get(unit.id, ()),
    )


def _changeover(unit: Unit, entries: list[Protection], island: IslandPlan | None) -> Device | None:
    """The switch that keeps a unit, or the island that it feeds, apart from the network."""
    said = ["; ".join(words.device(entry) for entry in entries)] if entries else []
    if island is not None and not island.drawn.board and not entries:
        return None
    if not entries and (island is not None or mode_of(unit) == "switched"):
        said.append("changeover switch not stated")
    if island is not None and island.drawn.board:
        said.append("parts the island from the network, neutral too")
    if mode_of(unit) == "switched":
        said.append("never in parallel with the network")
    return Device("changeover", "; ".join(said)) if said else None


def _isolator(unit: Unit, entries: list[Protection]) -> Device | None:
    """The isolator of a unit as stated; to be confirmed where the facts state none."""
    if not entries:
        if status_of(unit) == "removed":
            return None
        return Device("device-not-known", f"AC isolator: {words.ON_SITE}")
    locked = any(symbol_of(entry) == "isolator-locked" for entry in entries)
    return Device(
        "isolator-locked" if locked else "isolator",
        "; ".join(words.device(entry) for entry in entries),
    )


def stray_source(part: Array | Storage) -> Source:
    """The source of panels or cells that name no unit of the site."""
    if isinstance(part, Array):
        return Source("pv", words.panels(part), _status(part_status(part.status, None)))
    return Source("cells", words.cells((part,)), _status(part_status(part.status, None)))


def _status(status: str) -> Status:
    return "existing" if status == "existing" else "removed" if status == "removed" else "proposed"


def _symbol(unit: Unit) -> str:
    kind = kind_of(unit)
    if kind == "unknown":
        return "unit-not-known"
    if kind != "inverter":
        return "machine"
    return "inverter-tested" if is_fully_tested(unit) else "inverter"


def _devices(unit: Unit, entries: list[Protection]) -> tuple[Device, ...]:
    if not entries and status_of(unit) != "removed":
        return (Device("device-not-known", f"protective device: {words.ON_SITE}"),)
    return tuple(Device(symbol_of(entry), words.device(entry)) for entry in entries)


def _interface(unit: Unit, entries: list[Protection]) -> str:
    """Words beside a separate interface protection; empty where it is inside the unit."""
    if _symbol(unit) == "inverter-tested" or (status_of(unit) == "removed" and not entries):
        return ""
    if entries:
        reference = words.text(entries[0].reference)
        return f"interface protection, {reference}" if reference else "interface protection"
    if is_fully_tested(unit):
        return "interface protection, part of the tested unit"
    return f"interface protection: {words.ON_SITE}"


def _words(unit: Unit, read: str) -> tuple[str, ...]:
    kind = kind_of(unit)
    electronics = known(unit.panel_electronics)
    lines = [
        {"inverter": "", "unknown": "kind not known"}.get(kind, f"{kind} generator"),
        words.equipment(unit),
        f"{words.unit_rating(unit)}, {words.phases(unit.phases)}",
        words.type_test(unit),
        words.register_references(unit),
        words.operating_mode(unit),
        {"micro-inverters": "micro-inverters", "optimisers": "optimisers at the panels"}.get(
            electronics or "", ""
        ),
        "island mode not known" if unit.can_island is None else "",
        read,
    ]
    return tuple(line for line in lines if line)


def _sources(facts: FactsIndex, unit: Unit, on_dc: list[Protection]) -> tuple[Source, ...]:
    arrays = facts.arrays.get(unit.id, ())
    stores = facts.storage.get(unit.id, ())
    as_sums = len(arrays) + len(stores) > MOST_SOURCES
    status = _status(status_of(unit))
    found: list[Source] = []
    if unit.source in _TURBINES and kind_of(unit) == "inverter":
        found.append(Source("machine", (_TURBINES[unit.source],), status))
    elif unit.source == "vehicle":
        found.append(Source("vehicle", ("vehicle on its charge point",), status))
    elif unit.source == "other":
        found.append(Source("source-other", ("source of another kind",), status))
    if arrays:
        found.extend(_arrays(arrays, unit, as_sums))
    elif unit.source in ("pv", "pv+storage"):
        found.append(Source("pv", ("panels",), status))
    if stores:
        found.extend(_stores(stores, unit, as_sums))
    elif unit.source in ("storage", "pv+storage"):
        found.append(Source("cells", ("cells",), status))
    return _isolated(tuple(found), unit, on_dc)


def _isolated(
    sources: tuple[Source, ...], unit: Unit, on_dc: list[Protection]
) -> tuple[Source, ...]:
    """Give each DC isolator of the facts to a source, panels first unless it names the cells.

    Micro-inverters have connectors at each panel and need none.
    """
    isolators = [entry for entry in on_dc if symbol_of(entry).startswith("isolator")]
    others = [words.device(entry) for entry in on_dc if entry not in isolators]
    of_cells = [e for e in isolators if any(w in plain(e.kind) for w in _CELLS)]
    of_panels = [e for e in isolators if e not in of_cells]
    order = sorted(range(len(sources)), key=lambda i: sources[i].symbol != "pv")
    given: dict[int, list[Protection]] = {}
    fit = {"pv": of_panels, "cells": of_cells or of_panels}
    for i in order:
        waiting = fit.get(sources[i].symbol)
        if waiting:
            given[i] = [waiting.pop(0)]
    last = [i for i in order if i in given][-1:] or order[:1]
    rest = "; ".join([*(words.device(e) for e in (*of_panels, *of_cells)), *others])
    micro = known(unit.panel_electronics) == "micro-inverters"
    found = []
    for i, source in enumerate(sources):
        said = "; ".join(words.device(entry) for entry in given.get(i, ()))
        lacks = ""
        wants = source.symbol in ("pv", "cells") and source.status != "removed" and not micro
        if wants and not said:
            lacks = f"DC isolator: {words.ON_SITE}"
        if i in last and rest:
            said, lacks = (f"{said}; {rest}", "") if said else ("", f"{lacks}; {rest}".lstrip("; "))
        found.append(structs.replace(source, isolator=said, unisolated=lacks))
    return tuple(found)


def _arrays(arrays: tuple[Array, ...], unit: Unit, as_sums: bool) -> Iterable[Source]:
    for status, group in _grouped(arrays, unit, as_sums):
        one = len(group) == 1
        said = words.panels(group[0]) if one else words.several_panels(tuple(group))
        yield Source("pv", said, status)


def _stores(stores: tuple[Storage, ...], unit: Unit, as_sums: bool) -> Iterable[Source]:
    for status, group in _grouped(stores, unit, as_sums):
        yield Source("cells", words.cells(tuple(group)), status)


def _grouped(parts: tuple[Part, ...], unit: Unit, as_sums: bool) -> list[tuple[Status, list[Part]]]:
    """One group for each part, or for each status where only sums are drawn."""
    by_status = [(_status(part_status(part.status, unit)), part) for part in parts]
    if not as_sums:
        return [(status, [part]) for status, part in by_status]
    groups: dict[Status, list[Part]] = {}
    for status, part in by_status:
        groups.setdefault(status, []).append(part)
    return list(groups.items())
