"""The cables of a site as a tree from the supply terminals outwards, and its voltages.

Names in the facts are free text. A place is the origin, the main board, another board or a unit.
The main board stands at the supply terminals unless a cable says otherwise. Either end of a cable
may come first.
"""

from collections.abc import Callable, Iterator
from functools import cached_property, lru_cache
from math import atan2, cos, hypot, sin

from msgspec import Struct

from connections.electrical.conductors import Impedance, conductor
from connections.electrical.radial import NOTHING, At, Place, Three, solve
from connections.facts.defaults import known
from connections.facts.devices import MAIN_NAMES, ORIGIN_NAMES, plain
from connections.facts.site import Cable, TextOrUnknown
from connections.rules.checks.basis.plant import PHASES, Output, charging_w, outputs_of, tap_of
from connections.rules.checks.basis.supply_loop import supply_loop
from connections.rules.checks.basis.types import amount
from connections.rules.checks.basis.working import Ground, Working

ORIGIN, MAIN = "", "the main board"
_DEEPEST = 40
"""Most runs in series; more is a loop or a mistake (our choice)."""

_HOT = ("thermosetting", "xlpe", "90", "lsf", "epr")
_COOL = ("thermoplastic", "pvc", "70")


class Way(Struct, frozen=True):
    """The path from the supply terminals to a unit: its cables in order, and the places on it.

    `needs` gives words, path and value of each fact missing on the path.
    """

    cables: tuple[int, ...]
    places: tuple[str, ...]
    needs: tuple[tuple[str, str, object], ...] = ()


def insulation_of(cable: Cable) -> str | None:
    """xlpe or pvc, from free text such as "thermosetting 90 C"; None if not known."""
    return _insulation_in(known(cable.insulation) or "")


@lru_cache(maxsize=64)
def _insulation_in(said: str) -> str | None:
    words = plain(said).split()
    if any(word in words for word in _HOT):
        return "xlpe"
    return "pvc" if any(word in words for word in _COOL) else None


def size_of(cable: Cable) -> str:
    """The nominal size as a label, without unit and trailing zeros."""
    return nominal(cable.csa_mm2)


def nominal(size: TextOrUnknown) -> str:
    """A nominal size as a label, without unit and trailing zeros; empty if not known."""
    return _nominal_in(known(size) or "")


@lru_cache(maxsize=64)
def _nominal_in(said: str) -> str:
    text = said.lower().replace("mm2", "").replace("mm²", "").strip()
    return text.rstrip("0").rstrip(".") if "." in text else text


def material_of(cable: Cable) -> str:
    """copper, aluminium or any other stated material; empty if none."""
    said = plain(known(cable.material) or "")
    return {"cu": "copper", "al": "aluminium", "aluminum": "aluminium"}.get(said, said)


