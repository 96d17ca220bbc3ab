"""Data items of panels, cells and loads: the columns of their tables."""

from typing import Any

from connections.facts.site import Array, Load, Loads, Storage, Unit
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.items.types import (
    ARRAYS,
    LOADS,
    STORAGE,
    ColumnItem,
    ReadColumn,
    column_of,
    label_of,
    rated_column,
)


def coupling(case: Case, unit: Unit) -> str:
    """The trade's word for the coupling of a unit's storage: an inverter shared, or its own."""
    shared = "pv" in unit.source or case.arrays_behind(unit)
    return "DC-coupled" if shared else "AC-coupled"


def _peak(case: Case, array: Array) -> Cell:
    return cells.rated(array.peak_w)


def _load_name(case: Case, load: Load) -> Cell:
    return cells.words(load.name)


def _load_phases(case: Case, load: Load) -> Cell:
    return Cell(text=", ".join(load.phases)) if isinstance(load.phases, tuple) else NOT_KNOWN


def _yes_no_column(field: str) -> ReadColumn:
    return lambda case, row: cells.yes_no(getattr(row, field))


def _loads(name: str, read: ReadColumn, **more: Any) -> ColumnItem:
    of = label_of(Loads, "items")
    return column_of(Load, name, LOADS, "demand", read, of=of, **more)


def _cells(name: str, read: ReadColumn, **more: Any) -> ColumnItem:
    return column_of(Storage, name, STORAGE, "storage", read, of="Storage", **more)


PART_COLUMNS: tuple[ColumnItem, ...] = (
    column_of(Array, "peak_w", ARRAYS, "units", _peak, of="Panels", id="arrays.peak"),
    _cells("usable_wh", rated_column("usable_wh"), id="storage.usable"),
    _cells("charge_w", rated_column("charge_w"), id="storage.charge"),
    _cells("discharge_w", rated_column("discharge_w"), id="storage.discharge"),
    _cells("exports", _yes_no_column("exports")),
    _cells("charges_from_grid", _yes_no_column("charges_from_grid"), id="storage.from_grid"),
    _loads("name", _load_name, label=label_of(Loads, "items")),
    _loads("w", rated_column("w")),
    _loads("phases", _load_phases),
    _loads("controllable", _yes_no_column("controllable")),
)
