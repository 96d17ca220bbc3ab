"""Circuits of a site, read from its facts: their connections and the words beside them.

These values have no positions. Layout and text alternative both come from them, so they can't
differ.
"""

from typing import Literal

from msgspec import Struct

Status = Literal["existing", "proposed", "removed"]

MOST_DEVICES = 3
"""Devices drawn in one circuit; a note names the others. Our choice."""


class Device(Struct, frozen=True):
    """A piece of switchgear or protection in a circuit: its symbol and the words beside it."""

    symbol: str
    words: str


class Source(Struct, frozen=True):
    """Panels, cells or a machine behind a unit; `words` are lines of a label."""

    symbol: str
    words: tuple[str, ...]
    status: Status
    isolated: bool
    """Whether to draw a DC isolator before it: yes for panels and cells."""


class Column(Struct, frozen=True):
    """One line of like units, from its board down to its sources.

    `symbol` is the unit's own symbol. `interface` holds the words of a separate interface
    protection, empty where the unit contains it. `island` and `switched` ask for a changeover
    switch.
    """

    unit_id: str
    status: Status
    symbol: str
    words: tuple[str, ...]
    devices: tuple[Device, ...]
    cable: str
    island: bool
    switched: bool
    isolator: str
    interface: str
    dc_isolator: str
    sources: tuple[Source, ...]
    controlled: bool
    measured: bool
    equipment: str


class Board(Struct, frozen=True):
    """A board with its circuits. `feed` names its feed in words; empty for the main board."""

    board_id: str
    name: str
    feed: str
    devices: tuple[Device, ...]
    columns: tuple[Column, ...]
    boards: tuple["Board", ...]
    loads: str
    measured: bool


class Stray(Struct, frozen=True):
    """Panels or cells that name a unit missing from the site."""

    source: Source
    names: str


class Circuit(Struct, frozen=True):
    """All circuits of a site for the diagram.

    `scheme` holds the lines of the limitation scheme's box, empty without one. `measured_at_supply`
    says whether its current transformer is at the supply. `notes` are sentences under the drawing.
    """

    reference: str
    phase_count: int
    supply: tuple[str, ...]
    cut_out: str
    scheme: tuple[str, ...]
    measured_at_supply: bool
    main: Board
    strays: tuple[Stray, ...]
    notes: tuple[str, ...]


def every_board(board: Board) -> tuple[Board, ...]:
    """The board and all boards below it, each before the boards that it feeds."""
    found = [board]
    for below in board.boards:
        found.extend(every_board(below))
    return tuple(found)
