"""Makes each way to go a site, of a quick look's answers."""

import datetime as dt

from msgspec import UNSET, Struct, structs

from connections.facts.site import (
    Array,
    Certificate,
    EnergySource,
    LimitBasis,
    Load,
    LoadKind,
    Loads,
    Phase,
    Premises,
    Site,
    Storage,
    Supply,
    Unit,
)
from connections.remedies.edit import Edit
from connections.remedies.made_of import full_test, standard_for
from connections.rulebook.book import Rulebook
from connections.ways.asked import Asked, RoofInverter

REFERENCE = "Quick look"
_ONE: tuple[Phase, ...] = ("L1",)
_ALL: tuple[Phase, ...] = ("L1", "L2", "L3")


class Way(Struct, frozen=True):
    """One way to go: its key and name, and its site or why it does not apply."""

    key: str
    name: str
    site: Site | None
    left_out: str = ""


def ways_of(asked: Asked, book: Rulebook, on: dt.date) -> tuple[Way, ...]:
    """Every way to go, in the order of telling; those that do not apply say why.

    All equipment is taken as fully type tested to the standard that its rating asks for.
    """
    made = _Making(asked, book, on)
    return (
        made.separate(),
        made.hybrid(),
        made.limited(),
        made.replaced(),
        made.battery_only(),
    )


