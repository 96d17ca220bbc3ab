"""Gives typed units their names and phases; splits a row into several lines if needed."""

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass, field
from typing import Any, TypeVar
from uuid import UUID, uuid4

from django.db import models

from sites.house.boxes.choices import SPREAD
from sites.house.boxes.sheet_form import RowForm
from sites.house.two_columns import put_fact
from sites.premises.forms.spreading import share, share_lines, spread
from sites.premises.models import Unit

Row = TypeVar("Row", bound=models.Model)

LONGEST_NAME = 60
_SHORT = {
    "pv": "pv",
    "storage": "bat",
    "pv+storage": "hyb",
    "vehicle": "car",
    "wind": "wind",
    "hydro": "hydro",
    "chp": "chp",
}
"""Prefix of the generated name of a unit, by its source."""


@dataclass
class PlacedUnit:
    """A unit row of the sheet with its name and its lines; unreadable rows have no lines."""

    part: str
    form: RowForm
    label: str
    lines: list[Unit] = field(default_factory=list)

    @property
    def names(self) -> list[str]:
        """The names that other rows may use: its own, its saved one, and those of its lines."""
        was = self.form.typed("was").text
        return [self.label, *(line.label for line in self.lines), *([was] if was else [])]

    @property
    def goes(self) -> bool:
        """Whether the design removes it."""
        return "goes" in self.form.fields and bool(self.form.fact("goes"))

    @property
    def weights(self) -> list[int]:
        """The number of units on each line."""
        return [line.quantity or 1 for line in self.lines]

    def shared(self, row: Any, amounts: Sequence[str]) -> list[Any]:
        """Return its panels or cells as one row for each line, with the amounts divided."""
        row.unit_id = self.label
        if len(self.lines) < 2:
            return [row]
        rows = self.repeated(row, "unit_id")
        for name in amounts:
            for part, value in zip(rows, share(getattr(row, name), self.weights), strict=True):
                setattr(part, name, value)
        return rows

    def repeated(self, row: Any, name: str) -> list[Any]:
        """Return its device or cable as one row for each line; the field `name` names the line."""
        setattr(row, name, self.label)
        if len(self.lines) < 2:
            return [row]
        rows = []
        for i, line in enumerate(self.lines):
            part = copy(row)
            if i:
                part.key = uuid4()
            setattr(part, name, line.label)
            rows.append(part)
        return rows


def row_of(kind: type[Row], form: RowForm, key: UUID) -> Row:
    """An unsaved row of what the boxes of a form say that the row has a column for."""
    row = kind(key=key)
    for name in form.said_names:
        if hasattr(row, name):
            put_fact(row, name, form.fact(name))
    return row


def place_units(
    forms: dict[str, list[RowForm]],
    *,
    supply_phases: int | None,
    phases_now: int | None,
    key: Callable[[RowForm], UUID],
) -> list[PlacedUnit]:
    """Return the units of the sheet, existing first, each with its name and lines.

    Puts faults at the boxes. A unit without source or phases has no lines.
    """
    units = [
        PlacedUnit(part, form, form.fact("label")) for part, rows in forms.items() for form in rows
    ]
    _give_names(units)
    for unit in units:
        phases = _phases(unit, supply_phases, phases_now)
        if unit.form.fact("source") and phases is not None:
            unit.lines = _lines(unit, phases, supply_phases, key(unit.form))
    _refuse_names_twice(units)
    return units


def _give_names(units: list[PlacedUnit]) -> None:
    """Give each unit without a name a unique one: pv-1, bat-1 and so on."""
    taken = {unit.label.casefold() for unit in units if unit.label}
    for unit in units:
        if not unit.label:
            short = _SHORT.get(unit.form.fact("source"), "gen")
            number = 1
            while f"{short}-{number}" in taken:
                number += 1
            unit.label = f"{short}-{number}"
            taken.add(unit.label)


def _refuse_names_twice(units: list[PlacedUnit]) -> None:
    seen: set[str] = set()
    for unit in units:
        names = [unit.label, *(line.label for line in unit.lines if line.label != unit.label)]
        if any(len(name) > LONGEST_NAME for name in names):
            unit.form.complain("label", "this is too long for units that are spread; shorten it")
        elif any(name.casefold() in seen for name in names):
            unit.form.complain(
                "label", f'another unit is called "{unit.label}"; give it its own name'
            )
            unit.lines = []
        seen.update(name.casefold() for name in names)


def _phases(unit: PlacedUnit, supply_phases: int | None, phases_now: int | None) -> str | None:
    """Return a unit's phases, "spread", "" if the supply is not known, None if unreadable."""
    form = unit.form
    if "phases" in form.errors:
        return None
    phases: str = form.fact("phases")
    if not phases:
        if supply_phases == 1 or (unit.part == "existing" and phases_now == 1):
            return "L1"
        if supply_phases is not None:
            form.complain("phases", "say which phases the unit is on", "needed")
            return None
        return ""
    if phases != SPREAD:
        return phases
    if supply_phases is None:
        form.complain("phases", "say first how many phases the supply has")
    elif supply_phases == 1:
        form.complain(
            "phases", "the supply has one phase, so there is nothing to spread; choose L1"
        )
    elif "quantity" in form.errors:
        return None
    elif (form.fact("quantity") or 1) < 2:
        form.complain("phases", "one unit can't be spread; choose its phase, or give its number")
    else:
        return SPREAD
    return None


def _lines(unit: PlacedUnit, phases: str, supply_phases: int | None, key: UUID) -> list[Unit]:
    row = row_of(Unit, unit.form, key)
    row.label, row.phases = unit.label, phases
    if phases != SPREAD:
        return [row]
    placed = spread(row.quantity or 1, ("L1", "L2", "L3")[: supply_phases or 0])
    serials = share_lines(row.serials, [count for _phase, count in placed])
    lines = []
    for i, (phase, count) in enumerate(placed):
        line = copy(row)
        line.key = uuid4() if i else key
        line.label, line.phases = f"{unit.label}-{phase}", phase
        line.quantity, line.serials = count, serials[i]
        lines.append(line)
    return lines
