"""The counted plant of a site as ranges; known facts are a single point.

An unknown fact of the site file becomes the range of its possible values. Only four kinds of facts
stay open: type-test standing, standard, capacity, and whether older plant was commissioned in time.
All others have a strict reading (see `connections.rules.deciding_facts`).
"""

import re
from functools import lru_cache

from msgspec import Struct, structs

from connections.electrical.phase_sums import SCALE_PER_W
from connections.facts.defaults import (
    before,
    design_w,
    is_counted,
    is_kit,
    kind_of,
    quantity_of,
    rating,
    registered_w,
    status_of,
)
from connections.facts.site import LARGEST, Site, Unit
from connections.rules.table import Ready

_STANDARD = re.compile(r"G\s?(98|99|83|59)\b(?P<more>\s*/\s*NI\b|\s+PLUG-IN\b)?")
_EUROPEAN = re.compile(r"EN\s?50549(-1)?\b")


class Line(Struct, frozen=True):
    """One counted line of units. Capacities are in W for one unit, as (lowest, highest)."""

    index: int
    unit: Unit
    phases: int
    existing: bool
    kind: str
    quantity: tuple[int, int]
    rated: tuple[int, int]
    design: tuple[int, int] | None
    """None if the design capacity is the registered capacity."""
    tested: tuple[str, ...]
    standard: str | None
    """The standard that the unit was tested to, whatever the rulebook tells apart."""
    standards: tuple[str, ...]
    early: tuple[bool, ...]
    separate_storage: bool | None
    """Storage with its own inverter, commissioned early enough to stay out of the module: None if
    its date leaves that open, which counts as no."""
    kit: bool = False
    """Whether it is, or may be, a plug-in kit."""
    apparent: tuple[int, int] | None = None
    """Apparent power of one unit on each of its phases [scaled], if the rulebook asks for it. At
    least the registered capacity: real power never stands for apparent power."""


class Open(Struct, frozen=True):
    """An open fact: the line's position, its attribute and its site-file path."""

    line: int
    attribute: str
    path: str


def standard_of(unit: Unit) -> str | None:
    """The standard a unit was tested to, in the spelling of rulebooks, or None if not known.

    One of G98, G99, G83 or G59, the first two also as "G98/NI" and the first as "G98 plug-in",
    which are separate standards; "EN 50549-1"; or "other".
    """
    if not isinstance(unit.standard, str) or not unit.standard.strip():
        return None
    return _standard_in(unit.standard)


def base_of(standard: str) -> str:
    """The recommendation of a standard: "G98" for "G98/NI" and for "G98 plug-in"."""
    return standard[:3] if standard.startswith("G") else standard


def _told_apart(standard: str | None, ready: Ready) -> str | None:
    """The standard in terms of the rulebook: if it does not know "G98/NI", that is "G98"."""
    if standard is None or standard in ready.standards:
        return standard
    # 2026-11-25: never the other way round: a test to G98 is no test to G98/NI.
    base = base_of(standard)
    return base if base in ready.standards else standard


@lru_cache(maxsize=1024)
def _standard_in(text: str) -> str:
    found = _STANDARD.search(text.upper())
    if found is None:
        return "EN 50549-1" if _EUROPEAN.search(text.upper()) else "other"
    more = found["more"] or ""
    if not more:
        return f"G{found[1]}"
    return f"G{found[1]}/NI" if "NI" in more else f"G{found[1]} plug-in"


def counted_plant(site: Site, ready: Ready) -> tuple[list[Line], list[Open]]:
    """The counted lines of a site, and its open deciding facts."""
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
        named = standard_of(unit)
        standard = _told_apart(named, ready)
        kit = is_kit(unit)
        if kit and existing and ready.kits and unit.source == "pv":
            # 2026-11-30: a kit that is there counts as fully type-tested micro-generation.
            tested, standard = ("full",), min(ready.micro_accepted)
        standards = ready.standards if standard is None else (standard,)
        early: tuple[bool, ...] = (False,)
        if existing and ready.earlier_before is not None:
            in_time = before(unit.commissioned_on, ready.earlier_before)
            early = (True, False) if in_time is None else (in_time,)
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
        if len(early) > 1 and (standard is None or standard in ready.earlier):
            open_facts.append(Open(position, "early", f"units[{i}].commissioned_on"))
        apparent = _apparent(unit, rated, ready) if ready.asks_va else None
        if apparent is not None and apparent[0] != apparent[1]:
            open_facts.append(Open(position, "apparent", f"units[{i}].rated_va"))
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
                standard=named,
                standards=standards,
                early=early,
                separate_storage=existing
                and unit.source == "storage"
                and unit.id not in behind
                and ready.storage_before is not None
                and before(unit.commissioned_on, ready.storage_before),
                kit=kit,
                apparent=apparent,
            )
        )
    return lines, open_facts


def _apparent(unit: Unit, rated_w: int | None, ready: Ready) -> tuple[int, int]:
    """Apparent power on each phase [scaled]: stated, or that of the declared output current.

    If neither is known it is open, from the registered capacity up.
    """
    phases = len(unit.phases)
    stated, declared = rating(unit.rated_va), rating(unit.rated_ma)
    if stated is not None:
        scaled = stated * SCALE_PER_W // phases
    elif declared is not None:
        scaled = declared * ready.nominal_mv * 6
    else:
        return ((rated_w or 1) * SCALE_PER_W // phases, LARGEST * SCALE_PER_W // phases)
    return (scaled, scaled)


def narrowed(line: Line, attribute: str, to: object) -> Line:
    """The line with one open fact narrowed."""
    return structs.replace(line, **{attribute: to})
