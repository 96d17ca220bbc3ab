"""The whole survey sheet: turns typed text into unsaved rows.

A sheet is made from raw text (`Raw`), whether posted, kept in a draft or written from saved rows.
So all three take the same path.
"""

from collections.abc import Iterator
from typing import Any
from uuid import UUID, uuid4

from django.utils.datastructures import MultiValueDict
from django.utils.safestring import SafeString

from sites.house.boxes.sheet_form import Fault, RowForm, Rows, SheetForm
from sites.premises.forms.plant import (
    ArrayForm,
    BoardForm,
    CableForm,
    CapForm,
    CellsForm,
    ClampForm,
    ExistingLimitForm,
    ExistingUnitForm,
    LimitForm,
    LoadForm,
    OverrideForm,
    ProposedLimitForm,
    ProposedUnitForm,
    ProtectionForm,
    ReaderBox,
)
from sites.premises.forms.premises import (
    ApplicantForm,
    CaseForm,
    ChangedSupplyForm,
    CustomerForm,
    InstallerForm,
    NearbyForm,
    NumberForm,
    PartyForm,
    PremisesForm,
    SupplyForm,
)
from sites.premises.forms.unit_lines import PlacedUnit, place_units, row_of
from sites.premises.models import (
    OVERRIDABLE,
    Array,
    Board,
    Cable,
    Cap,
    Cells,
    Clamp,
    Limit,
    Load,
    Override,
    Party,
    Premises,
    Protection,
    Supply,
    SupplyNumber,
)
from sites.premises.reading.site_rows import PlantRows, SiteRows
from sites.premises.refusals import MOST_UNIT_LINES, TooManyUnitsError

Raw = dict[str, list[str]]
"""A posted form as plain data: each name with its texts."""

PARTS = ("existing", "proposed")
SINGLES: dict[str, type[SheetForm]] = {
    "case": CaseForm,
    "customer": CustomerForm,
    "applicant": ApplicantForm,
    "installer": InstallerForm,
    "premises": PremisesForm,
    "supply": SupplyForm,
    "changed": ChangedSupplyForm,
    "nearby": NearbyForm,
    "existing-export": ExistingLimitForm,
    "existing-import": ExistingLimitForm,
    "proposed-export": ProposedLimitForm,
    "proposed-import": ProposedLimitForm,
}
_PLANT: dict[str, type[RowForm]] = {
    "arrays": ArrayForm,
    "cells": CellsForm,
    "boards": BoardForm,
    "protection": ProtectionForm,
    "cables": CableForm,
    "loads": LoadForm,
    "clamps": ClampForm,
}
GROUPS: dict[str, type[RowForm]] = {
    "numbers": NumberForm,
    "existing-units": ExistingUnitForm,
    "proposed-units": ProposedUnitForm,
    **{f"{part}-{name}": form for part in PARTS for name, form in _PLANT.items()},
    "caps": CapForm,
    "overrides": OverrideForm,
}
_CALLED = {
    "existing-export": "Export limit kept now",
    "existing-import": "Import limit kept now",
    "proposed-export": "Export limit",
    "proposed-import": "Import limit",
}
_ADJECTIVES = {"existing": "Existing ", "proposed": ""}


def called(group: str) -> str:
    """Return the name of a part, or of a row of a group, for messages: "Existing panels"."""
    if group in SINGLES:
        return _CALLED.get(group) or SINGLES[group].called
    part, _, rest = group.partition("-")
    noun = GROUPS[group].noun
    return f"{_ADJECTIVES[part]}{noun.lower()}".capitalize() if rest else noun


