"""How far apart the phases of a three-phase supply can be driven.

Source: EREC G99 Issue 2, 7.5.3 and annex A.5: each technology alone at full output with the
others at nothing, every combination, and all together; different aspects of a roof are different
technologies.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

PHASE_PAIRS = tuple((a, b) for a in range(3) for b in range(3) if a != b)

Spread = tuple[int | Fraction, int | Fraction, int | Fraction]


class Worst(NamedTuple):
    """The largest difference between two phases, which phases, and what runs at full output."""

    difference: int | Fraction
    high: int
    low: int
    running: tuple[str, ...]


def worst_alone(technologies: Mapping[str, Spread]) -> Worst | None:
    """The largest difference that one technology makes alone; None without any."""
    found: Worst | None = None
    for name, spread in technologies.items():
        for high, low in PHASE_PAIRS:
            difference = spread[high] - spread[low]
            if found is None or difference > found.difference:
                found = Worst(difference, high, low, (name,))
    return found


def worst_together(technologies: Mapping[str, Spread]) -> Worst | None:
    """The largest difference that two or more technologies make together; None with fewer.

    For a pair of phases the worst set is every technology that pushes them apart; where fewer than
    two do, those that harm least are added. So no search over sets is needed.
    """
    if len(technologies) < 2:
        return None
    found: Worst | None = None
    for high, low in PHASE_PAIRS:
        ranked = sorted(
            ((spread[high] - spread[low], name) for name, spread in technologies.items()),
            key=lambda entry: (-entry[0], entry[1]),
        )
        chosen = [entry for entry in ranked if entry[0] > 0]
        chosen += ranked[len(chosen) : max(2, len(chosen))]
        difference: int | Fraction = 0
        for entry in chosen:
            difference += entry[0]
        if found is None or difference > found.difference:
            running = tuple(sorted(name for _, name in chosen))
            found = Worst(difference, high, low, running)
    return found


def aspect_groups(azimuths_deg: list[int], within_deg: int = 45) -> dict[int, int]:
    """Group azimuths: those within `within_deg` of a group's first count as one aspect.

    Returns azimuth -> the group's first azimuth, going round from the widest gap so that north
    does not split a group. The 45 degrees are this project's own choice; no source gives a number.
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
