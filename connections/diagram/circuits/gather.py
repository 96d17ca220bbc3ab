"""Build the circuits of a site from its facts."""

import msgspec

from connections.diagram.circuits import words
from connections.diagram.circuits.board_tree import (
    MAIN,
    Feed,
    board_of,
    boards_of,
    feed_words,
    feeds_of,
    main_board_names,
)
from connections.diagram.circuits.circuit import (
    MOST_DEVICES,
    Board,
    Circuit,
    Device,
    Stray,
    every_board,
)
from connections.diagram.circuits.device_kinds import symbol_of
from connections.diagram.circuits.facts_index import FactsIndex, index_of
from connections.diagram.circuits.limitation import AT_SUPPLY, Scheme, scheme_of
from connections.diagram.circuits.unit_circuit import column_of, stray_source
from connections.facts.defaults import known, rating, voltage_level
from connections.facts.site import Array, Site, Storage, Unit


def circuit(site: Site) -> Circuit:
    """The circuits of a site. Deterministic; the order is that of the site file."""
    boards = boards_of(site)
    facts = index_of(site, boards)
    scheme = scheme_of(site, boards)
    main = _Boards(site, facts, feeds_of(site, boards), scheme).board(MAIN)
    units = {unit.id for unit in site.units}
    parts: tuple[Array | Storage, ...] = (*site.arrays, *site.storage)
    return Circuit(
        reference=words.text(site.reference) or "without a printable reference",
        phase_count=site.supply.phases,
        supply=words.supply_lines(site.supply),
        cut_out=words.cut_out(site.supply),
        scheme=scheme.lines if scheme else (),
        measured_at_supply=scheme is not None and scheme.measured_at == AT_SUPPLY,
        main=main,
        strays=tuple(
            Stray(stray_source(part), words.text(part.unit_id))
            for part in parts
            if part.unit_id not in units
        ),
        notes=_notes(site, facts, scheme, main),
    )


class _Boards:
    """Builds the boards of one site from the main board down."""

    def __init__(
        self, site: Site, facts: FactsIndex, feeds: dict[str, Feed], scheme: Scheme | None
    ) -> None:
        self._site = site
        self._facts = facts
        self._feeds = feeds
        self._scheme = scheme
        self._units: dict[str, list[Unit]] = {}
        for unit in site.units:
            self._units.setdefault(board_of(unit), []).append(unit)
        self._below: dict[str, list[str]] = {}
        for board, feed in feeds.items():
            self._below.setdefault(feed.parent, []).append(board)

    def board(self, board_id: str) -> Board:
        """A board with everything below it."""
        is_main = board_id == MAIN
        entries = self._facts.at_origin if is_main else self._facts.protection.get(board_id, ())
        devices = tuple(
            Device(symbol_of(entry, at_board=True), words.device(entry))
            for entry in entries
            if is_main or board_id not in self._facts.unit_names
        )
        scheme = self._scheme
        return Board(
            board_id=board_id,
            name=self._main_name() if is_main else f"Board {board_id}",
            feed="" if is_main else feed_words(self._feeds[board_id]),
            devices=_with_main_switch(self._site, devices) if is_main else devices,
            columns=tuple(
                column_of(self._facts, unit, scheme) for unit in self._units.get(board_id, ())
            ),
            boards=tuple(self.board(board) for board in self._below.get(board_id, ())),
            loads=_loads(self._site) if is_main else "loads of this board, if any",
            measured=scheme is not None and not is_main and scheme.measured_at == board_id,
        )

    def _main_name(self) -> str:
        typed = ", ".join(main_board_names(self._site))
        return f"Main board ({typed})" if typed else "Main board"


def _with_main_switch(site: Site, devices: tuple[Device, ...]) -> tuple[Device, ...]:
    """Put the main switch first, from the facts or unrated, then any voltage optimiser."""
    switch = next((d for d in devices if d.symbol == "main-switch"), None)
    first = switch or Device("main-switch", "Main switch, rating not known")
    rest = tuple(d for d in devices if d is not switch)
    if known(site.supply.voltage_optimiser):
        rest = (Device("device-box", "voltage optimiser"), *rest)
    return (first, *rest)


def _loads(site: Site) -> str:
    loads = site.loads
    if not isinstance(loads, msgspec.Struct):
        return "loads, demand not known"
    demand = rating(loads.assessed_demand_va)
    kind = "measured" if known(loads.measured) else "assessed"
    said = f"{kind} demand {words.thousandths(demand, 'kVA')}" if demand else "demand not known"
    return "loads: " + "; ".join((said, *(words.load(item) for item in loads.items)))


def _notes(site: Site, facts: FactsIndex, scheme: Scheme | None, main: Board) -> tuple[str, ...]:
    """Notes on what the drawing leaves out or assumes."""
    found = [scheme.note] if scheme and scheme.note else []
    if voltage_level(site) == "HV":
        found.append(
            "The supply is at high voltage; its switchgear and transformer are not in the facts "
            "and are not drawn."
        )
    for board in every_board(main):
        found.extend(_too_many(board.name, board.devices))
        found.extend(
            note
            for column in board.columns
            for note in _too_many(words.text(column.unit_id), column.devices)
        )
    for entry in facts.unplaced:
        serves = words.text(entry.serves)
        place = f"serves “{serves}”, which is not there" if serves else "place not known"
        found.append(f"Not drawn: {words.device(entry)} ({place}).")
    return tuple(found)


def _too_many(where: str, devices: tuple[Device, ...]) -> tuple[str, ...]:
    rest = "; ".join(device.words for device in devices[MOST_DEVICES:])
    return (f"Also in the circuit of {where}, not drawn: {rest}.",) if rest else ()