class Sheet:
    """A sheet made from raw text. Raises nothing: `faults` lists faults, `rows` the readable rest.

    `keys` are the keys of saved rows that the sheet may name; other rows get new keys.
    """

    def __init__(self, raw: Raw, keys: frozenset[UUID] = frozenset()) -> None:
        self.data: MultiValueDict[str, str] = MultiValueDict(raw)
        self._free_keys = set(keys)
        self.forms: dict[str, SheetForm] = {
            name: kind(self.data, prefix=name, called=_CALLED.get(name, ""))
            for name, kind in SINGLES.items()
        }
        self.groups: dict[str, Rows] = {
            name: Rows(kind, self.data, prefix=name, called=called(name))
            for name, kind in GROUPS.items()
        }
        self._rows: SiteRows | None = None
        self._units: list[PlacedUnit] = []
        self._clamp_names: set[str] = set()

    def faults(self) -> list[Fault]:
        """Return the faults in the order of the page."""
        self.rows  # noqa: B018 (reading the rows notes what is wrong between them)
        found = [
            Fault(f"rows-{name}", called(name), rows.refusal or rows.complaint)
            for name, rows in self.groups.items()
            if rows.refusal or rows.complaint
        ]
        for part in self.in_order():
            if not isinstance(part, ChangedSupplyForm) or part.counts:
                found += part.faults()
        return found

    def in_order(self) -> Iterator[SheetForm]:
        """Yield every form in the order of the page."""
        forms, groups = self.forms, self.groups
        for name in ("case", "customer", "premises"):
            yield forms[name]
        yield from groups["numbers"].forms
        for name in ("applicant", "installer", "supply", "nearby"):
            yield forms[name]
        for part in PARTS:
            for group in ("units", *_PLANT):
                yield from groups[f"{part}-{group}"].forms
            for on in ("export", "import"):
                yield forms[f"{part}-{on}"]
        yield forms["changed"]
        yield from groups["caps"].forms
        yield from groups["overrides"].forms

    def messages(self) -> dict[str, SafeString]:
        """Return the message at each box, by the name of the box; most are empty."""
        return {
            form.add_prefix(name): form.message(name)
            for form in self.in_order()
            for name in form.fields
        }

    def answered(self) -> set[str]:
        """Return the names of boxes whose question has been answered."""
        return {
            form.add_prefix(name)
            for form in self.in_order()
            for name in form.fields
            if form.is_answered(name)
        }

    @property
    def spread_units(self) -> list[str]:
        """Names in words the units that are split into one line for each phase."""
        self.rows  # noqa: B018 (reading the rows places the units)
        return [
            f"{unit.label} is spread over the phases: "
            + ", ".join(f"{line.quantity} on {line.phases} ({line.label})" for line in unit.lines)
            for unit in self._units
            if len(unit.lines) > 1
        ]

    def show(self, which: Any) -> None:
        """Choose which messages stand at the boxes: none, unreadable, or all."""
        for form in self.in_order():
            form.shows = which

    @property
    def rows(self) -> SiteRows:
        """Unsaved rows of all that can be read."""
        if self._rows is None:
            self._rows = self._make_rows()
        return self._rows

    @property
    def supply_phases(self) -> int | None:
        """The number of phases of the supply with this design."""
        changed = self.forms["changed"]
        name = "changed" if isinstance(changed, ChangedSupplyForm) and changed.counts else "supply"
        phases: int | None = self.forms[name].fact("phases")
        return phases

    def _make_rows(self) -> SiteRows:
        rows = SiteRows(premises=self._premises())
        for part in ("customer", "applicant", "installer"):
            form = self.forms[part]
            if isinstance(form, PartyForm) and not form.is_blank:
                rows.parties.append(Party(part=part, **form.values()))
        rows.numbers = [
            row_of(SupplyNumber, form, self._key(form))
            for form in self.groups["numbers"].said
            if form.fact("value") and form.fact("use")
        ]
        rows.caps = [
            row_of(Cap, form, self._key(form))
            for form in self.groups["caps"].said
            if form.fact("value") is not None and form.fact("on") and form.fact("basis")
        ]
        rows.overrides = self._overrides()
        rows.supply = Supply(**self.forms["supply"].values())
        changed = self.forms["changed"]
        if isinstance(changed, ChangedSupplyForm) and changed.counts:
            values = changed.values()
            del values["changes"]
            rows.new_supply = Supply(**values)
        units = self._units = place_units(
            {part: self.groups[f"{part}-units"].said for part in PARTS},
            supply_phases=self.supply_phases,
            phases_now=self.forms["supply"].fact("phases"),
            key=self._key,
        )
        lines = sum(len(unit.lines) for unit in units)
        if lines > MOST_UNIT_LINES:
            # Nothing is decided on part of the plant.
            self.groups["proposed-units"].complaint = str(TooManyUnitsError(lines))
            return rows
        self._clamp_names = {
            form.fact("label").casefold()
            for part in PARTS
            for form in self.groups[f"{part}-clamps"].said
        }
        for part, plant in (("existing", rows.existing), ("proposed", rows.proposed)):
            self._add_plant(part, plant, units)
        rows.removed = {line.key for unit in units if unit.goes for line in unit.lines}
        return rows

    def _overrides(self) -> list[Override]:
        """Return the engineer's figures, each in the unit of its default."""
        found: dict[str, Override] = {}
        for form in self.groups["overrides"].said:
            name, value, reason = (form.fact(box) for box in ("default", "value", "reason"))
            if name in found:
                form.complain("default", "another row has a figure for this; keep one of them")
            elif name and value is not None and reason:
                found[name] = row_of(Override, form, self._key(form))
                found[name].unit = OVERRIDABLE[name].unit
        return list(found.values())

    def _premises(self) -> Premises:
        values = {
            **self.forms["case"].values(),
            **self.forms["premises"].values(),
        }
        nearby = self.forms["nearby"].fact("nearby")
        number = self.forms["nearby"].fact("nearby_premises")
        asked = {"none": (True, 0), "some": (True, number), "unknown": (True, None)}
        values["nearby_asked"], values["nearby_premises"] = asked.get(nearby, (False, None))
        return Premises(**values)

    def _add_plant(self, part: str, plant: PlantRows, units: list[PlacedUnit]) -> None:
        plant.units = [line for unit in units if unit.part == part for line in unit.lines]
        finder = UnitFinder(units)
        for form in self.groups[f"{part}-arrays"].said:
            if unit := finder.behind(form, part, ("pv", "pv+storage")):
                if len(unit.lines) > 1 and isinstance(form.fact("strings"), list):
                    form.complain(
                        "strings",
                        f"{unit.label} is spread over the phases; write the number of strings, or "
                        "put the units and their panels into rows of their own",
                        "spread",
                    )
                    continue
                plant.arrays += unit.shared(
                    row_of(Array, form, self._key(form)), ("peak_w", "panels", "strings")
                )
        for form in self.groups[f"{part}-cells"].said:
            if unit := finder.behind(form, part, ("storage", "pv+storage", "vehicle")):
                plant.cells += unit.shared(
                    row_of(Cells, form, self._key(form)), ("usable_wh", "charge_w", "discharge_w")
                )
        for form in self._named_once(f"{part}-boards"):
            if form.fact("label"):
                plant.boards.append(row_of(Board, form, self._key(form)))
        for form in self.groups[f"{part}-protection"].said:
            if form.fact("kind"):
                device = row_of(Protection, form, self._key(form))
                unit = finder.named(device.serves)
                plant.protection += unit.repeated(device, "serves") if unit else [device]
        for form in self.groups[f"{part}-cables"].said:
            if form.fact("from_board") and form.fact("to_board"):
                cable = row_of(Cable, form, self._key(form))
                unit = finder.wanted(form) if cable.unit_id else None
                if unit is None:
                    cable.unit_id = ""
                plant.cables += unit.repeated(cable, "unit_id") if unit else [cable]
        plant.loads = [
            row_of(Load, form, self._key(form))
            for form in self.groups[f"{part}-loads"].said
            if form.fact("name")
        ]
        plant.clamps = [self._clamp(form, finder) for form in self._named_once(f"{part}-clamps")]
        for on in ("export", "import"):
            limit = self.forms[f"{part}-{on}"]
            if isinstance(limit, LimitForm) and limit.counts:
                values = limit.values()
                values["basis"] = values["basis"] or "ma_per_phase"
                values["controls"] = self._controlled(limit, finder)
                plant.limits.append(Limit(on=on, **values))

    def _named_once(self, group: str) -> Iterator[RowForm]:
        """Yield the rows of a group; puts a fault at the box of a name that stands twice."""
        taken: set[str] = set()
        for form in self.groups[group].said:
            name = form.fact("label")
            if name and name.casefold() in taken:
                noun = form.noun.lower()
                form.complain("label", f'another {noun} is called "{name}"; give it its own name')
                continue
            taken.add(name.casefold())
            yield form

    def _clamp(self, form: RowForm, finder: "UnitFinder") -> Clamp:
        """Return a clamp with a name, at the line of its unit that is on its phase."""
        clamp = row_of(Clamp, form, self._key(form))
        if not clamp.label:
            number = 1
            while f"ct-{number}" in self._clamp_names:
                number += 1
            clamp.label = f"ct-{number}"
            self._clamp_names.add(clamp.label)
        box = form.fields["serves"]
        if clamp.serves and isinstance(box, ReaderBox) and not box.names_limit(clamp.serves):
            unit = finder.wanted(form, "serves")
            lines = {line.phases: line.label for line in unit.lines} if unit else {}
            first = next(iter(lines.values()), unit.label if unit else "")
            clamp.serves = lines.get(clamp.phase, first)
        return clamp

    def _controlled(self, limit: LimitForm, finder: "UnitFinder") -> str:
        """Return the units and loads that a limit acts on; puts a fault at the box of others."""
        loads = {
            name.casefold(): name
            for part in PARTS
            for form in self.groups[f"{part}-loads"].said
            if (name := form.fact("name"))
        }
        found: list[str] = []
        for name in limit.fact("controls").splitlines():
            unit, load = finder.named(name), loads.get(name.casefold())
            if unit is not None:
                found += [line.label for line in unit.lines] or [unit.label]
            elif load is not None:
                found.append(load)
            else:
                loads_here = f"; loads here: {', '.join(loads.values())}" if loads else ""
                limit.complain(
                    "controls",
                    f'no unit or load is called "{name}"; {finder.units_here()}{loads_here}',
                )
        return "\n".join(dict.fromkeys(found))

    def _key(self, form: RowForm) -> UUID:
        """Return the key of the saved row behind a form; a new one if there is none."""
        key = form.saved_key()
        if key is None or key not in self._free_keys:
            return uuid4()
        self._free_keys.discard(key)
        return key


