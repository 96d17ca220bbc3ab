"""Index of a site's facts by unit or board, so that each is read once."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import TypeVar

from msgspec import Struct

from connections.diagram.circuits.board_tree import backed_up_board
from connections.diagram.circuits.device_kinds import MAIN_NAMES, ORIGIN_NAMES, plain
from connections.diagram.circuits.words import text
from connections.facts.defaults import known
from connections.facts.site import Array, Cable, Protection, Site, Storage

T = TypeVar("T")


class FactsIndex(Struct, frozen=True):
    """Devices and cables by the printable id of their unit or board, sources by unit id.

    `at_origin` holds devices of the main board and of places before it. `unplaced` holds those that
    serve nothing of the site. `backed_up` is the board that a unit feeds as an island.
    """

    unit_names: frozenset[str]
    protection: Mapping[str, tuple[Protection, ...]]
    cables: Mapping[str, tuple[Cable, ...]]
    arrays: Mapping[str, tuple[Array, ...]]
    storage: Mapping[str, tuple[Storage, ...]]
    at_origin: tuple[Protection, ...]
    unplaced: tuple[Protection, ...]
    backed_up: Mapping[str, str]
    earthing: str


def index_of(site: Site, boards: tuple[str, ...]) -> FactsIndex:
    """The index of a site with these boards."""
    units = frozenset(text(unit.id) for unit in site.units)
    backed_up = {unit.id: board for unit in site.units if (board := backed_up_board(site, unit))}
    placed = units | frozenset(boards) | frozenset(backed_up.values())
    protection: list[tuple[str, Protection]] = []
    at_origin: list[Protection] = []
    unplaced: list[Protection] = []
    for entry in site.protection:
        serves = text(entry.serves)
        if serves and serves in placed:
            protection.append((serves, entry))
        elif plain(serves) in MAIN_NAMES | ORIGIN_NAMES:
            at_origin.append(entry)
        else:
            unplaced.append(entry)
    return FactsIndex(
        units,
        _by_key(protection),
        _by_key((text(run.unit_id), run) for run in site.cables if not _backs_up(run, backed_up)),
        _by_key((array.unit_id, array) for array in site.arrays),
        _by_key((store.unit_id, store) for store in site.storage),
        tuple(at_origin),
        tuple(unplaced),
        backed_up,
        known(site.supply.earthing) or "unknown",
    )


def _by_key(pairs: Iterable[tuple[str, T]]) -> Mapping[str, tuple[T, ...]]:
    found: defaultdict[str, list[T]] = defaultdict(list)
    for key, value in pairs:
        found[key].append(value)
    return {key: tuple(values) for key, values in found.items()}


def _backs_up(run: Cable, backed_up: Mapping[str, str]) -> bool:
    """Whether a cable leads to a backed-up board, and so is none of the unit's own circuit."""
    return backed_up.get(text(run.from_)) == text(run.to)
