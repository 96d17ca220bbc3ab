"""Places of the site file in words: "units[0].quantity" as what a reader would call it."""

import re
from collections.abc import Mapping

from connections.facts.site import Array, Site, Storage
from connections.pack.figures import listed

_UNIT = re.compile(r"units\[(\d+)\]\.(\w+)")

ASSUMED_WORDS = {
    "status": "proposed",
    "quantity": "one unit",
    "design_w": "design capacity as registered",
    "can_island": "cannot run as an island",
    "kind": "an inverter",
    "operating_mode": "long-term parallel",
    "limited_by": "not limited",
    "supply.voltage_level": "the supply is at low voltage",
    "supply.nominal_v": "the nominal voltage is the usual one",
    "limits.export": "there is no export limit",
    "limits.import": "there is no import limit",
    "nearby.premises": "no other premises of the firm near by",
}
"""What stands where the file says nothing."""

MISSING_WORDS = {
    "quantity": "number of like units",
    "rated_w": "registered capacity",
    "design_w": "design capacity",
    "type_tested": "whether fully type tested",
    "standard": "standard",
    "commissioned_on": "date of commissioning",
}


def by_fact(paths: tuple[str, ...], site: Site, words: Mapping[str, str]) -> list[str]:
    """The paths in words, with the units that share a fact named together.

    A path without words of its own stands as it is.
    """
    units: dict[str, list[str]] = {}
    for path in paths:
        found = _UNIT.fullmatch(path)
        if found and int(found[1]) < len(site.units):
            name = words.get(found[2], found[2])
            units.setdefault(name, []).append(site.units[int(found[1])].id)
        else:
            units.setdefault(words.get(path, path), [])
    return [f"{listed(ids)}: {fact}" if ids else fact for fact, ids in units.items()]


_PART = re.compile(r"(units|arrays|storage)\[(\d+)\]")
_WHOLE = {"supply": "Supply", "premises": "Premises", "limits": "Limitation scheme"}


def subject_words(subject: str, site: Site) -> str:
    """What a finding is about: a unit by its id, panels and cells by their unit, else in words."""
    if any(unit.id == subject for unit in site.units):
        return subject
    found = _PART.match(subject)
    if found and (part := _part(site, found[1], int(found[2]))):
        return part
    first = re.split(r"[./\[]", subject)[0]
    if first not in _WHOLE and "." in subject:
        return f"Rulebook value {subject}"
    return _WHOLE.get(first, subject[:1].upper() + subject[1:])


def _part(site: Site, kind: str, index: int) -> str:
    """The entry of a list of the site file in words; empty if the list is shorter."""
    if kind == "units":
        return "".join(unit.id for unit in site.units[index : index + 1])
    parts: tuple[Array | Storage, ...] = site.arrays if kind == "arrays" else site.storage
    name = "Panels" if kind == "arrays" else "Cells"
    return "".join(f"{name} behind {part.unit_id}" for part in parts[index : index + 1])
