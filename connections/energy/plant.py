"""The plant of one design, as far as a year of energy depends on it."""

from msgspec import Struct

from connections.energy.energy_errors import EnergyError


class PvArray(Struct, frozen=True):
    """Panels of one direction: peak power [W], tilt and azimuth clockwise from north [degrees]."""

    peak_w: float
    tilt_deg: float
    azimuth_deg: float


class PvInverter(Struct, frozen=True):
    """An inverter, or a line of like ones, with panels only: total AC rating [W]."""

    id: str
    rated_w: float
    arrays: tuple[PvArray, ...]


class Cells(Struct, frozen=True):
    """Cells: usable energy [Wh], most charging and discharging power [W].

    Powers count where the equations count them. With an inverter of their own, that is at AC.
    Behind a hybrid inverter, charging counts at its DC side, discharging at AC. `from_network` and
    `to_network` say whether windows may fill the cells from the network and empty them into it.
    """

    usable_wh: float
    charge_w: float
    discharge_w: float
    from_network: bool = True
    to_network: bool = True


class StorageUnit(Struct, frozen=True):
    """Cells with an inverter of their own (AC-coupled): AC rating [W]."""

    id: str
    rated_w: float
    cells: Cells


class SharedInverter(Struct, frozen=True):
    """One inverter with panels and cells behind it (DC-coupled): AC rating [W]."""

    id: str
    rated_w: float
    arrays: tuple[PvArray, ...]
    cells: Cells


class Plant(Struct, frozen=True):
    """All plant of a design that this room can follow, and its export limit [W], None for none.

    The limit applies to the whole supply; `told` says how the plant was read.
    """

    pv: tuple[PvInverter, ...] = ()
    storage: tuple[StorageUnit, ...] = ()
    shared: tuple[SharedInverter, ...] = ()
    export_limit_w: float | None = None
    told: tuple[str, ...] = ()

    def checked(self) -> "Plant":
        """Returns itself. Raises EnergyError without plant or for an impossible amount."""
        if not (self.pv or self.storage or self.shared):
            raise EnergyError("There are neither panels nor cells in this design to follow.")
        for unit in self.with_panels:
            _positive(unit.id, "AC rating", unit.rated_w)
            for array in unit.arrays:
                _positive(unit.id, "peak power of the panels", array.peak_w)
                if not 0 <= array.tilt_deg <= 90:
                    raise EnergyError(f"{unit.id}: a tilt of {array.tilt_deg:g} degrees cannot be.")
                if not 0 <= array.azimuth_deg <= 360:
                    raise EnergyError(
                        f"{unit.id}: an azimuth of {array.azimuth_deg:g} degrees cannot be: "
                        "give 0 to 360 clockwise from north."
                    )
        for store in self.with_cells:
            _positive(store.id, "AC rating", store.rated_w)
            _positive(store.id, "usable energy of the cells", store.cells.usable_wh)
            _positive(store.id, "charging power of the cells", store.cells.charge_w)
            _positive(store.id, "discharging power of the cells", store.cells.discharge_w)
        if self.export_limit_w is not None and not 0 <= self.export_limit_w < 1e9:
            raise EnergyError(f"An export limit of {self.export_limit_w:g} W cannot be.")
        return self

    @property
    def with_panels(self) -> "tuple[PvInverter | SharedInverter, ...]":
        """Inverters with panels behind them."""
        units: list[PvInverter | SharedInverter] = [*self.pv, *self.shared]
        return tuple(units)

    @property
    def with_cells(self) -> "tuple[StorageUnit | SharedInverter, ...]":
        """Inverters with cells behind them."""
        units: list[StorageUnit | SharedInverter] = [*self.storage, *self.shared]
        return tuple(units)

    @property
    def peak_w(self) -> float:
        """The peak power of all panels [W]."""
        return sum(array.peak_w for unit in self.with_panels for array in unit.arrays)


def _positive(unit: str, what: str, amount: float) -> None:
    if not 0 < amount < 1e9:
        raise EnergyError(f"{unit}: its {what} is {amount:g}, and must be more than nothing.")
