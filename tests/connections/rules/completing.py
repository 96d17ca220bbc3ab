"""Every way worth trying in which the open facts of a site can be completed.

A capacity or a number only matters by the side of a limit that it falls on, so a completion is
tried a step below, at and above every limit of the table, with and without what else is counted.
An unknown number is one or more: a line stands for plant that is there.
"""

from collections.abc import Iterator
from typing import Any

LARGEST = 10**9
PER_PHASE = (3680, 7360, 13_800)  # 16, 32 and 60 A at 230 V
IN_ALL = (17_000, 50_000, 1_000_000, 10_000_000)
STANDARDS = ("G98", "G99", "G83", "G59", "EN 50549-1")
EITHER_SIDE = ("2019-04-26", "2019-04-27")

Open = tuple[int, str]
"""A fact left open: position of the unit, name of the field."""


def completions(content: dict[str, Any], open_facts: list[Open]) -> Iterator[dict[str, Any]]:
    """The site with each open fact given a value, in every combination worth trying."""
    if not open_facts:
        yield content
        return
    (position, name), *rest = open_facts
    for value in values(content, position, name, rest):
        units = list(content["units"])
        units[position] = with_fact(units[position], name, value)
        if name == "commissioned_on":
            # The date settles which standard holds for older plant. For the size class undated
            # storage is read strictly, as part of the module: that never leaves a site open.
            units[position]["undated"] = True
        yield from completions({**content, "units": units}, rest)


def with_fact(unit: dict[str, Any], name: str, value: Any) -> dict[str, Any]:
    """The unit with a fact; of one with a list of certificates, that of the first."""
    if name not in ("type_tested", "standard", "type_test_reference") or "standards" not in unit:
        return {**unit, name: value}
    first, *others = unit["standards"]
    name = name.removeprefix("type_test_") if name != "type_tested" else name
    return {**unit, "standards": [{**first, name: value}, *others]}


def fact_of(unit: dict[str, Any], name: str) -> Any:
    """The value of a fact, as `with_fact` sets it."""
    return unit[name] if name in unit else unit["standards"][0][name]


def values(content: dict[str, Any], position: int, name: str, later: list[Open]) -> list[Any]:
    """Values of one open fact worth trying; numbers that come later count as nothing yet."""
    if name == "type_tested":
        return ["full", "part", "no"]
    if name == "standard":
        return list(STANDARDS)
    if name == "commissioned_on":
        return list(EITHER_SIDE)
    unit = content["units"][position]
    on = len(unit["phases"])
    if name == "design_w":
        rest = sum(
            other.get("design_w", other["rated_w"]) * other.get("quantity", 1)
            for i, other in enumerate(content["units"])
            if i != position and not {(i, "design_w"), (i, "rated_w")} & set(later)
        )
        return around([*(on * w for w in PER_PHASE), 50_000, max(1, 50_000 - rest)])
    one = 1
    if name == "quantity":
        one = 1 if (position, "rated_w") in later else unit["rated_w"]
    else:
        one = 1 if (position, "quantity") in later else max(1, unit.get("quantity", 1))
    held, total = counted_beside(content, position, later)
    limits: set[int] = set()
    for watts in PER_PHASE:
        limits |= {on * watts // one, on * watts, on * (watts - held) // one}
    for watts in IN_ALL:
        limits |= {watts // one, watts, (watts - total) // one}
    if name == "rated_w":
        limits |= {each["rated_w"] for each in unit.get("standards", ()) if "rated_w" in each}
    return around(limits)


def around(limits: Any) -> list[int]:
    near = {limit + aside for limit in limits for aside in (-1, 0, 1)} | {1, LARGEST}
    return sorted(value for value in near if 1 <= value <= LARGEST)


def counted_beside(content: dict[str, Any], position: int, later: list[Open]) -> tuple[int, int]:
    """Watts on the fullest of the unit's phases (rounded down) and in all, of the other units."""
    phases = content["units"][position]["phases"]
    sums = dict.fromkeys(phases, 0)
    total = 0
    for i, unit in enumerate(content["units"]):
        missing = any(place == i and name in ("rated_w", "quantity") for place, name in later)
        if i == position or missing or unit.get("status") == "removed":
            continue
        watts = unit["rated_w"] * unit.get("quantity", 1)
        total += watts
        for phase in unit["phases"]:
            if phase in sums:
                sums[phase] += watts // len(unit["phases"])
    return max(sums.values()), total
