"""Put paths of the site file in words: "units[0].quantity" as a reader would call it."""

import re
from collections.abc import Callable

from connections.facts.declaring import Fact
from connections.facts.naming import fact_at
from connections.facts.site import Array, Site, Storage
from connections.pack.figures import listed

_UNIT = re.compile(r"units\[(\d+)\]\.\w.*")


def missing_words(paths: tuple[str, ...], site: Site) -> list[str]:
    """Missing facts in words, with the units that lack each named together.

    A path without words stays as it is.
    """
    return _by_fact(paths, site, lambda fact: fact.noun)


def assumed_words(paths: tuple[str, ...], site: Site) -> list[str]:
    """Assumed facts in words, with the units of each assumption named together.

    A path without words stays as it is.
    """
    return _by_fact(paths, site, lambda fact: fact.assumed)


def _by_fact(paths: tuple[str, ...], site: Site, words: Callable[[Fact], str]) -> list[str]:
    units: dict[str, list[str]] = {}
    for path in paths:
        fact = fact_at(path)
        said = (words(fact) if fact is not None else "") or path
        found = _UNIT.fullmatch(path)
        if found and int(found[1]) < len(site.units):
            units.setdefault(said, []).append(site.units[int(found[1])].id)
        else:
            units.setdefault(said, [])
    return [f"{listed(ids)}: {fact}" if ids else fact for fact, ids in units.items()]


_PART = re.compile(r"(units|arrays|storage)\[(\d+)\]")
_WHOLE = {"supply": "Supply", "premises": "Premises", "limits": "Limitation scheme"}


def subject_words(subject: str, site: Site) -> str:
    """Subject of a finding: a unit by its id, panels and cells by their unit, else in words."""
    if any(unit.id == subject for unit in site.units):
        return subject
    found = _PART.match(subject)
    if found and (part := _part(site, found[1], int(found[2]))):
        return part
    first = re.split(r"[./\[]", subject)[0]
    if (fact := fact_at(subject)) is not None and first not in _WHOLE:
        return fact.label
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
