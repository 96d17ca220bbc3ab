"""The counted plant of a site as ranges; known facts are a single point.

An unknown fact of the site file becomes the range of its possible values. Only four kinds of facts
stay open: type-test standing, standard, capacity, and whether older plant was commissioned in time.
All others have a strict reading (see `connections.rules.deciding_facts`).
"""

import datetime as dt
import re
from functools import lru_cache
from typing import Any

from msgspec import Struct, structs

from connections.electrical.phase_sums import SCALE_PER_W
from connections.facts.defaults import (
    before,
    certificates_of,
    design_w,
    is_counted,
    is_for_rating,
    is_kit,
    kind_of,
    known,
    last_day,
    quantity_of,
    rating,
    registered_w,
    status_of,
)
from connections.facts.site import LARGEST, Certificate, Site, Unit
from connections.rules.table import Ready

_STANDARD = re.compile(r"G\s?(98|99|83|59)\b(?P<more>\s*/\s*NI\b|\s+PLUG-IN\b)?")
_EUROPEAN = re.compile(r"EN\s?50549(-1)?\b")


class Tests(Struct, frozen=True):
    """A certificate that counts, or may, as the possible values of what it says."""

    tested: tuple[str, ...]
    standards: tuple[str, ...]
    rated_w: int | None = None
    """The one rating at which it counts, where that of the unit is not known."""


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
    certificates: tuple[Tests, ...]
    """Those for this rating that hold on the unit's date; where none is said, one of which nothing
    is known."""
    counting: tuple[tuple[int, Certificate], ...]
    """Those of the unit that are, or may be, for its rating and hold on its date, with their
    places."""
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
    certificate: int = 0
    """The position of the line's certificate, where the attribute is one of it."""


def standard_in(certificate: Certificate) -> str | None:
    """The standard of a certificate, in the spelling of rulebooks, or None if not known.

    One of G98, G99, G83 or G59, the first two also as "G98/NI" and the first as "G98 plug-in",
    which are separate standards; "EN 50549-1"; or "other".
    """
    said = certificate.standard
    return _standard_in(said) if isinstance(said, str) and said.strip() else None


def standard_of(unit: Unit) -> str | None:
    """The standard that settles the settings of a unit, or None if none is known.

    Of several the lowest by name, so that the order of the file settles nothing: fully tested
    before others, for the unit's rating before others, and recommendations before "other".
    """
    named = [
        (one.type_tested != "full", is_for_rating(one, unit) is False, name[0] != "G", name)
        for one in certificates_of(unit)
        if (name := standard_in(one)) is not None
    ]
    return min(named)[-1] if named else None


def day_of(unit: Unit, site: Site) -> dt.date:
    """The day on which a certificate must hold: commissioned, planned, else that of the file."""
    return (
        last_day(unit.commissioned_on)
        or known(unit.planned_on)
        or (None if status_of(unit) == "existing" else known(site.planned_on))
        or site.on_date
    )


def holds_on(certificate: Certificate, day: dt.date) -> bool:
    """Whether a certificate holds on a day; one that names no end does."""
    until = known(certificate.valid_until)
    return until is None or day <= until


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
        kit = is_kit(unit)
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
        certificates: list[Tests] = []
        stated = certificates_of(unit)
        day = day_of(unit, site) if stated else None
        counting = tuple(
            (n, one)
            for n, one in enumerate(stated)
            if (day is None or holds_on(one, day)) and is_for_rating(one, unit) is not False
        )
        counted = counting if stated else ((0, _NOTHING_KNOWN),)
        if kit and existing and ready.kits and unit.source == "pv":
            # 2026-11-30: a kit that is there counts as fully type-tested micro-generation.
            counted, certificates = (), [Tests(("full",), (min(ready.micro_accepted),))]
        for n, one in counted:
            own = rating(one.rated_w)
            made = _tests(one, ready, own if own is not None and rated is None else None)
            if len(made.tested) > 1:
                at = f"units[{i}].standards[{n}].type_tested"
                open_facts.append(Open(position, "tested", at, len(certificates)))
            if len(made.standards) > 1:
                at = f"units[{i}].standards[{n}].standard"
                open_facts.append(Open(position, "standards", at, len(certificates)))
            certificates.append(made)
        if len(early) > 1 and any(
            not ready.earlier.isdisjoint(one.standards) for one in certificates
        ):
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
                certificates=tuple(certificates),
                counting=counting,
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


_NOTHING_KNOWN = Certificate()


def _tests(certificate: Certificate, ready: Ready, rated_w: int | None) -> Tests:
    """What a certificate may say, in terms of the rulebook."""
    said = certificate.type_tested
    standard = _told_apart(standard_in(certificate), ready)
    return Tests(
        tested=(said,) if isinstance(said, str) else ("full", "part", "no"),
        standards=ready.standards if standard is None else (standard,),
        rated_w=rated_w,
    )


_OF_CERTIFICATE = ("tested", "standards")


def value_of(line: Line, fact: Open) -> Any:
    """The possible values of an open fact of a line."""
    if fact.attribute in _OF_CERTIFICATE:
        return getattr(line.certificates[fact.certificate], fact.attribute)
    return getattr(line, fact.attribute)


def narrowed(line: Line, fact: Open, to: object) -> Line:
    """The line with one open fact narrowed."""
    if fact.attribute not in _OF_CERTIFICATE:
        return structs.replace(line, **{fact.attribute: to})
    certificates = list(line.certificates)
    certificates[fact.certificate] = structs.replace(
        certificates[fact.certificate], **{fact.attribute: to}
    )
    return structs.replace(line, certificates=tuple(certificates))


def tested_as(line: Line, extent: str) -> Line:
    """The line as if each of its certificates went so far."""
    certificates = [structs.replace(one, tested=(extent,)) for one in line.certificates]
    return structs.replace(line, certificates=tuple(certificates))


def as_if_all_counted(line: Line) -> Line:
    """The line as if each of its certificates were for its rating and held on its date."""
    certificates = [
        Tests(
            (one.type_tested,) if isinstance(one.type_tested, str) else ("full", "part", "no"),
            (standard_in(one) or "other",),
        )
        for one in certificates_of(line.unit)
    ]
    return structs.replace(line, certificates=tuple(certificates))


def lowest(line: Line) -> Line:
    """The line with every open fact at its lowest or first value."""
    ranges = {
        name: (value[0], value[0])
        for name in ("quantity", "rated", "design", "apparent")
        if (value := getattr(line, name)) is not None
    }
    certificates = tuple(
        structs.replace(one, tested=one.tested[:1], standards=one.standards[:1])
        for one in line.certificates
    )
    return structs.replace(line, **ranges, certificates=certificates, early=line.early[:1])
