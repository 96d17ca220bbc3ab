"""Boards of a site, and the board that feeds each."""

from msgspec import Struct

from connections.diagram.circuits import words
from connections.diagram.circuits.device_kinds import MAIN_NAMES, ORIGIN_NAMES, plain
from connections.facts.site import Cable, Site, Unit

MAIN = ""
"""The id of the main board in this room."""
DEEPEST_BOARD = 4
"""Most boards in a chain below the main board. Our choice: the width of the sheet."""


class Feed(Struct, frozen=True):
    """The feed of a board. `stated`: a cable of the facts gives it; `cable` is that cable.

    `steps` counts the boards from the main board down to this one, as in the facts.
    """

    parent: str
    stated: bool
    steps: int
    cable: Cable | None = None


def board_of(unit: Unit) -> str:
    """The board that feeds a unit: the main board if the facts name none."""
    name = words.text(unit.feeds_from)
    return MAIN if plain(name) in MAIN_NAMES else name


def main_board_names(site: Site) -> tuple[str, ...]:
    """Names of the main board in the facts, where they differ from ours."""
    typed = dict.fromkeys(words.text(unit.feeds_from) for unit in site.units)
    return tuple(name for name in typed if plain(name) in MAIN_NAMES - {"main", "main board"})


def boards_of(site: Site) -> tuple[str, ...]:
    """Every board but the main one, in the order of the facts.

    Units name boards, and so do cables that feed a named board.
    """
    found = dict.fromkeys(board_of(unit) for unit in site.units)
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


def feeds_of(site: Site, boards: tuple[str, ...]) -> dict[str, Feed]:
    """Find the feed of each board. Cuts open a loop of boards, or a chain too long to draw."""
    runs: dict[str, tuple[str, Cable]] = {}
    known_boards = set(boards)
    for run in site.cables:
        start, end = words.text(run.from_), words.text(run.to)
        if end not in known_boards or end in runs:
            continue
        if start in known_boards:
            runs[end] = (start, run)
        elif plain(start) in MAIN_NAMES:
            runs[end] = (MAIN, run)
    steps = _steps({board: runs[board][0] if board in runs else MAIN for board in boards})
    feeds: dict[str, Feed] = {}
    for board in boards:
        count = steps[board]
        if count is None or board not in runs:
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
    above = f"board {feed.parent}" if feed.parent else "the main board"
    if feed.steps > DEEPEST_BOARD:
        return f"fed through {feed.steps - 1} boards; drawn from the main board for want of space"
    if not feed.stated:
        return f"taken as fed from {above}: the facts do not say"
    return f"fed from {above}, {words.cable(feed.cable)}" if feed.cable else f"fed from {above}"
