"""Read the plant of a design from a site's facts, and note missing and assumed values."""

from msgspec import UNSET, Struct

from connections.energy.plant import Cells, Plant, PvArray, PvInverter, SharedInverter, StorageUnit
from connections.facts.defaults import (
    is_counted,
    part_status,
    quantity_of,
    rating,
    registered_w,
    supply_phases,
)
from connections.facts.site import Array, Limit, Site, Storage, Unit

SOUTH_DEG, USUAL_TILT_DEG = 180, 35
"""Azimuth and tilt assumed for panels where not known. Our choice; shown as assumed."""

VOLTS = 230
"""Between phase and neutral. Source: site file, reading rules."""


class PlantFound(Struct, frozen=True):
    """The plant of a site; None while a fact is missing.

    `needs` says what is missing and where; `assumed` lists the values taken for unknown facts.
    """

    plant: Plant | None
    needs: tuple[str, ...]
    assumed: tuple[str, ...]


def plant_of(site: Site) -> PlantFound:
    """Read the existing and proposed plant that a year of energy can be calculated from."""
    gathering = _Gathering(site)
    for unit in site.units:
        if is_counted(unit):
            gathering.take(unit)
    gathering.look_for_strays()
    limit_w = gathering.export_limit_w()
    needs = list(gathering.needs)
    plant = None
    if not needs and not (gathering.pv or gathering.storage or gathering.shared):
        needs.append("Needs panels or cells: this design has neither.")
    if not needs:
        plant = Plant(
            pv=tuple(gathering.pv),
            storage=tuple(gathering.storage),
            shared=tuple(gathering.shared),
            export_limit_w=limit_w,
            told=(*gathering.told, *(f"Assumed: {each}" for each in gathering.assumed)),
        )
    return PlantFound(plant, tuple(needs), tuple(gathering.assumed))


def export_cap_w(site: Site) -> float | None:
    """The lowest of the operator's caps on export, for the whole supply [W]; None without a cap.

    Amps on each phase are converted at VOLTS and the phases of the supply; VA is read as W.
    """
    caps = [each for each in site.caps if each.on == "export"]
    phases = len(supply_phases(site))
    return min(
        (
            each.value * VOLTS * phases / 1000
            if each.basis == "ma_per_phase"
            else float(each.value)
            for each in caps
        ),
        default=None,
    )


