"""Build the circuits of a site from its facts."""

import msgspec
from msgspec import structs

from connections.diagram.circuits import words
from connections.diagram.circuits.board_tree import (
    MAIN,
    TAILS,
    TAPPED,
    Feed,
    boards_of,
    feed_words,
    feeds_of,
    is_board_known,
    main_board_names,
    placed_on,
)
from connections.diagram.circuits.circuit import (
    MOST_CLAMPS,
    MOST_DEVICES,
    Board,
    Circuit,
    Device,
    Stray,
    every_board,
)
from connections.diagram.circuits.clamping import Clamping, clamping_of
from connections.diagram.circuits.device_kinds import (
    MAIN_NAMES,
    ORIGIN_NAMES,
    island_device,
    plain,
    symbol_of,
)
from connections.diagram.circuits.facts_index import FactsIndex, index_of
from connections.diagram.circuits.limitation import AT_SUPPLY, Scheme, scheme_of
from connections.diagram.circuits.unit_circuit import column_of, stray_source
from connections.facts.defaults import known, rating, voltage_level
from connections.facts.site import Array, Premises, Site, Storage, Unit


def circuit(site: Site, import_meters: int = 1) -> Circuit:
    """The circuits of a site. Deterministic; the order is that of the site file.

    `import_meters` is the number of its import supply numbers, each with a meter.
    """
    boards = boards_of(site)
    facts = index_of(site, boards)
    clamping = clamping_of(site)
    scheme = scheme_of(site, boards, clamping.scheme)
    builder = _Boards(site, facts, feeds_of(site, boards), scheme, clamping)
    main = builder.board(MAIN)
    tapped = builder.below(TAILS)
    units = {unit.id for unit in site.units}
    parts: tuple[Array | Storage, ...] = (*site.arrays, *site.storage)
    found = Circuit(
        reference=words.text(site.reference) or "without a printable reference",
        phase_count=site.supply.phases,
        supply=words.supply_lines(site.supply),
        cut_out=words.cut_out(site.supply),
        service=_tails(site, to_main=False),
        meter=_meter(site),
        more_meters=_more_meters(import_meters),
        tails=_tails(site, to_main=True),
        scheme=scheme.lines if scheme else (),
        measured_at_supply=scheme is not None and scheme.measured_at == AT_SUPPLY,
        scheme_arrow=scheme.arrow if scheme else "",
        clamps=clamping.supply,
        main=main,
        tapped=tapped,
        strays=tuple(
            Stray(stray_source(part), words.text(part.unit_id))
            for part in parts
            if part.unit_id not in units
        ),
        notes=(),
    )
    return structs.replace(found, notes=_notes(site, facts, scheme, clamping, found))


def _meter(site: Site) -> str:
    premises = known(site.premises)
    said = words.text(premises.metering) if isinstance(premises, Premises) else ""
    return f"Meter: {said}" if said else "Meter"


def _more_meters(import_meters: int) -> str:
    """Words on the meters of further import supply numbers; empty where there is one."""
    if import_meters < 2:
        return ""
    count = "Meter" if import_meters == 2 else f"{import_meters - 1} meters"
    return f"{count} of another import supply number; its circuits are not in the facts"


def _tails(site: Site, *, to_main: bool) -> str:
    """The meter tails: cables from a place ahead of the main board, to that board or elsewhere."""
    ends = MAIN_NAMES if to_main else ORIGIN_NAMES
    runs = [
        run
        for run in site.cables
        if {plain(run.from_), plain(run.to)} & ORIGIN_NAMES
        and (
            plain(run.to) in ends if plain(run.from_) in ORIGIN_NAMES else plain(run.from_) in ends
        )
    ]
    said = "; ".join(words.cable(run).removeprefix("cable ") for run in runs)
    if said:
        return f"meter tails: {said}" if to_main else f"tails to the meter: {said}"
    return "meter tails" if to_main else ""


