"""The limitation scheme: its limits, its measuring point and the units that it controls."""

from msgspec import Struct

from connections.diagram.circuits import words
from connections.diagram.circuits.circuit import Clamps
from connections.facts.defaults import is_counted, known, status_of
from connections.facts.site import Limit, Limits, Site

AT_SUPPLY = ""
"""`measured_at` of a scheme that measures at the supply."""


class Scheme(Struct, frozen=True):
    """A limitation scheme for the drawing.

    `lines` are the words in its box. `measured_at` is the id of a board or unit, or AT_SUPPLY.
    `controlled` holds the ids of units with a control line; `note` says how they were chosen.
    `arrow` is the symbol of the direction of its clamps.
    """

    lines: tuple[str, ...]
    measured_at: str
    controlled: frozenset[str]
    note: str
    arrow: str = ""


def scheme_of(site: Site, boards: tuple[str, ...], clamps: tuple[Clamps, ...]) -> Scheme | None:
    """The scheme of a site, None without a limit. It reads these clamps at the supply."""
    limits = _limits(site)
    if not limits:
        return None
    places = dict.fromkeys(
        place
        for _, limit in limits
        for place in (words.text(limit.measured_at), words.text(limit.ct_position))
        if place
    )
    named = {words.text(unit.id): unit.id for unit in site.units}
    named.update({board: board for board in boards})
    measured_at = next((named[place] for place in places if place in named), AT_SUPPLY)
    if clamps:
        measured_at = AT_SUPPLY
    unknown = () if clamps else ("measuring point not known; drawn at the supply",)
    lines = [
        *(words.limit(way, limit) for way, limit in limits),
        *(("measured at: " + "; ".join(places),) if places else unknown),
        *(group.words for group in clamps),
    ]
    controlled, note = _controlled(site, limits)
    arrows = {group.arrow for group in clamps}
    arrow = arrows.pop() if len(arrows) == 1 else ""
    return Scheme(tuple(lines), measured_at, controlled, note, arrow)


def _limits(site: Site) -> tuple[tuple[str, Limit], ...]:
    if not isinstance(site.limits, Limits):
        return ()
    ways = (("export", site.limits.export), ("import", site.limits.import_))
    return tuple((way, limit) for way, limit in ways if isinstance(limit, Limit))


def _controlled(site: Site, limits: tuple[tuple[str, Limit], ...]) -> tuple[frozenset[str], str]:
    """Choose the units that get a control line: those that the facts name, where they name any.

    A scheme that comes with proposed plant is assumed to control that plant. A scheme in service,
    or with no proposed plant, is assumed to control every unit that runs in parallel.
    """
    counted = [unit for unit in site.units if is_counted(unit)]
    named = {name for _, limit in limits for name in known(limit.controls) or ()}
    if named:
        return frozenset(unit.id for unit in counted if unit.id in named), ""
    proposed = [unit for unit in counted if status_of(unit) == "proposed"]
    in_service = any(known(limit.commissioned_on) for _, limit in limits)
    chosen = counted if in_service or not proposed else proposed
    which = "every unit that runs" if len(chosen) == len(counted) else "the proposed units that run"
    note = (
        f"Control lines are drawn to {which} in parallel; the facts do not name the units that the "
        "limitation scheme controls."
    )
    return frozenset(unit.id for unit in chosen), note
