"""Findings on plant that nobody changes inform, unless the new work turns on them.

A kind says with `instead` how a line would be without its trouble. The work turns on the findings
of such a kind if the outcome is another once all lines that they are about are so. The unit and
what sits behind it stay, and something else at the site is proposed or taken out: where all is
existing there is no new work, and the findings are what the decision is about.
"""

import re
from collections.abc import Sequence

from msgspec import structs

from connections.facts.defaults import part_status, status_of
from connections.facts.site import Array, Site, Storage
from connections.rules.case import Case
from connections.rules.completions import evaluate
from connections.rules.deciding_facts import deciding_facts, setting_of
from connections.rules.kinds import Found, Kind

_UNIT = re.compile(r"units\[(\d+)\]\.")


def eased(case: Case, findings: Sequence[Found]) -> list[Found]:
    """The findings, those on plant that nobody changes eased where the work does not turn on
    them."""
    about: dict[str, tuple[Kind, set[int]]] = {}
    for found in findings:
        if found.kind.instead is not None and found.severity == "decide":
            about.setdefault(found.id, (found.kind, set()))[1].add(_index(found))
    staying = unchanged(case.site) if about else frozenset()
    moot = {
        (id, index)
        for id, (kind, indices) in about.items()
        if (kept := indices & staying) and not _turns_on(case, kind, kept)
        for index in kept
    }
    return [
        structs.replace(found, severity="inform") if (found.id, _index(found)) in moot else found
        for found in findings
    ]


def unchanged(site: Site) -> frozenset[int]:
    """Places of the existing units that the work at a site leaves as they are; empty without
    work."""
    units = {unit.id: unit for unit in site.units}
    parts: tuple[Array | Storage, ...] = (*site.arrays, *site.storage)
    touched = {
        part.unit_id
        for part in parts
        if part_status(part.status, units.get(part.unit_id)) != "existing"
    }
    if not touched and all(status_of(unit) == "existing" for unit in site.units):
        return frozenset()
    return frozenset(
        i
        for i, unit in enumerate(site.units)
        if status_of(unit) == "existing" and unit.id not in touched
    )


def _turns_on(case: Case, kind: Kind, indices: set[int]) -> bool:
    assert kind.instead is not None
    lines = [kind.instead(line) if line.index in indices else line for line in case.lines]
    setting = setting_of(case.site, lines, case.ready)
    as_is = evaluate(case.ready, case.facts)
    without = evaluate(case.ready, deciding_facts(lines, setting, case.ready))
    return (as_is.row, as_is.settled) != (without.row, without.settled)


def _index(found: Found) -> int:
    """Place of the unit that a finding is about; -1 for one about something else."""
    at = _UNIT.match(found.read[0][0]) if found.read else None
    return int(at[1]) if at else -1
