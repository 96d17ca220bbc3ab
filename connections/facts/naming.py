"""Places of the site file in words: "units[1].rated_w" is "the registered capacity of bat-1".

Each fact declares its own words; this module only adds the names of list entries.
"""

import re
from collections.abc import Callable, Iterator
from typing import Any, Literal, get_args, get_origin

from msgspec import Struct

from connections.facts.declaring import Fact, declared, hint_of, part_of
from connections.facts.defaults import certificates_of
from connections.facts.site import Board, Cable, Load, Protection, Site, SupplyNumber, Unit

_STEP = re.compile(r"(\w+)(?:\[[^\]]*\])?\.?")
_ENTRY = re.compile(
    r"(?P<list>premises\.supply_numbers|loads\.items|\w+)\[(?P<index>\d+)\]"
    r"(?:\.(?P<name>\w+))?(?P<deeper>.*)"
)
_LIMIT = re.compile(r"limits\.(export|import)\.(\w+)")
_CAP = re.compile(r"caps\[\d+\]\.(\w+)")


def fact_at(path: str) -> Fact | None:
    """The declaration of the fact at a path, in any entry of a list; None if the path has none."""
    place = _place(path)
    return declared(place[0])[place[1]] if place is not None else None


def glossary() -> dict[str, tuple[Fact, ...]]:
    """Every fact of the site file by the part that it belongs to, each part under the label of the
    first place that holds it."""
    found = {
        title: tuple(f for name, f in declared(part).items() if part_of(part, name) is None)
        for title, part in parts()
    }
    return {title: facts for title, facts in found.items() if facts}


def parts() -> Iterator[tuple[str, type[Struct]]]:
    """Each part of the site file once, under the label of the first place that holds it."""
    seen: set[type[Struct]] = set()
    ahead: list[tuple[str, type[Struct]]] = [("The site", Site)]
    while ahead:
        title, part = ahead.pop(0)
        if part in seen:
            continue
        seen.add(part)
        yield title, part
        ahead += [
            (fact.label, inner)
            for name, fact in declared(part).items()
            if (inner := part_of(part, name)) is not None
        ]


def literals_of(part: type[Struct], name: str) -> tuple[object, ...]:
    """The words that alone can stand in a field; none where it takes others."""
    return _literals(hint_of(part, name))


def part_at(path: str) -> type[Struct] | None:
    """The type of the part at a path, alone or in a list; None for a fact."""
    place = _place(path)
    return part_of(*place) if place is not None else None


def words_at(path: str) -> tuple[object, ...]:
    """The words that alone can stand at a place; none where it takes others."""
    place = _place(path)
    return _literals(hint_of(*place)) if place is not None else ()


def _literals(hint: object) -> tuple[object, ...]:
    if get_origin(hint) is Literal:
        return get_args(hint)
    return tuple(word for inner in get_args(hint) for word in _literals(inner))


def _place(path: str) -> tuple[type[Struct], str] | None:
    """The part of the file that holds a place, and the field there."""
    place = None
    part: type[Struct] | None = Site
    for name in _STEP.findall(path):
        field = field_of(part, name) if part is not None else None
        if part is None or field is None:
            return None
        place, part = (part, field), part_of(part, field)
    return place


def field_of(part: type[Struct], name: str) -> str | None:
    """The field with this name in the file ("from" is `from_`); None for no such name."""
    names = dict(zip(part.__struct_encode_fields__, part.__struct_fields__, strict=True))
    return names.get(name)


def words_for(path: str, site: Site) -> str:
    """The fact at a path of a site in words; the path itself if it has none."""
    fact = fact_at(path)
    if fact is None:
        return path
    if found := _CAP.fullmatch(path):
        return fact.noun if found[1] == "on" else f"operator's cap: {fact.noun}"
    if found := _LIMIT.fullmatch(path):
        return f"{found[1]} limit: {fact.noun}"
    if entry := _ENTRY.fullmatch(path):
        return _of_entry(entry, fact, site) or path
    return fact.the


def _of_entry(place: re.Match[str], fact: Fact, site: Site) -> str:
    """A fact of a list entry, or the entry itself, in words; empty if the list is shorter."""
    owner: Any = site
    for name in place["list"].split("."):
        owner = getattr(owner, name, None)
    index = int(place["index"])
    if not isinstance(owner, tuple) or index >= len(owner):
        return ""
    if place["list"] == "premises.supply_numbers":
        of = declared(SupplyNumber)[place["name"] or "value"]
        return f"{of.the} {index + 1}" if len(owner) > 1 else of.the
    called = _CALLED.get(place["list"])
    if called is None:
        return ""
    entry: Struct = owner[index]
    name = place["name"]
    if name is None:
        return _numbered(entry, index) or called(entry)
    if isinstance(entry, Unit) and name == "standards" and place["deeper"]:
        which = int(re.findall(r"\d+", place["deeper"])[0]) + 1
        several = len(certificates_of(entry)) > 1
        return f"the {fact.noun} of {called(entry)}" + (f", certificate {which}" * several)
    if place["deeper"] and name == "settings":
        return f"a setting of {called(entry)}"
    if name in ("id", "name") and (said := _numbered(entry, index)):
        return said
    return f"the {fact.noun} of {called(entry)}"


def _numbered(entry: Struct, index: int) -> str:
    """Call an entry by its number where the fact is its own name."""
    if isinstance(entry, Board):
        return f"board {index + 1}"
    return f"large load {index + 1}" if isinstance(entry, Load) else ""


def _device(device: Protection) -> str:
    of = f" of {device.serves}" if isinstance(device.serves, str) and device.serves else ""
    return f"the {device.kind}{of}"


def _cable(cable: Cable) -> str:
    return f"the cable {cable.from_} to {cable.to}"


def _unit(unit: Unit) -> str:
    return unit.id


_CALLED: dict[str, Callable[[Any], str]] = {
    "units": _unit,
    "arrays": lambda array: f"the panels behind {array.unit_id}",
    "storage": lambda cells: f"the cells behind {cells.unit_id}",
    "boards": lambda board: str(board.id),
    "cables": _cable,
    "clamps": lambda clamp: f"the clamp {clamp.id}",
    "protection": _device,
    "loads.items": lambda load: str(load.name),
}
"""Names the entries of each list, to follow "the rating of"."""
