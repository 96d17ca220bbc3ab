"""Data items of panels, cells and loads: the columns of their tables."""

from typing import Any

from connections.facts.defaults import strings_of
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
    whole_column,
)


def coupling(case: Case, unit: Unit) -> tuple[str, str]:
    """Coupling of a unit's storage: the trade's word, and its meaning for counting."""
    if "pv" in unit.source or case.arrays_behind(unit):
        return "DC-coupled", "panels and cells share one inverter, which counts once"
    return "AC-coupled", "the cells have an inverter of their own, which counts by itself"


def _store_unit(case: Case, store: Storage) -> Unit | None:
    return next((unit for unit in case.site.units if unit.id == store.unit_id), None)


def _store_coupling(case: Case, store: Storage) -> Cell:
    unit = _store_unit(case, store)
    return NOT_KNOWN if unit is None else Cell(text=coupling(case, unit)[0])


def _part_status(case: Case, part: Array | Storage) -> Cell:
    if isinstance(part.status, str):
        return Cell(text=part.status)
    unit = next((unit for unit in case.site.units if unit.id == part.unit_id), None)
    return cells.status_cell(unit) if unit is not None else cells.assumed(Cell(text="proposed"))


def _peak(case: Case, array: Array) -> Cell:
    return cells.rated(array.peak_w)


def _load_name(case: Case, load: Load) -> Cell:
    return cells.words(load.name)


def _load_phases(case: Case, load: Load) -> Cell:
    return Cell(text=", ".join(load.phases)) if isinstance(load.phases, tuple) else NOT_KNOWN


def _yes_no_column(field: str) -> ReadColumn:
    return lambda case, row: cells.yes_no(getattr(row, field))


def _unit_id(case: Case, part: Array | Storage) -> Cell:
    return Cell(text=part.unit_id)


def _strings(case: Case, array: Array) -> Cell:
    return cells.rated(strings_of(array), 0)


def _panels(name: str, head: str, width: int, read: ReadColumn, **more: Any) -> ColumnItem:
    return column_of(Array, name, ARRAYS, "units", head, width, read, of="Panels", **more)


def _cells(name: str, head: str, width: int, read: ReadColumn, **more: Any) -> ColumnItem:
    return column_of(Storage, name, STORAGE, "storage", head, width, read, of="Storage", **more)


def _loads(name: str, head: str, width: int, read: ReadColumn, **more: Any) -> ColumnItem:
    of = label_of(Loads, "items")
    return column_of(Load, name, LOADS, "demand", head, width, read, of=of, **more)


PART_COLUMNS: tuple[ColumnItem, ...] = (
    _panels("unit_id", "Unit", 20, _unit_id, id="arrays.unit"),
    _panels("status", "Status", 15, _part_status),
    _panels("peak_w", "Peak power", 13, _peak, id="arrays.peak"),
    _panels("panels", "Panels", 12, rated_column("panels", 0), number=True),
    _panels("strings", "Strings", 12, _strings, number=True),
    _panels("tilt_deg", "Tilt", 13, whole_column("tilt_deg"), id="arrays.tilt", unit="degrees"),
    _panels(
        "azimuth_deg",
        "Azimuth from north",
        15,
        whole_column("azimuth_deg"),
        id="arrays.azimuth",
        unit="degrees",
    ),
    _cells("unit_id", "Unit", 15, _unit_id, id="storage.unit"),
    _cells("status", "Status", 13, _part_status),
    ColumnItem(
        "storage.coupling",
        STORAGE,
        "storage",
        "Storage: coupling",
        "Coupling",
        14,
        _store_coupling,
    ),
    _cells(
        "usable_wh",
        "Usable energy",
        12,
        rated_column("usable_wh"),
        id="storage.usable",
    ),
    _cells("charge_w", "Charging", 12, rated_column("charge_w"), id="storage.charge"),
    _cells("discharge_w", "Discharging", 13, rated_column("discharge_w"), id="storage.discharge"),
    _cells(
        "charges_from_grid",
        "Charges from network",
        11,
        _yes_no_column("charges_from_grid"),
        id="storage.from_grid",
    ),
    _cells("exports", "Exports", 10, _yes_no_column("exports")),
    _loads(
        "name",
        "Load",
        40,
        _load_name,
        label=label_of(Loads, "items"),
    ),
    _loads("w", "Power", 18, rated_column("w")),
    _loads("phases", "Phases", 20, _load_phases),
    _loads("controllable", "Can be turned down", 22, _yes_no_column("controllable")),
)
