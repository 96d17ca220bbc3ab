"""The largest imbalance between the phases of a three-phase supply.

Source: EREC G99 Issue 2, 7.5.3 and annex A.5: each technology alone at full output with the others
at zero, every combination, and all together. Different aspects of a roof count as different
technologies.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

PHASE_PAIRS = tuple((a, b) for a in range(3) for b in range(3) if a != b)

Spread = tuple[int | Fraction, int | Fraction, int | Fraction]


class Worst(NamedTuple):
    """A largest phase difference: the two phases, and the technologies at full output."""

    difference: int | Fraction
    high: int
    low: int
    running: tuple[str, ...]


def worst_alone(technologies: Mapping[str, Spread]) -> Worst | None:
    """The largest difference that one technology causes alone; None without any."""
    found: Worst | None = None
    for name, spread in technologies.items():
        for high, low in PHASE_PAIRS:
            difference = spread[high] - spread[low]
            if found is None or difference > found.difference:
                found = Worst(difference, high, low, (name,))
    return found


def worst_together(technologies: Mapping[str, Spread]) -> Worst | None:
    """The largest difference that two or more technologies cause together; None with fewer.

    For a pair of phases the worst set is every technology that drives them apart. Where fewer than
    two do, add those that reduce the difference least. This avoids a search over sets.
    """
    if len(technologies) < 2:
        return None
    worst: tuple[int | Fraction, int, int] | None = None
    for high, low in PHASE_PAIRS:
        difference: int | Fraction = 0
        helping = 0
        for spread in technologies.values():
            push = spread[high] - spread[low]
            if push > 0:
                difference += push
                helping += 1
        if worst is not None and difference <= worst[0]:
            continue  # to add what harms lowers it further
        if helping < 2:
            pushes = sorted(spread[high] - spread[low] for spread in technologies.values())
            difference = pushes[-1] + pushes[-2]
        if worst is None or difference > worst[0]:
            worst = (difference, high, low)
    if worst is None:
        return None
    return Worst(*worst, _running_together(technologies, *worst[1:]))


def _running_together(technologies: Mapping[str, Spread], high: int, low: int) -> tuple[str, ...]:
    """The technologies that make that sum; of equal ones the first by name."""
    ranked = sorted(
        ((spread[high] - spread[low], name) for name, spread in technologies.items()),
        key=lambda entry: (-entry[0], entry[1]),
    )
    count = max(2, sum(push > 0 for push, _ in ranked))
    return tuple(sorted(name for _, name in ranked[:count]))


def aspect_groups(azimuths_deg: list[int], within_deg: int = 45) -> dict[int, int]:
    """Group azimuths: those within `within_deg` of a group's first count as one aspect.

    Returns azimuth -> the group's first azimuth. Starts after the widest gap, so that north does
    not split a group. The 45 degrees are our choice; no source gives a number.
    """
    turns = sorted({azimuth % 360 for azimuth in azimuths_deg})
    if not turns:
        return {}
    gaps = [((turns[i] - turns[i - 1]) % 360 or 360, i) for i in range(len(turns))]
    start = max(gaps, key=lambda gap: (gap[0], -gap[1]))[1]
    groups: dict[int, int] = {}
    first = turns[start]
    for azimuth in turns[start:] + turns[:start]:
        if (azimuth - first) % 360 > within_deg:
            first = azimuth
        groups[azimuth] = first
    return {azimuth: groups[azimuth % 360] for azimuth in azimuths_deg}
