"""The circuits of a site, read from its facts: what hangs where, and the words beside it.

Nothing is placed here. The layout and the text alternative are both made from these values, so
they can't say different things.
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
    """Whether a DC isolator is drawn before it: panels and cells."""


class Column(Struct, frozen=True):
    """One line of like units, from its board down to its sources.

    `symbol` is the unit's own symbol. `interface` are the words of a separate interface
    protection, empty where it is inside the unit. `island` and `switched` ask for a changeover
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
    """A board with what it feeds. `feed` says where it is fed from, empty for the main board."""

    board_id: str
    name: str
    feed: str
    devices: tuple[Device, ...]
    columns: tuple[Column, ...]
    boards: tuple["Board", ...]
    loads: str
    measured: bool


class Stray(Struct, frozen=True):
    """Panels or cells that name a unit which is not there."""

    source: Source
    names: str


class Circuit(Struct, frozen=True):
    """The whole of a site for the diagram.

    `scheme` are the lines of the limitation scheme's box, empty without one; `measured_at_supply`
    whether its current transformer stands at the supply. `notes` are sentences under the drawing.
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
    """The board and all boards below it, each before its own."""
    found = [board]
    for below in board.boards:
        found.extend(every_board(below))
    return tuple(found)
