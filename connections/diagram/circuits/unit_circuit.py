"""Build the column of a unit from the facts: devices, words and sources."""

from collections.abc import Iterable
from typing import Final, TypeVar

from connections.diagram.circuits import words
from connections.diagram.circuits.circuit import Column, Device, Source, Status
from connections.diagram.circuits.device_kinds import on_dc_side, symbol_of
from connections.diagram.circuits.facts_index import FactsIndex
from connections.diagram.circuits.limitation import Scheme
from connections.facts.defaults import (
    is_fully_tested,
    kind_of,
    mode_of,
    part_status,
    status_of,
)
from connections.facts.site import Array, Protection, Storage, Unit

MOST_SOURCES = 4
"""Arrays and sets of cells drawn one by one behind a unit; more are drawn as sums. Our choice."""

Part = TypeVar("Part", Array, Storage)

_TURBINES: Final = {"wind": "wind turbine", "hydro": "hydro turbine", "chp": "engine (CHP)"}


def column_of(facts: FactsIndex, unit: Unit, scheme: Scheme | None) -> Column:
    """The circuit of a unit."""
    name = words.text(unit.id)
    entries = facts.protection.get(name, ())
    on_ac = [e for e in entries if not on_dc_side(e)]
    isolators = [e for e in on_ac if symbol_of(e) == "isolator"]
    interfaces = [e for e in on_ac if symbol_of(e) == "interface"]
    others = [e for e in on_ac if symbol_of(e) not in ("isolator", "interface")]
    return Column(
        unit_id=unit.id,
        status=_status(status_of(unit)),
        symbol=_symbol(unit),
        words=_words(unit),
        devices=_devices(unit, others),
        cable="; ".join(words.cable(run) for run in facts.cables.get(name, ()) if name),
        island=unit.can_island is True,
        switched=mode_of(unit) == "switched",
        isolator="; ".join(words.device(entry) for entry in isolators),
        interface=_interface(unit, interfaces),
        dc_isolator="; ".join(words.device(e) for e in entries if on_dc_side(e)),
        sources=_sources(facts, unit),
        controlled=scheme is not None and unit.id in scheme.controlled,
        measured=scheme is not None and scheme.measured_at == unit.id,
        equipment=" ".join(t for t in (words.text(unit.maker), words.text(unit.model)) if t),
    )


def stray_source(part: Array | Storage) -> Source:
    """The source of panels or cells that name no unit of the site."""
    if isinstance(part, Array):
        return Source("pv", words.panels(part), _status(part_status(part.status, None)), True)
    return Source("cells", words.cells((part,)), _status(part_status(part.status, None)), True)


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
        return (Device("device-not-known", "protective device not known"),)
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
    return "interface protection not known"


def _words(unit: Unit) -> tuple[str, ...]:
    kind = kind_of(unit)
    lines = [
        {"inverter": "", "unknown": "kind not known"}.get(kind, f"{kind} generator"),
        words.unit_rating(unit),
        words.phases(unit.phases),
        words.type_test(unit),
        words.operating_mode(unit),
        "island mode not known" if unit.can_island is None else "",
        "board not known" if unit.feeds_from is None else "",
    ]
    return tuple(line for line in lines if line)


def _sources(facts: FactsIndex, unit: Unit) -> tuple[Source, ...]:
    arrays = facts.arrays.get(unit.id, ())
    stores = facts.storage.get(unit.id, ())
    as_sums = len(arrays) + len(stores) > MOST_SOURCES
    status = _status(status_of(unit))
    found: list[Source] = []
    if unit.source in _TURBINES and kind_of(unit) == "inverter":
        found.append(Source("machine", (_TURBINES[unit.source],), status, False))
    elif unit.source == "vehicle":
        found.append(Source("vehicle", ("vehicle on its charge point",), status, False))
    elif unit.source == "other":
        found.append(Source("source-other", ("source of another kind",), status, False))
    if arrays:
        found.extend(_arrays(arrays, unit, as_sums))
    elif unit.source in ("pv", "pv+storage"):
        found.append(Source("pv", ("panels not known",), status, True))
    if stores:
        found.extend(_stores(stores, unit, as_sums))
    elif unit.source in ("storage", "pv+storage"):
        found.append(Source("cells", ("cells not known",), status, True))
    return tuple(found)


def _arrays(arrays: tuple[Array, ...], unit: Unit, as_sums: bool) -> Iterable[Source]:
    for status, group in _grouped(arrays, unit, as_sums):
        one = len(group) == 1
        said = words.panels(group[0]) if one else words.several_panels(tuple(group))
        yield Source("pv", said, status, True)


def _stores(stores: tuple[Storage, ...], unit: Unit, as_sums: bool) -> Iterable[Source]:
    for status, group in _grouped(stores, unit, as_sums):
        yield Source("cells", words.cells(tuple(group)), status, True)


def _grouped(parts: tuple[Part, ...], unit: Unit, as_sums: bool) -> list[tuple[Status, list[Part]]]:
    """One group for each part, or for each status where only sums are drawn."""
    by_status = [(_status(part_status(part.status, unit)), part) for part in parts]
    if not as_sums:
        return [(status, [part]) for status, part in by_status]
    groups: dict[Status, list[Part]] = {}
    for status, part in by_status:
        groups.setdefault(status, []).append(part)
    return list(groups.items())
