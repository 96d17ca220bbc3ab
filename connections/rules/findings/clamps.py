"""Current clamps: who reads the supply on which phase, and what a clamp does not see.

All of this is common practice without a source. Only clamps that are stated are looked at. One at
the supply suffices; one at the panels is the wish of some makers, and nobody is asked for it.
"""

from collections.abc import Iterator, Sequence
from operator import itemgetter

from connections.facts.decision import Plain
from connections.facts.defaults import known, part_status, status_of, supply_phases
from connections.facts.site import Clamp
from connections.rules.case import Case
from connections.rules.deciding_facts import limit_of
from connections.rules.figures import listed
from connections.rules.kinds import Found, Kind, Read, Values, Words

LIMITS = {"export-limit": "the export limit", "import-limit": "the import limit"}
PRACTICE = "Common practice, no source."

Placed = tuple[int, Clamp]
"""A clamp and its place in the file."""


def _clamps(case: Case) -> list[Placed]:
    """The clamps but those of units that are taken out."""
    gone = {unit.id for unit in case.site.units if status_of(unit) == "removed"}
    return [each for each in enumerate(case.site.clamps or ()) if each[1].serves not in gone]


def _at_supply(case: Case) -> dict[str, list[Placed]]:
    """The clamps at the supply by what reads them, where that is known."""
    readers: dict[str, list[Placed]] = {}
    for place, clamp in _clamps(case):
        if clamp.place == "grid" and isinstance(clamp.serves, str) and clamp.serves:
            readers.setdefault(clamp.serves, []).append((place, clamp))
    return readers


def _phase(case: Case, clamp: Clamp) -> str | None:
    """The phase of a clamp; on a supply of one phase it is that one where nothing is said."""
    phases = supply_phases(case.site)
    return known(clamp.phase) or (phases[0] if len(phases) == 1 else None)


def _read(clamps: Sequence[Placed], *names: str) -> tuple[Read, ...]:
    return tuple(
        (f"clamps[{i}].{name}", getattr(clamp, name)) for i, clamp in clamps for name in names
    )


def _reader(name: str) -> str:
    return LIMITS.get(name, name)


def _contending_words(v: Values) -> Words:
    return (
        f"On {listed(v['phases'])}, {listed(v['readers'])} each read the supply. Decide how they "
        "are kept from working against each other.",
        f"Their clamps: {listed(v['clamps'])}. What one changes, the other sees and answers. "
        f"{PRACTICE}",
    )


CLAMPS_CONTENDING = Kind(
    "clamps-contending",
    "decide",
    "Do two controllers act on what they measure at one point?",
    _contending_words,
)


def _clamps_contending(case: Case) -> Iterator[Found]:
    """Two controllers with clamps of their own on one phase of the supply."""
    on: dict[str, dict[str, list[Placed]]] = {}
    for reader, clamps in _at_supply(case).items():
        # One scheme may hold both limits; each acts where the other rests.
        controller = "limits" if reader in LIMITS else reader
        for each in clamps:
            phase = _phase(case, each[1])
            if phase is not None:
                on.setdefault(phase, {}).setdefault(controller, []).append(each)
    shared = {phase: controllers for phase, controllers in on.items() if len(controllers) > 1}
    placed = sorted(
        (each for many in shared.values() for clamps in many.values() for each in clamps),
        key=itemgetter(0),
    )
    if placed:
        readers = dict.fromkeys(_reader(str(clamp.serves)) for _, clamp in placed)
        yield CLAMPS_CONTENDING.found(
            "supply",
            {
                "readers": list(readers),
                "phases": sorted(shared),
                "clamps": [clamp.id for _, clamp in placed],
            },
            read=(
                ("supply.phases", case.site.supply.phases),
                *_read(placed, "place", "serves", "phase"),
            ),
        )


def _phase_words(v: Values) -> Words:
    return (
        f"On {listed(v['phases'])}, {v['reader']} reads the supply; on {listed(v['without'])} no "
        "clamp is stated for it. Decide whether one is missing or why none is needed.",
        f"It acts on {listed(v['acts_on'])}; what flows on a phase without a clamp is not seen. "
        f"{PRACTICE}",
    )


CLAMP_PHASE_MISSING = Kind(
    "clamp-phase-missing",
    "decide",
    "Does what reads the supply lack a clamp on a phase that it acts on?",
    _phase_words,
)


def _clamp_phase_missing(case: Case) -> Iterator[Found]:
    """A phase without a clamp, while the same reader has one on another phase of the supply."""
    for reader, clamps in _at_supply(case).items():
        phases = {_phase(case, clamp) for _, clamp in clamps}
        acts_on, read = _acts_on(case, reader)
        without = [phase for phase in acts_on if phase not in phases]
        # A clamp whose phase is not known may be the one: that is asked, see `_clamp_to_confirm`.
        if None not in phases and without:
            yield CLAMP_PHASE_MISSING.found(
                reader,
                {
                    "reader": _reader(reader),
                    "phases": sorted(str(phase) for phase in phases),
                    "without": without,
                    "acts_on": list(acts_on),
                },
                read=(
                    ("supply.phases", case.site.supply.phases),
                    *_read(clamps, "place", "serves", "phase"),
                    *read,
                ),
            )