class UnitFinder:
    """Finds the unit that panels, cells or cables name."""

    def __init__(self, units: list[PlacedUnit]) -> None:
        self.units = units
        self._by_name = {name.casefold(): unit for unit in reversed(units) for name in unit.names}

    def named(self, name: str) -> PlacedUnit | None:
        """Return the unit with this name, in upper or lower case."""
        return self._by_name.get(name.casefold())

    def wanted(self, form: RowForm, box: str = "unit_id") -> PlacedUnit | None:
        """Return the unit that a row names; puts a fault at the box if there is none."""
        name = form.fact(box)
        found = self.named(name)
        if found is None:
            form.complain(box, f'no unit is called "{name}"; {self.units_here()}', "unit")
        return found

    def behind(self, form: RowForm, part: str, sources: tuple[str, ...]) -> PlacedUnit | None:
        """Return the inverter of panels or cells: the one named, or the only one that fits."""
        if "unit_id" in form.errors:
            return None
        if form.fact("unit_id"):
            return self.wanted(form)
        fitting = [
            unit for unit in self.units if unit.part == part and unit.form.fact("source") in sources
        ]
        if len(fitting) == 1:
            return fitting[0]
        form.complain(
            "unit_id", f"say which inverter these sit behind; {self.units_here()}", "needed"
        )
        return None

    def units_here(self) -> str:
        """Return the names of the units on the sheet, for a message."""
        names = [unit.label for unit in self.units]
        if not names:
            return "no unit is on the sheet yet"
        return f"units here: {', '.join(names)}"