class Runs:
    """The tree of one site."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self.outputs: list[Output] = outputs_of(ground)
        self.above: dict[str, tuple[str, int]] = {}
        self.twice: set[str] = set()
        self._impedances: dict[int, Impedance] = {}
        self._solved: dict[tuple[float, bool, Impedance | None], dict[str, At]] = {}
        self.labels: dict[str, str] = {ORIGIN: "the supply terminals", MAIN: MAIN}
        self._units = {plain(o.unit.id): f"unit {o.unit.id}" for o in self.outputs}
        self._of_unit: dict[str, list[int]] = {}
        site = ground.site
        gone = {unit.id for unit in site.units} - {o.unit.id for o in self.outputs}
        self._boards = {
            plain(name)
            for name in (
                *(board.id for board in site.boards or ()),
                *(known(o.unit.feeds_from) or "" for o in self.outputs),
                *(
                    end
                    for cable in site.cables
                    if not known(cable.unit_id)
                    for end in (cable.from_, cable.to)
                ),
            )
        }
        self._joined = {
            plain(other)
            for cable in site.cables
            for end, other in ((cable.from_, cable.to), (cable.to, cable.from_))
            if plain(end) in ORIGIN_NAMES and plain(other) not in MAIN_NAMES
        } - self._units.keys()
        for i, cable in enumerate(site.cables):
            unit_id = known(cable.unit_id) or ""
            if unit_id not in gone:
                self._add(i, cable, unit_id)

    def _add(self, i: int, cable: Cable, unit_id: str) -> None:
        inner, outer = self._place(cable.from_, unit_id), self._place(cable.to, unit_id)
        # What is joined to the supply terminals, such as a connector block, feeds the other end.
        block = {inner, outer} & self._joined if ORIGIN not in (inner, outer) else set()
        from_unit = inner.startswith("unit ") and not outer.startswith("unit ")
        to_supply = outer in (ORIGIN, MAIN) and inner not in (ORIGIN, MAIN)
        if len(block) == 1:
            inner, outer = (inner, outer) if inner in block else (outer, inner)
        elif from_unit or to_supply or (outer == ORIGIN and inner == MAIN):
            inner, outer = outer, inner
        if unit_id:
            self._of_unit.setdefault(unit_id, []).append(i)
        if outer in self.above or inner == outer:
            self.twice.add(outer)
        else:
            self.above[outer] = (inner, i)

    def _place(self, name: str, unit_id: str) -> str:
        said = plain(name)
        if said in ORIGIN_NAMES:
            return ORIGIN
        if said in MAIN_NAMES:
            return MAIN
        if said in self._units:
            return self._units[said]
        place = said if said in self._boards or not unit_id else f"{unit_id}: {said}"
        self.labels.setdefault(place, name)
        return place

    def label(self, place: str) -> str:
        """A place in words."""
        return self.labels.get(place, place.removeprefix("unit "))

    @cached_property
    def ways(self) -> dict[str, Way]:
        """The way to each counted unit."""
        return {output.unit.id: self._way(output) for output in self.outputs}

    def _way(self, output: Output) -> Way:
        unit = output.unit
        place = f"unit {unit.id}"
        own = self._of_unit.get(unit.id, [])
        if place not in self.above:
            inner = {before for before, _ in self.above.values()}
            ends = [end for end, (_, i) in self.above.items() if i in own and end not in inner]
            if len(ends) != 1:
                words = (
                    f"the cable run of {unit.id} (length, size and conductor)"
                    if not own
                    else f"one cable that ends at {unit.id}"
                )
                return Way((), (), ((words, "cables", None),))
            place = ends[0]
        cables: list[int] = []
        places = [place]
        at = place
        while at in self.above and len(cables) <= _DEEPEST:
            if at in self.twice:
                return Way((), (), ((f"one cable to {self.label(at)}, not two", "cables", None),))
            at, i = self.above[at]
            cables.append(i)
            places.append(at)
        if len(cables) > _DEEPEST:
            return Way((), (), (("cables that do not run in a circle", "cables", None),))
        needs: list[tuple[str, str, object]] = []
        if at not in (ORIGIN, MAIN):
            needs.append((f"the cable that feeds {self.label(at)}", "cables", None))
        for i in cables:
            cable = self.ground.site.cables[i]
            ends_of = f"{cable.from_} to {cable.to}"
            if known(cable.length_mm) is None:
                needs.append((f"the length of the cable {ends_of}", f"cables[{i}].length_mm", None))
            if not size_of(cable):
                needs.append((f"the size of the cable {ends_of}", f"cables[{i}].csa_mm2", None))
        return Way(tuple(reversed(cables)), tuple(reversed(places)), tuple(needs))

    def impedance(self, i: int) -> Impedance:
        """One conductor of a cable. Raises ElectricalError."""
        if i not in self._impedances:
            self._impedances[i] = self._impedance(i)
        return self._impedances[i]

    def _impedance(self, i: int) -> Impedance:
        cable = self.ground.site.cables[i]
        figure = self.ground.figure
        hot = insulation_of(cable) == "xlpe"
        temperature = figure("cable.temperature_thermosetting" if hot else "cable.temperature")
        reactance = figure("cable.reactance")
        return conductor(
            material_of(cable) or self._material,
            size_of(cable),
            (known(cable.length_mm) or 0) / 1000,
            float(temperature if temperature is not None else 70),
            (reactance if reactance is not None else 80) / 1000,
        )

    @cached_property
    def _material(self) -> str:
        held = self.ground.held("cable.material")
        return str(held.amount) if held is not None else "copper"

    def state(self, w: Working, unit_id: str) -> bool:
        """Record the run of a unit as inputs; return whether everything it needs is known."""
        way = self.ways[unit_id]
        for i in way.cables:
            self.state_cable(w, i)
        for words, path, value in way.needs:
            w.need(words, path, value)
        if way.places and way.places[0] == MAIN:
            w.computed("tails to the main board", "not stated; taken as nothing")
        return not way.needs

    def state_cable(self, w: Working, i: int) -> None:
        """Record one cable as inputs."""
        w.take(self.ground.stated(f"cables[{i}]", lambda into: self._state_cable(into, i)))

    def _state_cable(self, w: Working, i: int) -> None:
        cable = self.ground.site.cables[i]
        path = f"cables[{i}]"
        name = f"{cable.from_} to {cable.to}"
        w.read(((f"{path}.from", cable.from_), (f"{path}.to", cable.to)))
        if known(cable.length_mm) is not None:
            length = amount((known(cable.length_mm) or 0) / 1000, "m")
            w.fact(f"length, {name}", f"{path}.length_mm", cable.length_mm, length)
        if size_of(cable):
            w.fact(f"size, {name}", f"{path}.csa_mm2", cable.csa_mm2, f"{size_of(cable)} mm²")
        if material_of(cable):
            w.fact(f"conductor, {name}", f"{path}.material", cable.material, material_of(cable))
        else:
            w.read(((f"{path}.material", cable.material),))
            w.text("cable.material")
        insulation = insulation_of(cable)
        w.read(((f"{path}.insulation", cable.insulation),))
        hot = insulation == "xlpe"
        w.default("cable.temperature_thermosetting" if hot else "cable.temperature")
        w.default("cable.reactance")

    def alone(self, unit_id: str) -> bool:
        """Whether no other unit shares a cable on the path of this one."""
        way = self.ways[unit_id]
        return not any(
            set(way.cables) & set(other.cables) for id, other in self.ways.items() if id != unit_id
        )

    # --- voltages

    def voltages(
        self, source_v: float, *, charging: bool = False, service: Impedance | None = None
    ) -> dict[str, At]:
        """Solve the voltages of every place, all units at full output (or all storage charging).

        `service` is the loop of the supply upstream of the terminals. A unit with an unknown run
        feeds in at its board. Raises ElectricalError.
        """
        key = (source_v, charging, service)
        if key not in self._solved:
            self._solved[key] = self._solve(source_v, charging, service)
        return self._solved[key]

    def _solve(self, source_v: float, charging: bool, service: Impedance | None) -> dict[str, At]:
        places: list[Place] = []
        index: dict[str, int] = {ORIGIN: -1, MAIN: -1}
        powers: list[list[complex]] = []
        currents: list[list[complex]] = []

        def add(before: int, phase: Impedance, neutral: Impedance) -> int:
            places.append(Place(before, phase, neutral))
            powers.append([0j, 0j, 0j])
            currents.append([0j, 0j, 0j])
            return len(places) - 1

        if service is not None:
            share = (self.ground.figure("voltage_rise.neutral_share") or 0) / 1000
            index[ORIGIN] = index[MAIN] = add(-1, service.times(1 - share), service.times(share))
        for output in self.outputs:
            way = self.ways[output.unit.id]
            if not way.needs:
                self._grow(way, index, add)
        for output in self.outputs:
            if not output.known:
                continue
            at = self._stands_at(output, index)
            if at < 0:
                continue
            power, current = self._sent(output, charging=charging)
            for k in range(3):
                powers[at][k] += power[k]
                currents[at][k] += current[k]
        placed = [
            Place(p.before, p.phase, p.neutral, (s[0], s[1], s[2]), (i[0], i[1], i[2]))
            for p, s, i in zip(places, powers, currents, strict=True)
        ]
        found = solve(source_v, len(self.ground.phases), placed)
        v = [source_v if k < len(self.ground.phases) else 0.0 for k in range(3)]
        here = At((v[0], v[1], v[2]), (0.0, 0.0, 0.0), 0.0, 0.0)
        return {name: found[n] if n >= 0 else here for name, n in index.items()}

    def _grow(
        self, way: Way, index: dict[str, int], add: Callable[[int, Impedance, Impedance], int]
    ) -> None:
        before = index[ORIGIN]
        for n, place in enumerate(way.places):
            if n == 0:
                before = index.get(place, before)
                continue
            if place not in index or (index[place] == index[ORIGIN] and place == MAIN):
                z = self.impedance(way.cables[n - 1])
                index[place] = add(before, z, z)
            before = index[place]

    def _stands_at(self, output: Output, index: dict[str, int]) -> int:
        way = self.ways[output.unit.id]
        if not way.needs:
            return index[way.places[-1]]
        return index.get(self.board_of(output), index[ORIGIN])

    def is_unit(self, place: str) -> bool:
        """Whether a place is a unit."""
        return place in self._units.values()

    def is_board(self, place: str) -> bool:
        """Whether a place is the origin or a board, and not the end of a unit's run."""
        return place in (ORIGIN, MAIN) or place in self._boards

    @cached_property
    def fed_boards(self) -> frozenset[str]:
        """The places of boards beside the main one, which hold devices."""
        named = [board.id for board in self.ground.site.boards or ()]
        named += [known(o.unit.feeds_from) or "" for o in self.outputs]
        return frozenset(plain(name) for name in named) - MAIN_NAMES - {""}

    @cached_property
    def ends(self) -> dict[int, str]:
        """The place where each cable ends, seen from the supply."""
        return {i: place for place, (_, i) in self.above.items()}

    def from_cut_out(self) -> Iterator[tuple[int, str]]:
        """Each cable behind the cut-out's fuse alone, with the place where it ends: up to the
        first board or unit, and through connector blocks."""
        ahead = [ORIGIN]
        while ahead:
            at = ahead.pop(0)
            for place, (before, i) in self.above.items():
                if before == at and place != ORIGIN:
                    yield i, place
                    if place != MAIN and place not in self.fed_boards and not self.is_unit(place):
                        ahead.append(place)

    def state_outputs(self, w: Working) -> bool:
        """Record the output of all units; return whether all of it is known."""
        known_ones = [output.state(w) for output in self.outputs]
        return all(known_ones)

    def board_of(self, output: Output) -> str:
        """The board that feeds a unit. If the facts name none: the supply terminals where its
        cells are tapped from the tails, otherwise the main board."""
        tapped = tap_of(self.ground, output.unit) == "service-connectors"
        return self._place(known(output.unit.feeds_from) or ("supply" if tapped else "main"), "")

    def board_before(self, output: Output, place: str) -> str:
        """The board that the run to a place starts at, in words: that of the unit `output`, or
        the one before the board at that place."""
        if place not in self.fed_boards:
            return known(output.unit.feeds_from) or "main board"
        before, _ = self.above[place]
        return "main board" if before in (ORIGIN, MAIN) else self.label(before)

    def _sent(self, output: Output, *, charging: bool) -> tuple[Three, Three]:
        if not charging:
            return output.sent()
        taken = charging_w(self.ground, output) or 0.0
        each = complex(-taken / output.line.phases)
        on = [each if phase in output.unit.phases else 0j for phase in PHASES]
        return (on[0], on[1], on[2]), NOTHING

    def end_of(self, unit_id: str) -> str:
        """The place of a unit."""
        return self.ways[unit_id].places[-1]

    def service(self, w: Working) -> Impedance | None:
        """Record the loop of the supply as an impedance; None if it is not known.

        Where only its modulus is known, assumes the angle that raises the voltage most: pure
        resistance, or the angle of the plant's power if that exports reactive power.
        """
        loop = supply_loop(self.ground, w)
        if loop is None:
            return None
        if len(self.ground.phases) > 1 and w.default("voltage_rise.neutral_share") is None:
            return None
        p = sum(output.one[0] * (output.quantity or 0) for output in self.outputs)
        q = sum(output.one[1] * (output.quantity or 0) for output in self.outputs)
        angle = atan2(q, p) if q > 0 and hypot(p, q) > 0 else 0.0
        if loop.x_ohm or not angle:
            return loop
        return Impedance(loop.r_ohm * cos(angle), loop.r_ohm * sin(angle))


__all__ = ["MAIN", "ORIGIN", "Runs", "Way", "insulation_of", "material_of", "size_of"]
