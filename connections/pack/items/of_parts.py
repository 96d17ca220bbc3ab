"""Data items of panels, cells and loads: the columns of their tables."""

from collections.abc import Callable
from typing import Any

from connections.facts.site import Array, Load, Storage, Unit
from connections.pack import cells
from connections.pack.case import Case
from connections.pack.cells import NOT_KNOWN
from connections.pack.content import Cell
from connections.pack.items.types import ARRAYS, EVERY, LOADS, STORAGE, ColumnItem


def coupling(case: Case, unit: Unit) -> tuple[str, str]:
    """How the storage of a unit is coupled: the trade's word, and what it means for counting."""
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


def _load_phases(case: Case, load: Load) -> Cell:
    return Cell(text=", ".join(load.phases)) if isinstance(load.phases, tuple) else NOT_KNOWN


def _column(field: str, decimals: int = 0) -> Callable[[Case, Any], Cell]:
    return lambda case, row: cells.whole(getattr(row, field), decimals)


def _rated_column(field: str, decimals: int = 3) -> Callable[[Case, Any], Cell]:
    return lambda case, row: cells.rated(getattr(row, field), decimals)


def _yes_no_column(field: str) -> Callable[[Case, Any], Cell]:
    return lambda case, row: cells.yes_no(getattr(row, field))


def _unit_id(case: Case, part: Array | Storage) -> Cell:
    return Cell(text=part.unit_id)


PART_COLUMNS: tuple[ColumnItem, ...] = (
    ColumnItem("arrays.unit", ARRAYS, "units", "Panels: unit", "Unit", 20, _unit_id),
    ColumnItem(
        "arrays.status", ARRAYS, "units", "Panels: existing or proposed", "Status", 15, _part_status
    ),
    ColumnItem(
        "arrays.peak",
        ARRAYS,
        "units",
        "Panels: peak power",
        "Peak power",
        13,
        _peak,
        unit="kWp",
        number=True,
    ),
    ColumnItem(
        "arrays.panels",
        ARRAYS,
        "units",
        "Panels: number",
        "Panels",
        12,
        _rated_column("panels", 0),
        number=True,
    ),
    ColumnItem(
        "arrays.strings",
        ARRAYS,
        "units",
        "Panels: strings",
        "Strings",
        12,
        _rated_column("strings", 0),
        number=True,
    ),
    ColumnItem(
        "arrays.tilt",
        ARRAYS,
        "units",
        "Panels: tilt",
        "Tilt",
        13,
        _column("tilt_deg"),
        unit="degrees",
        number=True,
    ),
    ColumnItem(
        "arrays.azimuth",
        ARRAYS,
        "units",
        "Panels: azimuth",
        "Azimuth from north",
        15,
        _column("azimuth_deg"),
        unit="degrees",
        number=True,
    ),
    ColumnItem("storage.unit", STORAGE, "storage", "Storage: unit", "Unit", 15, _unit_id),
    ColumnItem(
        "storage.status",
        STORAGE,
        "storage",
        "Storage: existing or proposed",
        "Status",
        13,
        _part_status,
        needed_for=EVERY,
    ),
    ColumnItem(
        "storage.coupling",
        STORAGE,
        "storage",
        "Storage: coupling",
        "Coupling",
        14,
        _store_coupling,
        needed_for=EVERY,
    ),
    ColumnItem(
        "storage.usable",
        STORAGE,
        "storage",
        "Storage: usable energy",
        "Usable energy",
        12,
        _rated_column("usable_wh"),
        unit="kWh",
        number=True,
        needed_for=EVERY,
    ),
    ColumnItem(
        "storage.charge",
        STORAGE,
        "storage",
        "Storage: power in",
        "Charging",
        12,
        _rated_column("charge_w"),
        unit="kW",
        number=True,
    ),
    ColumnItem(
        "storage.discharge",
        STORAGE,
        "storage",
        "Storage: power out",
        "Discharging",
        13,
        _rated_column("discharge_w"),
        unit="kW",
        number=True,
    ),
    ColumnItem(
        "storage.from_grid",
        STORAGE,
        "storage",
        "Storage: charges from the network",
        "Charges from network",
        11,
        _yes_no_column("charges_from_grid"),
        needed_for=EVERY,
    ),
    ColumnItem(
        "storage.exports",
        STORAGE,
        "storage",
        "Storage: exports",
        "Exports",
        10,
        _yes_no_column("exports"),
        needed_for=EVERY,
    ),
    ColumnItem(
        "loads.name",
        LOADS,
        "demand",
        "Large items of load",
        "Load",
        40,
        lambda case, load: cells.words(load.name),
    ),
    ColumnItem(
        "loads.w",
        LOADS,
        "demand",
        "Large items of load: power",
        "Power",
        18,
        _rated_column("w"),
        unit="kW",
        number=True,
    ),
    ColumnItem(
        "loads.phases", LOADS, "demand", "Large items of load: phases", "Phases", 20, _load_phases
    ),
    ColumnItem(
        "loads.controllable",
        LOADS,
        "demand",
        "Large items of load: controllable",
        "Controllable",
        22,
        _yes_no_column("controllable"),
    ),
)
