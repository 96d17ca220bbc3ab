"""Circuits of a site, read from its facts: their connections and the words beside them.

These values have no positions. Layout and text alternative both come from them, so they can't
differ.
"""

from typing import Literal

from msgspec import Struct

Status = Literal["existing", "proposed", "removed"]

MOST_DEVICES = 3
"""Devices drawn in one circuit; a note names the others. Our choice."""

MOST_CLAMPS = 2
"""Groups of clamps drawn in one circuit; a note names the others. Our choice."""


class Device(Struct, frozen=True):
    """A piece of switchgear or protection in a circuit: its symbol and the words beside it."""

    symbol: str
    words: str


class Clamps(Struct, frozen=True):
    """Clamps that measure one current for one reader; `arrow` is the symbol of their direction.

    `arrow` is empty where the direction is not known.
    """

    words: str
    arrow: str


class Source(Struct, frozen=True):
    """Panels, cells or a machine behind a unit; `words` are lines of a label.

    `isolator` holds the words of its DC isolator, empty where none is drawn. `unisolated` says in
    words that the facts state none.
    """

    symbol: str
    words: tuple[str, ...]
    status: Status
    isolator: str = ""
    unisolated: str = ""


class Island(Struct, frozen=True):
    """What a unit needs to run as an island, each in words.

    `board` and `loads` are those that it feeds then; empty where the whole site is parted from the
    network at the supply.
    """

    board: str
    loads: str
    residual: Device | None
    relay: str
    terminal: str
    electrode: str


class Column(Struct, frozen=True):
    """One line of like units, from its board down to its sources.

    `symbol` is the unit's own symbol. `interface` holds the words of a separate interface
    protection, empty where the unit contains it. `changeover` parts the unit and its island from
    the network, or keeps plant that is only switched out of parallel. `isolator` is None for plant
    that goes and has none.
    """

    unit_id: str
    status: Status
    symbol: str
    words: tuple[str, ...]
    devices: tuple[Device, ...]
    cable: str
    changeover: Device | None
    island: Island | None
    isolator: Device | None
    interface: str
    sources: tuple[Source, ...]
    controlled: bool
    measured: bool
    clamps: tuple[Clamps, ...]


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
    clamps: tuple[Clamps, ...] = ()
    """Clamps on its loads."""


class Stray(Struct, frozen=True):
    """Panels or cells that name a unit missing from the site."""

    source: Source
    names: str


class Circuit(Struct, frozen=True):
    """All circuits of a site for the diagram.

    `scheme` holds the lines of the limitation scheme's box, empty without one. `measured_at_supply`
    says whether its current transformer is at the supply, and `scheme_arrow` which way it points.
    `clamps` are other clamps at the supply. `tapped` are boards whose feeder leaves the meter
    tails. `tails` stands beside the line below the meter. `more_meters` are those beside the first.
    `notes` are sentences under the drawing.
    """

    reference: str
    phase_count: int
    supply: tuple[str, ...]
    cut_out: str
    service: str
    meter: str
    more_meters: str
    tails: str
    scheme: tuple[str, ...]
    measured_at_supply: bool
    scheme_arrow: str
    clamps: tuple[Clamps, ...]
    main: Board
    tapped: tuple[Board, ...]
    strays: tuple[Stray, ...]
    notes: tuple[str, ...]


def every_board(circuit: Circuit) -> tuple[Board, ...]:
    """All boards, each before the boards that it feeds."""
    found: list[Board] = []
    for board in (circuit.main, *circuit.tapped):
        found.extend(_with_those_below(board))
    return tuple(found)


def _with_those_below(board: Board) -> list[Board]:
    found = [board]
    for below in board.boards:
        found.extend(_with_those_below(below))
    return found
