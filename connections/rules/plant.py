"""The counted plant of a site as ranges: one point where everything is known.

A fact that the site file leaves unknown becomes the range of what it could be. Only four kinds of
fact are left open this way: type-test standing, standard, a capacity, and whether older plant was
commissioned in time. Everything else has a strict reading (see `connections.rules.deciding_facts`).
"""

import re

from msgspec import Struct, structs

from connections.facts.defaults import (
    design_w,
    is_counted,
    kind_of,
    quantity_of,
    registered_w,
    status_of,
)
from connections.facts.site import LARGEST, Site, Unit
from connections.rules.table import Ready

STANDARDS = ("G98", "G99", "G83", "G59", "other")
_STANDARD = re.compile(r"G\s?(98|99|83|59)\b")


class Line(Struct, frozen=True):
    """One counted line of units. Capacities are in watts for one unit, as (lowest, highest)."""

    index: int
    unit: Unit
    phases: int
    existing: bool
    kind: str
    quantity: tuple[int, int]
    rated: tuple[int, int]
    design: tuple[int, int] | None
    """None where the design capacity is the registered capacity."""
    tested: tuple[str, ...]
    standards: tuple[str, ...]
    early: tuple[bool, ...]
    separate_storage: bool
    """Storage with its own inverter, commissioned early enough to stay out of the module."""


class Open(Struct, frozen=True):
    """A fact left open: the line's position, its attribute and its site-file path."""

    line: int
    attribute: str
    path: str


def standard_of(unit: Unit) -> str | None:
    """The standard a unit was tested to: G98, G99, G83, G59, other, or None if unknown."""
    if not isinstance(unit.standard, str) or not unit.standard.strip():
        return None
    found = _STANDARD.search(unit.standard.upper())
    return f"G{found[1]}" if found else "other"


def counted_plant(site: Site, ready: Ready) -> tuple[list[Line], list[Open]]:
    """The counted lines of a site, and the deciding facts that are left open."""
    lines: list[Line] = []
    open_facts: list[Open] = []
    behind = {array.unit_id for array in site.arrays}
    for i, unit in enumerate(site.units):
        if not is_counted(unit):
            continue
        position = len(lines)
        quantity = quantity_of(unit)
        rated = registered_w(unit)
        design = design_w(unit)
        existing = status_of(unit) == "existing"
        tested = (
            (unit.type_tested,) if isinstance(unit.type_tested, str) else ("full", "part", "no")
        )
        standard = standard_of(unit)
        standards = STANDARDS if standard is None else (standard,)
        day = unit.commissioned_on
        early: tuple[bool, ...] = (False,)
        if existing:
            early = (day < ready.earlier_before,) if day else (True, False)
        tied = design == rated
        if quantity is None:
            open_facts.append(Open(position, "quantity", f"units[{i}].quantity"))
        if rated is None:
            open_facts.append(Open(position, "rated", f"units[{i}].rated_w"))
        if (design is None and unit.design_w is None) or unit.design_w == 0:
            open_facts.append(Open(position, "design", f"units[{i}].design_w"))
            tied = False
        if len(tested) > 1:
            open_facts.append(Open(position, "tested", f"units[{i}].type_tested"))
        if len(standards) > 1:
            open_facts.append(Open(position, "standards", f"units[{i}].standard"))
        if len(early) > 1 and (standard is None or standard in ("G83", "G59")):
            open_facts.append(Open(position, "early", f"units[{i}].commissioned_on"))
        lines.append(
            Line(
                index=i,
                unit=unit,
                phases=len(unit.phases),
                existing=existing,
                kind=kind_of(unit),
                quantity=(quantity, quantity) if quantity is not None else (1, LARGEST),
                rated=(rated, rated) if rated is not None else (1, LARGEST),
                design=None if tied else (design, design) if design is not None else (1, LARGEST),
                tested=tested,
                standards=standards,
                early=early,
                separate_storage=bool(
                    existing
                    and unit.source == "storage"
                    and unit.id not in behind
                    and day
                    and day < ready.storage_before
                ),
            )
        )
    return lines, open_facts


def narrowed(line: Line, attribute: str, to: object) -> Line:
    """The line with one open fact narrowed."""
    return structs.replace(line, **{attribute: to})