def _acts_on(case: Case, reader: str) -> tuple[tuple[str, ...], tuple[Read, ...]]:
    """The phases that a reader acts on, with what tells so; none where it is no unit or limit.

    A phase without plant exports nothing, so that an export limit needs no clamp there, unless it
    sets the phases off against each other.
    """
    supply = supply_phases(case.site)
    if reader == "import-limit":
        return supply, ()
    units = list(enumerate(case.site.units))
    read: tuple[Read, ...] = ()
    if reader == "export-limit":
        limit = limit_of(case.site, "export")
        nets = None if limit is None else known(limit.nets_phases)
        read = (("limits.export.nets_phases", nets),)
        if nets is True:
            return supply, read
        units = [(line.index, line.unit) for line in case.lines]
    else:
        units = [each for each in units if each[1].id == reader]
    plant = {phase for _, unit in units for phase in unit.phases}
    return (
        tuple(phase for phase in supply if phase in plant),
        (*read, *((f"units[{i}].phases", tuple(unit.phases)) for i, unit in units)),
    )


CLAMP_BESIDE_TAP = Kind(
    "clamp-beside-tap",
    "inform",
    "Is storage tapped from the tails, where a clamp at the supply may not see it?",
    lambda v: (
        f"The circuit of {v['unit']} leaves the tails at a connector block: "
        f"{listed(v['clamps'])} must sit on the network's side of it.",
        "Where the clamp sits beside the block is not stated. What leaves the tails ahead of a "
        f"clamp is not measured; confirm it on commissioning. {PRACTICE}",
    ),
)


def _clamp_beside_tap(case: Case) -> Iterator[Found]:
    """Storage tapped from the tails, and a clamp at the supply that a limit or storage reads."""
    units = {unit.id: unit for unit in case.site.units}
    cells = [
        (i, each)
        for i, each in enumerate(case.site.storage)
        if part_status(each.status, units.get(each.unit_id)) != "removed"
    ]
    minding = {*LIMITS, *(each.unit_id for _, each in cells)}
    clamps = [
        each for reader, placed in _at_supply(case).items() if reader in minding for each in placed
    ]
    for i, each in cells:
        if each.tap == "service-connectors" and clamps:
            yield CLAMP_BESIDE_TAP.found(
                f"storage[{i}]",
                {"unit": each.unit_id, "clamps": [clamp.id for _, clamp in clamps]},
                read=(
                    (f"storage[{i}].tap", each.tap),
                    (f"storage[{i}].unit_id", each.unit_id),
                    *_read(clamps, "place", "serves"),
                ),
            )


def _confirm_words(v: Values) -> Words:
    said = []
    if v["no_direction"]:
        said.append(f"which way the arrow of {listed(v['no_direction'])} points")
    if v["differing"]:
        said.append(f"why the arrows of {listed(v['differing'])} point different ways")
    if v["no_phase"]:
        said.append(f"the phase of {listed(v['no_phase'])}")
    return (
        f"Confirm on commissioning: {'; '.join(said)}.",
        "A clamp the wrong way round, or on another phase, takes import for export. The right way "
        f"is the maker's; all clamps of one controller point alike. {PRACTICE}",
    )


CLAMP_TO_CONFIRM = Kind(
    "clamp-to-confirm",
    "inform",
    "Is the phase or the direction of a clamp not known, or unlike that of its fellows?",
    _confirm_words,
)


def _clamp_to_confirm(case: Case) -> Iterator[Found]:
    """Clamps without a direction or a phase, and arrows of one reader that point both ways."""
    clamps = _clamps(case)
    differing = [
        clamp.id
        for placed in _at_supply(case).values()
        if len({known(clamp.direction) for _, clamp in placed} - {None}) > 1
        for _, clamp in placed
        if known(clamp.direction)
    ]
    values: dict[str, Plain] = {
        "no_direction": [clamp.id for _, clamp in clamps if known(clamp.direction) is None],
        "differing": differing,
        "no_phase": [clamp.id for _, clamp in clamps if _phase(case, clamp) is None],
    }
    if any(values.values()):
        yield CLAMP_TO_CONFIRM.found(
            "supply",
            values,
            read=(
                ("supply.phases", case.site.supply.phases),
                *_read(clamps, "place", "serves", "phase", "direction"),
            ),
        )


_OF_CLAMPS = (_clamps_contending, _clamp_phase_missing, _clamp_beside_tap, _clamp_to_confirm)


def of_clamps(case: Case) -> Iterator[Found]:
    """All that is found of clamps, where there are any."""
    if case.site.clamps:
        for question in _OF_CLAMPS:
            yield from question(case)


QUESTIONS = (of_clamps,)