class _Making:
    """Makes the parts that several ways share."""

    def __init__(self, asked: Asked, book: Rulebook, on: dt.date) -> None:
        self.asked = asked
        self.book = book
        self.on = on

    def separate(self) -> Way:
        """The wanted panels and the battery, each with inverters of its own."""
        name = "Separate inverters"
        asked = self.asked
        if not (asked.panels_w or asked.battery_wh):
            return Way("separate", name, None, "Neither panels nor a battery are wanted.")
        return Way("separate", name, self._site(self._sun(), self._battery()))

    def hybrid(self) -> Way:
        """The wanted panels and the battery on one new inverter; what is there stays."""
        name = "One hybrid inverter"
        asked = self.asked
        if not asked.battery_wh:
            return Way(
                "hybrid", name, None, "It shares an inverter with a battery; none is wanted."
            )
        if not asked.panels_w:
            return Way("hybrid", name, None, "It needs new panels; none are wanted.")
        return Way("hybrid", name, self._site(self._hybrid(asked.panels_w)))

    def limited(self) -> Way:
        """Separate inverters behind an export limitation scheme."""
        name = "Separate, export limited"
        site = self.separate().site
        if site is None:
            return Way("limited", name, None, "Neither panels nor a battery are wanted.")
        return Way("limited", name, with_export_limit(site, self.asked.limit_ma, "ma_per_phase"))

    def replaced(self) -> Way:
        """One hybrid inverter in place of the old one, with the old panels behind it."""
        name = "Replace the old inverter"
        asked = self.asked
        if not asked.there_w:
            return Way("replaced", name, None, "No inverter is there to replace.")
        if asked.there_kind == "micro":
            return Way(
                "replaced",
                name,
                None,
                "The old panels have micro-inverters; a hybrid inverter needs them re-strung.",
            )
        if not asked.battery_wh:
            return Way("replaced", name, None, "A hybrid inverter needs a battery; none is wanted.")
        return Way(
            "replaced",
            name,
            self._site(self._hybrid(asked.there_peak_w + asked.panels_w), keeps_old=False),
        )

    def battery_only(self) -> Way:
        """The battery with its own inverter, and no new panels."""
        name = "Battery only"
        asked = self.asked
        if not asked.battery_wh:
            return Way("battery", name, None, "No battery is wanted.")
        if not asked.panels_w:
            return Way(
                "battery", name, None, "It is the same as separate inverters: no new panels."
            )
        return Way("battery", name, self._site(self._battery()))

    def _site(self, *parts: "_Parts", keeps_old: bool = True) -> Site:
        asked = self.asked
        old = self._old(keeps_old)
        wanted: tuple[tuple[str, int, LoadKind], ...] = (
            ("charge point", asked.charge_point_w, "vehicle"),
            ("heat pump", asked.heat_pump_w, "heat-pump"),
        )
        loads = tuple(
            Load(name=name, w=watts, phases=self._phases(), kind=kind, controllable=False)
            for name, watts, kind in wanted
            if watts
        )
        return Site(
            format="site/1",
            reference=REFERENCE,
            on_date=self.on,
            supply=Supply(
                phases=asked.phases,
                cutout_a=asked.cutout_a,
                earthing=asked.earthing,
                looped=False,
            ),
            premises=Premises(licence_area=asked.area) if asked.area else UNSET,
            units=tuple(unit for each in (old, *parts) for unit in each.units),
            arrays=tuple(array for each in (old, *parts) for array in each.arrays),
            storage=tuple(cells for each in (old, *parts) for cells in each.cells),
            loads=Loads(items=loads) if loads else UNSET,
        )

    def _old(self, stays: bool) -> "_Parts":
        """The plant that is there; where it goes, its panels move to another inverter."""
        asked = self.asked
        if not asked.there_w:
            return _Parts()
        tested = full_test(asked.there_test) if asked.there_test != "none" else ()
        parts = self._panels("pv-1", asked.there_w, asked.there_peak_w, asked.there_kind, tested)
        return _Parts(
            tuple(
                structs.replace(unit, status="existing" if stays else "removed")
                for unit in parts.units
            ),
            tuple(structs.replace(each, status="existing") for each in parts.arrays)
            if stays
            else (),
        )

    def _sun(self) -> "_Parts":
        """The wanted panels with inverters of their own."""
        asked = self.asked
        if not asked.panels_w:
            return _Parts()
        name = "pv-2" if asked.there_w else "pv-1"
        return self._panels(name, asked.pv_w, asked.panels_w, asked.roof_kind, None)

    def _panels(
        self,
        name: str,
        total_w: int,
        peak_w: int,
        kind: RoofInverter,
        tested: tuple[Certificate, ...] | None,
    ) -> "_Parts":
        """One inverter, or micro-inverters spread evenly over the phases; `tested` None is new."""
        if kind == "string":
            unit = self._unit(name, "pv", total_w, self._phases(), tested)
            return _Parts((unit,), _behind(name, peak_w))
        phases = self._phases()
        here = -(-total_w // len(phases))
        count = max(1, -(-here // self.asked.micro_w))
        each_w = -(-here // count)
        units: list[Unit] = []
        arrays: list[Array] = []
        for phase in phases:
            label = name if len(phases) == 1 else f"{name}-{phase}"
            unit = self._unit(label, "pv", each_w, (phase,), tested)
            units.append(structs.replace(unit, quantity=count))
            arrays += _behind(label, peak_w // len(phases))
        return _Parts(tuple(units), tuple(arrays))

    def _battery(self) -> "_Parts":
        asked = self.asked
        if not asked.battery_wh:
            return _Parts()
        unit = structs.replace(
            self._unit("bat-1", "storage", asked.battery_w, self._phases()), can_island=asked.backup
        )
        return _Parts((unit,), (), (self._cells("bat-1"),))

    def _hybrid(self, peak_w: int) -> "_Parts":
        asked = self.asked
        unit = structs.replace(
            self._unit("hyb-1", "pv+storage", asked.hybrid_rated_w, self._phases()),
            can_island=asked.backup,
        )
        panels = (Array(unit_id="hyb-1", peak_w=peak_w),) if peak_w else ()
        return _Parts((unit,), panels, (self._cells("hyb-1"),))

    def _cells(self, behind: str) -> Storage:
        return Storage(
            unit_id=behind,
            usable_wh=self.asked.battery_wh,
            charges_from_grid=self.asked.charges_from_grid,
            exports=True,
        )

    def _unit(
        self,
        name: str,
        source: EnergySource,
        rated_w: int,
        phases: tuple[Phase, ...],
        tested: tuple[Certificate, ...] | None = None,
    ) -> Unit:
        if tested is None:
            tested = full_test(standard_for(rated_w, len(phases), self.book))
        return Unit(id=name, source=source, rated_w=rated_w, phases=phases, standards=tested)

    def _phases(self) -> tuple[Phase, ...]:
        """All phases of a three-phase supply, if assumed; else the first."""
        return _ALL if self.asked.phases == 3 and self.asked.on_all_phases else _ONE


class _Parts(Struct, frozen=True):
    """Units with their panels and cells."""

    units: tuple[Unit, ...] = ()
    arrays: tuple[Array, ...] = ()
    cells: tuple[Storage, ...] = ()


def _behind(unit: str, peak_w: int) -> tuple[Array, ...]:
    return (Array(unit_id=unit, peak_w=peak_w),) if peak_w else ()


def with_export_limit(site: Site, value: int, basis: LimitBasis) -> Site:
    """The site behind a fully type-tested export limitation scheme.

    `value` is in mA on each phase, or in W or VA in all, by `basis`.
    """
    edit = Edit(site)
    edit.export_limit(value, basis)
    return edit.site
