"""Boards of a site, and the board that feeds each."""

from msgspec import Struct

from connections.diagram.circuits import words
from connections.diagram.circuits.device_kinds import MAIN_NAMES, ORIGIN_NAMES, plain
from connections.facts.site import Cable, Site, Unit

MAIN = ""
"""The id of the main board in this room."""
TAPPED = "\0tapped"
"""The board of units whose circuit leaves the meter tails. No typed name can be equal to it."""
TAILS = "\0tails"
"""Stands in place of a board's id for the meter tails, from which a feeder can leave."""
DEEPEST_BOARD = 4
"""Most boards in a chain below the main board. Our choice: the width of the sheet."""


class Feed(Struct, frozen=True):
    """The feed of a board. `stated`: a cable of the facts gives it; `cable` is that cable.

    `steps` counts the boards from the main board down to this one, as in the facts. `through` is
    the unit whose changeover stands between.
    """

    parent: str
    stated: bool
    steps: int
    cable: Cable | None = None
    through: str = ""


def board_of(site: Site, unit: Unit) -> str:
    """The board that feeds a unit: as named, else where its cable begins, else the main board."""
    name = words.text(unit.feeds_from) or _start_of_cable(site, unit)
    return MAIN if not name or plain(name) in MAIN_NAMES else name


def is_board_known(site: Site, unit: Unit) -> bool:
    """Whether the facts say which board feeds a unit. A file that leaves it out means the main."""
    return unit.feeds_from is not None or bool(_start_of_cable(site, unit))


def _start_of_cable(site: Site, unit: Unit) -> str:
    """The board from which a cable leads to the unit; empty where none does."""
    units = {words.text(other.id) for other in site.units}
    own = words.text(unit.id)
    for run in site.cables:
        start = words.text(run.from_)
        if words.text(run.to) == own and start not in units and plain(start) not in ORIGIN_NAMES:
            return start
    return ""


def main_board_names(site: Site) -> tuple[str, ...]:
    """Names of the main board in the facts, where they differ from ours."""
    typed = dict.fromkeys(words.text(unit.feeds_from) for unit in site.units)
    return tuple(name for name in typed if plain(name) in MAIN_NAMES - {"main", "main board"})


def boards_of(site: Site) -> tuple[str, ...]:
    """Every board but the main one, in the order of the facts.

    Units name boards, and so do cables that feed a named board.
    """
    found = dict.fromkeys(_circuit_from(site, unit) for unit in site.units)
    units = {words.text(unit.id) for unit in site.units}
    above: dict[str, list[str]] = {}
    for run in site.cables:
        start, end = words.text(run.from_), words.text(run.to)
        named = plain(start) and plain(start) not in MAIN_NAMES | ORIGIN_NAMES
        if named and start not in units:
            above.setdefault(end, []).append(start)
    waiting = list(found)
    while waiting:
        for start in above.pop(waiting.pop(0), ()):
            if start not in found:
                found[start] = None
                waiting.append(start)
    found.pop(MAIN, None)
    return tuple(found)


def placed_on(site: Site) -> dict[str, str]:
    """The board of each unit by the unit's id, as `boards_of` counts boards."""
    return {unit.id: _circuit_from(site, unit) for unit in site.units}


def _circuit_from(site: Site, unit: Unit) -> str:
    """The board of a unit. Storage that leaves the tails stands on no board of the main one."""
    board = board_of(site, unit)
    return TAPPED if board == MAIN and unit.id in _tapped(site) else board


def _tapped(site: Site) -> frozenset[str]:
    """Ids of units whose circuit leaves the meter tails at a connector block."""
    return frozenset(s.unit_id for s in site.storage if s.tap == "service-connectors")


def backed_up_board(site: Site, unit: Unit) -> str:
    """The board that a unit can feed as an island: a cable leads from the unit to it.

    A cable to the unit's own board is that of its circuit, written the other way round.
    """
    name = words.text(unit.id)
    others = {words.text(other.id) for other in site.units}
    for run in site.cables:
        end = words.text(run.to)
        if words.text(run.from_) != name or end in others or end == board_of(site, unit):
            continue
        if plain(end) not in MAIN_NAMES | ORIGIN_NAMES:
            return end
    return ""


def feeds_of(site: Site, boards: tuple[str, ...]) -> dict[str, Feed]:
    """Find the feed of each board. Cuts open a loop of boards, or a chain too long to draw."""
    runs: dict[str, tuple[str, Cable]] = {}
    known_boards = set(boards)
    on = placed_on(site)
    tails = {on[unit.id] for unit in site.units if unit.id in _tapped(site)}
    for run in site.cables:
        start, end = words.text(run.from_), words.text(run.to)
        if end not in known_boards or end in runs:
            continue
        if start in known_boards:
            runs[end] = (start, run)
        elif plain(start) in MAIN_NAMES:
            runs[end] = (MAIN, run)
        elif plain(start) in ORIGIN_NAMES:
            runs[end] = (TAILS, run)
    behind = {backed_up_board(site, unit): unit for unit in site.units if unit.can_island is True}
    above = {board: runs[board][0] if board in runs else MAIN for board in boards}
    for board in boards:
        if board not in runs and board in behind and on[behind[board].id] != board:
            above[board] = on[behind[board].id]
    steps = _steps({board: MAIN if to == TAILS else to for board, to in above.items()})
    feeds: dict[str, Feed] = {}
    for board in boards:
        count = steps[board]
        if board not in runs and board in behind and count is not None and count <= DEEPEST_BOARD:
            feeds[board] = Feed(above[board], True, count, through=words.text(behind[board].id))
        elif board not in runs and board in tails:
            feeds[board] = Feed(TAILS, True, 1)
        elif count is None or board not in runs:
            feeds[board] = Feed(MAIN, False, 1)
        elif count > DEEPEST_BOARD:
            feeds[board] = Feed(MAIN, True, count, runs[board][1])
        else:
            feeds[board] = Feed(runs[board][0], True, count, runs[board][1])
    return feeds


def _steps(above: dict[str, str]) -> dict[str, int | None]:
    """Count boards from the main one down to each; None for boards in a loop."""
    steps: dict[str, int | None] = {MAIN: 0}
    for board in above:
        way: list[str] = []
        at = board
        while at not in steps:
            # None marks a board being counted: meeting it again means a loop.
            steps[at] = None
            way.append(at)
            at = above[at]
        count = steps[at]
        for passed in reversed(way):
            count = None if count is None else count + 1
            steps[passed] = count
    return steps


def feed_words(feed: Feed) -> str:
    """Words on the feed of a board, for its label."""
    above = {MAIN: "the main board", TAILS: "the meter tails"}.get(
        feed.parent, f"board {feed.parent}"
    )
    if feed.through:
        return f"fed from {above} through the changeover of {feed.through}"
    if feed.steps > DEEPEST_BOARD:
        return f"fed through {feed.steps - 1} boards; drawn from the main board for want of space"
    if not feed.stated:
        return f"fed from {above}, {words.ON_SITE}"
    if feed.parent == TAILS and feed.cable is None:
        return "fed from the meter tails at a connector block"
    return f"fed from {above}, {words.cable(feed.cable)}" if feed.cable else f"fed from {above}"
