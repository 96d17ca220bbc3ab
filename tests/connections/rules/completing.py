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
        units[position] = {**units[position], name: value}
        if name == "commissioned_on":
            # The date settles which standard holds for older plant. For the size class undated
            # storage is read strictly, as part of the module: that never leaves a site open.
            units[position]["undated"] = True
        yield from completions({**content, "units": units}, rest)


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
        return around([*(on * w for w in PER_PHASE), 50_000])
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
