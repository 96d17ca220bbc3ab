"""What plant that can run as an island needs, from the facts, or said to be not stated.

Source of the parts: BS 7671 551.4 and common practice, from memory: a switch that parts the island
from the network on all live poles; a relay that bonds neutral and earth only then; an earth
electrode of the installation, since the network's earth may be gone; residual current protection,
since an island's fault current is low.
"""

from msgspec import Struct

from connections.diagram.circuits import words
from connections.diagram.circuits.circuit import Device, Island
from connections.diagram.circuits.device_kinds import island_device, symbol_of
from connections.diagram.circuits.facts_index import FactsIndex
from connections.facts.defaults import mode_of, status_of
from connections.facts.site import Protection, Unit


class IslandPlan(Struct, frozen=True):
    """The island of a unit, and the devices of the unit's own list that are drawn there."""

    drawn: Island
    used: tuple[Protection, ...]


def island_of(facts: FactsIndex, unit: Unit) -> IslandPlan | None:
    """The island that a unit feeds; None for plant that can't, that goes, or is never in
    parallel."""
    if unit.can_island is not True or status_of(unit) == "removed" or mode_of(unit) == "switched":
        return None
    own = facts.protection.get(words.text(unit.id), ())
    board = facts.backed_up.get(unit.id, "")
    at_board = facts.protection.get(board, ()) if board else ()
    near = (*own, *at_board, *facts.at_origin)
    relay = _first(near, "relay")
    electrode = _first(near, "electrode")
    at_supply = _first(facts.at_origin, "changeover") is not None
    whole = at_supply and _first(own, "changeover") is None
    residual = None if whole else next((e for e in (*at_board, *own) if _residual(e)), None)
    if electrode is not None:
        said = words.device(electrode)
    elif facts.earthing == "TT":
        said = "earth electrode of the TT supply"
    else:
        said = "earth electrode not stated"
    return IslandPlan(
        Island(
            board=""
            if whole
            else f"Backed-up board: {board}"
            if board
            else "Backed-up board, not stated",
            loads="" if whole else "backed-up loads",
            residual=None
            if whole
            else Device("device-not-known", "RCD of the island not stated")
            if residual is None
            else Device(symbol_of(residual), words.device(residual)),
            relay=(words.device(relay) if relay else "neutral-earth relay not stated")
            + "; closes as an island only",
            terminal="main earth terminal",
            electrode=said,
        ),
        () if residual is None else (residual,),
    )


def _first(entries: tuple[Protection, ...], kind: str) -> Protection | None:
    return next((entry for entry in entries if island_device(entry) == kind), None)


def _residual(entry: Protection) -> bool:
    return symbol_of(entry) == "rcd"