class _Boards:
    """Builds the boards of one site from the main board down."""

    def __init__(
        self,
        site: Site,
        facts: FactsIndex,
        feeds: dict[str, Feed],
        scheme: Scheme | None,
        clamping: Clamping,
    ) -> None:
        self._site = site
        self._clamping = clamping
        self._facts = facts
        self._feeds = feeds
        self._scheme = scheme
        self._units: dict[str, list[Unit]] = {}
        on = placed_on(site)
        for unit in site.units:
            self._units.setdefault(on[unit.id], []).append(unit)
        self._below: dict[str, list[str]] = {}
        for board, feed in feeds.items():
            self._below.setdefault(feed.parent, []).append(board)

    def board(self, board_id: str) -> Board:
        """A board with everything below it."""
        is_main = board_id == MAIN
        entries = self._facts.at_origin if is_main else self._facts.protection.get(board_id, ())
        if not is_main and board_id in self._facts.unit_names:
            entries = ()
        devices = tuple(
            Device(symbol_of(entry, at_board=True), words.device(entry))
            for entry in entries
            if island_device(entry) in (None, "changeover")
        )
        if not devices and (amps := self._incoming(board_id)):
            devices = (Device("device-box", f"incoming device {amps}{words.NB}A"),)
        scheme = self._scheme
        return Board(
            board_id=board_id,
            name=self._main_name() if is_main else _name(board_id),
            feed="" if is_main else feed_words(self._feeds[board_id]),
            devices=self._with_main_switch() if is_main else devices,
            columns=tuple(
                column_of(self._facts, unit, scheme, self._clamping)
                for unit in self._units.get(board_id, ())
            ),
            boards=self.below(board_id),
            loads=_loads(self._site) if is_main else "loads of this board, if any",
            measured=scheme is not None and not is_main and scheme.measured_at == board_id,
            clamps=self._clamping.loads if is_main else (),
        )

    def below(self, board_id: str) -> tuple[Board, ...]:
        """The boards that a board feeds, or the meter tails."""
        return tuple(self.board(board) for board in self._below.get(board_id, ()))

    def _incoming(self, board_id: str) -> int | None:
        """Rating of the incoming device of a board, where the facts state it."""
        for board in self._site.boards or ():
            name = words.text(board.id)
            if name == board_id or (board_id == MAIN and plain(name) in MAIN_NAMES):
                return rating(board.incoming_a)
        return None

    def _with_main_switch(self) -> tuple[Device, ...]:
        """The devices of the main board: the main switch first, then any voltage optimiser."""
        devices = tuple(
            Device(symbol_of(entry, at_board=True), words.device(entry))
            for entry in self._facts.at_origin
            if island_device(entry) in (None, "changeover")
        )
        switch = next((d for d in devices if d.symbol == "main-switch"), None)
        amps = self._incoming(MAIN)
        said = f"Main switch {amps}{words.NB}A" if amps else "Main switch"
        rest = tuple(d for d in devices if d is not switch)
        # A changeover at the supply parts the whole site: it comes before the main switch.
        first = tuple(d for d in rest if d.symbol in ("changeover", "meter"))
        rest = tuple(d for d in rest if d not in first)
        if known(self._site.supply.voltage_optimiser):
            rest = (Device("device-box", "voltage optimiser"), *rest)
        return (*first, switch or Device("main-switch", said), *rest)

    def _main_name(self) -> str:
        typed = ", ".join(main_board_names(self._site))
        return f"Main board ({typed})" if typed else "Main board"


def _name(board_id: str) -> str:
    """The name of a board other than the main one."""
    if board_id == TAPPED:
        return "Board on the meter tails"
    return board_id[0].upper() + board_id[1:] if _says_board(board_id) else f"Board {board_id}"


def _says_board(name: str) -> bool:
    return "board" in name.casefold() or "consumer unit" in name.casefold()


def _loads(site: Site) -> str:
    loads = site.loads
    if not isinstance(loads, msgspec.Struct):
        return "loads"
    demand = rating(loads.assessed_demand_va)
    kind = "measured" if known(loads.measured) else "assessed"
    said = [f"{kind} demand {words.thousandths(demand, 'kVA')}"] if demand else []
    said += [words.load(item) for item in loads.items]
    return f"loads: {'; '.join(said)}" if said else "loads"


def _notes(
    site: Site, facts: FactsIndex, scheme: Scheme | None, clamping: Clamping, found: Circuit
) -> tuple[str, ...]:
    """Notes on what the drawing leaves out or assumes."""
    notes = [scheme.note] if scheme and scheme.note else []
    if voltage_level(site) == "HV":
        notes.append(
            "The supply is at high voltage; its switchgear and transformer are not in the facts "
            "and are not drawn."
        )
    boards = every_board(found)
    for board in boards:
        notes.extend(_too_many(board.name, board.devices))
        notes.extend(
            note
            for column in board.columns
            for note in (
                *_too_many(words.text(column.unit_id), column.devices),
                *(
                    f"Also in the circuit of {words.text(column.unit_id)}, not drawn: {more.words}."
                    for more in column.clamps[MOST_CLAMPS:]
                ),
            )
        )
    notes.extend(f"Not drawn, circuit not known: {said}." for said in clamping.unplaced)
    islands = any(column.island for board in boards for column in board.columns)
    for entry in () if islands else facts.at_origin:
        if island_device(entry) in ("relay", "electrode"):
            notes.append(f"Also at the supply, not drawn: {words.device(entry)}.")
    unsaid = [words.text(unit.id) for unit in site.units if not is_board_known(site, unit)]
    if unsaid and len(boards) > 1:
        notes.append(f"Board {words.ON_SITE}, drawn at the main board: {', '.join(unsaid)}.")
    for entry in facts.unplaced:
        serves = words.text(entry.serves)
        place = f"serves “{serves}”, which is not there" if serves else "place not known"
        notes.append(f"Not drawn: {words.device(entry)} ({place}).")
    return tuple(notes)


def _too_many(where: str, devices: tuple[Device, ...]) -> tuple[str, ...]:
    rest = "; ".join(device.words for device in devices[MOST_DEVICES:])
    return (f"Also in the circuit of {where}, not drawn: {rest}.",) if rest else ()