class _Gathering:
    """Goes through the units of a site and notes what it finds, needs and assumes."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self.pv: list[PvInverter] = []
        self.storage: list[StorageUnit] = []
        self.shared: list[SharedInverter] = []
        self.needs: list[str] = []
        self.assumed: list[str] = []
        self.told: list[str] = []
        self._phases: set[str] = set()

    def take(self, unit: Unit) -> None:
        """Take one line of units into the plant."""
        arrays = [
            each
            for each in self.site.arrays
            if each.unit_id == unit.id and part_status(each.status, unit) != "removed"
        ]
        cells = [
            each
            for each in self.site.storage
            if each.unit_id == unit.id and part_status(each.status, unit) != "removed"
        ]
        has_pv = unit.source in ("pv", "pv+storage")
        has_cells = unit.source in ("storage", "pv+storage")
        if not (has_pv or has_cells or arrays or cells):
            self.told.append(
                f"{unit.id} ({unit.source}) makes energy in ways that are not followed here; it is "
                "left out of the year."
            )
            return
        rated_w = self._rated_w(unit)
        panels = self._panels(unit, arrays, has_pv)
        store = self._cells(unit, cells, has_cells, rated_w)
        if rated_w is None or panels is None or (has_cells and store is None):
            return
        self._phases.update(unit.phases)
        if store is None:
            self.pv.append(PvInverter(unit.id, rated_w, panels))
        elif panels:
            self.shared.append(SharedInverter(unit.id, rated_w, panels, store))
        else:
            self.storage.append(StorageUnit(unit.id, rated_w, store))

    def _rated_w(self, unit: Unit) -> float | None:
        one = registered_w(unit)
        many = quantity_of(unit)
        if one is None:
            self.needs.append(f"Needs the registered capacity of {unit.id}.")
            return None
        if rating(unit.rated_w) is None:
            self.assumed.append(
                f"the apparent power of {unit.id}, {one} VA, stands in for its registered capacity."
            )
        if not many:
            self.needs.append(f"Needs the number of units of {unit.id}.")
            return None
        return float(one * many)

    def _panels(
        self, unit: Unit, arrays: list[Array], expected: bool
    ) -> tuple[PvArray, ...] | None:
        if expected and not arrays:
            self.needs.append(f"Needs the panels behind {unit.id}: peak power, tilt and azimuth.")
            return None
        found = []
        for number, array in enumerate(arrays, start=1):
            which = f"the panels behind {unit.id}" + (f" ({number})" if len(arrays) > 1 else "")
            peak_w = rating(array.peak_w)
            if peak_w is None:
                self.needs.append(f"Needs the peak power of {which}.")
                continue
            tilt = self._angle(array.tilt_deg, USUAL_TILT_DEG, 90, f"tilt of {which}")
            azimuth = self._angle(array.azimuth_deg, SOUTH_DEG, 360, f"azimuth of {which}")
            if tilt is not None and azimuth is not None:
                found.append(PvArray(float(peak_w), tilt, azimuth))
        return tuple(found) if len(found) == len(arrays) else None

    def _angle(self, value: object, usual: int, most: int, what: str) -> float | None:
        if not isinstance(value, int):
            south = ", south" if most == 360 else ""
            self.assumed.append(f"the {what} is {usual} degrees{south}; it is not known.")
            return float(usual)
        if value > most:
            self.needs.append(f"Needs a {what} of 0 to {most} degrees; {value} is given.")
            return None
        return float(value)

    def _cells(
        self, unit: Unit, sets: list[Storage], expected: bool, rated_w: float | None
    ) -> Cells | None:
        if expected and not sets:
            self.needs.append(f"Needs the cells behind {unit.id}: usable energy and power.")
            return None
        if not sets or rated_w is None:
            return None
        energy_w = charge_w = discharge_w = 0.0
        for store in sets:
            usable_wh = rating(store.usable_wh)
            if usable_wh is None:
                self.needs.append(f"Needs the usable energy of the cells behind {unit.id}.")
                return None
            energy_w += usable_wh
            charge_w += self._power(store.charge_w, rated_w / len(sets), "charging", unit)
            discharge_w += self._power(store.discharge_w, rated_w / len(sets), "discharging", unit)
        return Cells(
            energy_w,
            charge_w,
            min(discharge_w, rated_w),
            from_network=not any(store.charges_from_grid is False for store in sets),
            to_network=not any(store.exports is False for store in sets),
        )

    def _power(self, value: object, rated_w: float, what: str, unit: Unit) -> float:
        if isinstance(value, int) and value > 0:
            return float(value)
        self.assumed.append(
            f"the {what} power of the cells behind {unit.id} is {rated_w:g} W, the rating of its "
            "inverter; it is not known."
        )
        return rated_w

    def look_for_strays(self) -> None:
        """Ask for the inverter of panels and cells that name a missing unit."""
        known = {unit.id for unit in self.site.units}
        for what, parts in (("panels", self.site.arrays), ("cells", self.site.storage)):
            for part in parts:
                if part.unit_id not in known:
                    self.needs.append(
                        f"Needs the inverter of the {what} behind {part.unit_id}: there is no such "
                        "unit."
                    )

    def export_limit_w(self) -> float | None:
        """The export limit on the whole supply [W], None where there is none."""
        limits = self.site.limits
        limit = limits.export if limits is not None and limits is not UNSET else None
        if limit is None or limit is UNSET:
            for cap in self.site.caps:
                if cap.on == "export":
                    self.told.append(
                        "The operator's cap on export is not held by any limit of this design, and "
                        "is not in this year."
                    )
                    break
            return None
        if limit.value is None:
            self.needs.append("Needs the value of the export limit.")
            return None
        return self._limit_w(limit, limit.value)

    def _limit_w(self, limit: Limit, value: int) -> float:
        phases = supply_phases(self.site)
        used = sorted(self._phases & set(phases)) or list(phases)
        if limit.basis == "ma_per_phase":
            # Convert limits at the voltage that capacities use, whatever the supply's own.
            watts = value * VOLTS * len(used) / 1000
            self.told.append(
                f"The export limit of {value / 1000:g} A on each phase is {watts / 1000:g} kW over "
                f"{', '.join(used)}, where the plant is, at {VOLTS} V and unity power factor."
            )
            return watts
        if limit.basis == "va_total":
            self.told.append("The export limit in VA is read as W, at unity power factor.")
        watts = float(value)
        if len(phases) > 1 and limit.nets_phases is False and len(used) < len(phases):
            watts = value * len(used) / len(phases)
            self.told.append(
                f"The scheme does not net the phases: of the limit of {value / 1000:g} kW the "
                f"share of {', '.join(used)} counts, {watts / 1000:g} kW."
            )
        return watts
