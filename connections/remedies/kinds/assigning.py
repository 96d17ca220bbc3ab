"""Find the best phase for each single-phase unit by trying every way.

Only the fullest phase matters to the procedure, so ways are first compared by whole-number sums.
The rules are asked only about those that remain.
"""

from collections.abc import Iterator
from itertools import product
from math import comb, prod

from msgspec import Struct

from connections.electrical.phase_sums import scaled_per_phase
from connections.facts.defaults import (
    is_counted,
    quantity_of,
    rating,
    registered_w,
    supply_phases,
)
from connections.facts.site import Phase, Site, Unit
from connections.remedies.edit import Edit, free_id
from connections.remedies.made_of import proposed
from connections.remedies.option import Start
from connections.rules.decide import UNDETERMINED
from connections.rules.figures import listed, plural

MOST_WAYS = 20_000
"""Most ways tried. Above it lines move whole; if these are still too many, none is tried (our
choice)."""

_DECIDED_WAYS = 40
_PHASES: tuple[Phase, ...] = ("L1", "L2", "L3")

Numbers = tuple[int, ...]
"""Number of units of a line on L1, L2 and L3."""


class Way(Struct, frozen=True):
    """One way to put the movable lines on phases: numbers for each line, and the results."""

    numbers: tuple[Numbers, ...]
    fullest: int
    spread: int
    moved: int


class TooManyWaysError(Exception):
    """There are too many ways to try."""


def free_lines(site: Site) -> list[tuple[int, Unit]]:
    """Proposed single-phase lines; these may be moved."""
    return [(i, unit) for i, unit in proposed(site) if len(unit.phases) == 1]


def best_way(start: Start) -> Way | None:
    """The way with the earliest procedure, balanced phases, and the fewest units moved.

    None where nothing can be moved or a rating is not known. Raises TooManyWaysError.
    """
    site = start.site
    lines = free_lines(site)
    if not lines or site.supply.phases == 1:
        return None
    if any(registered_w(u) is None or quantity_of(u) is None for u in site.units if is_counted(u)):
        return None
    ways = sorted(_ways(site, lines), key=lambda way: (way.fullest, way.spread, way.moved))
    best = start.rules.outcome(assigned(start, lines, ways[0]).site)
    if best == UNDETERMINED:
        return None
    fullest = _fullest_with(start, lines, ways, best)
    good = sorted(
        (way for way in ways if way.fullest <= fullest),
        key=lambda way: (way.moved, way.spread, way.fullest),
    )
    # One way out of balance says nothing about the next, so also try those nearest to balance.
    nearest = sorted(good, key=lambda way: (way.spread, way.moved))
    for way in [*good[:_DECIDED_WAYS], *nearest[:_DECIDED_WAYS]]:
        if way.moved and start.prove(assigned(start, lines, way).site) is not None:
            return way
    return None


def _ways(site: Site, lines: list[tuple[int, Unit]]) -> Iterator[Way]:
    phases = supply_phases(site)
    count = len(phases)
    fixed = [0, 0, 0]
    free = {i for i, _ in lines}
    for i, unit in enumerate(site.units):
        if i not in free and is_counted(unit):
            share = (quantity_of(unit) or 0) * scaled_per_phase(
                registered_w(unit) or 0, len(unit.phases)
            )
            for phase in unit.phases:
                fixed[_PHASES.index(phase)] += share
    numbers = [quantity_of(unit) or 0 for _, unit in lines]
    if prod(comb(n + count - 1, count - 1) for n in numbers) <= MOST_WAYS:
        choices = [_shared_out(n, count) for n in numbers]
    elif count ** len(lines) <= MOST_WAYS:
        choices = [
            [tuple(n if k == at else 0 for k in range(count)) for at in range(count)]
            for n in numbers
        ]
    else:
        raise TooManyWaysError
    loads = [scaled_per_phase(rating(unit.rated_w) or 0, 1) for _, unit in lines]
    homes = [_PHASES.index(unit.phases[0]) for _, unit in lines]
    for way in product(*choices):
        sums = fixed[:count]
        moved = 0
        for numbers_of, load, home, n in zip(way, loads, homes, numbers, strict=True):
            for k in range(count):
                sums[k] += numbers_of[k] * load
            moved += n - (numbers_of[home] if home < count else 0)
        yield Way(way, max(sums), max(sums) - min(sums), moved)


def _shared_out(n: int, count: int) -> list[Numbers]:
    if count == 2:
        return [(a, n - a) for a in range(n + 1)]
    return [(a, b, n - a - b) for a in range(n + 1) for b in range(n - a + 1)]


def _fullest_with(
    start: Start, lines: list[tuple[int, Unit]], ways: list[Way], outcome: str
) -> int:
    """The fullest phase of the last way, by that order, that still has this procedure."""
    low, high = 0, len(ways)
    while high - low > 1:
        middle = (low + high) // 2
        if start.rules.outcome(assigned(start, lines, ways[middle]).site) == outcome:
            low = middle
        else:
            high = middle
    return ways[low].fullest


def assigned(
    start: Start, lines: list[tuple[int, Unit]], way: Way, edit: Edit | None = None
) -> Edit:
    """Put the lines on the phases of a way. Units of one line on several phases become lines of
    their own."""
    edit = edit or Edit(start.site)
    taken = [unit.id for unit in start.site.units]
    for (i, unit), numbers in zip(lines, way.numbers, strict=True):
        parts = [(_PHASES[k], n) for k, n in enumerate(numbers) if n]
        # The line itself keeps its own phase if any of its units stay there.
        parts.sort(key=lambda part: part[0] != unit.phases[0])
        phase, n = parts[0]
        if len(parts) == 1:
            edit.unit(i, phases=(phase,))
            continue
        shares = {unit.id: n}
        serials = {"serials": None} if isinstance(unit.serials, tuple) and unit.serials else {}
        edit.unit(i, phases=(phase,), quantity=n, **serials)
        for other, more in parts[1:]:
            name = free_id(taken, unit.id)
            taken.append(name)
            edit.add_like(i, id=name, phases=(other,), quantity=more, **serials)
            shares[name] = more
        edit.share_parts(unit.id, shares, quantity_of(unit) or 1)
    return edit


def moved_in_words(lines: list[tuple[int, Unit]], way: Way) -> str:
    """The moves in words: "inv-2 on L3" or "2 units of inv-1 on L2"."""
    said = []
    for (_, unit), numbers in zip(lines, way.numbers, strict=True):
        for k, n in enumerate(numbers):
            if n and _PHASES[k] != unit.phases[0]:
                some = unit.id if n == quantity_of(unit) else f"{plural(n, 'unit')} of {unit.id}"
                said.append(f"{some} on {_PHASES[k]}")
    return listed(said)
