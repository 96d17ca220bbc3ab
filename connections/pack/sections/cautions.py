"""Cautions for people who work at the site, each with its source and certainty.

General ones are in every pack, the others where the facts of the site call for them.
"""

from collections.abc import Callable

from msgspec import Struct

from connections.facts.defaults import status_of
from connections.facts.site import Unit
from connections.pack.case import Case
from connections.pack.content import Point


class Caution(Struct, frozen=True):
    """A caution: its title and text, source and certainty, and the condition that calls for it."""

    id: str
    title: str
    text: str
    source: str
    certainty: str
    applies: Callable[[Case], bool]


def _always(case: Case) -> bool:
    return True


def _panels(case: Case) -> bool:
    return case.has_panels()


def _storage(case: Case) -> bool:
    return any(case.has_storage(unit) or unit.source == "vehicle" for unit in case.staying())


def _fixed_storage(case: Case) -> bool:
    return any(case.has_storage(unit) for unit in case.staying())


def _may_island(unit: Unit) -> bool:
    return status_of(unit) != "removed" and unit.can_island in (True, None)


def _island(case: Case) -> bool:
    return any(_may_island(unit) for unit in case.site.units)


def _limited(case: Case) -> bool:
    return case.limit("export") is not None or case.limit("import") is not None


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "operator-first",
        "The network operator's written word and local codes come first",
        "Where the operator's written answer, a local code or the maker's instructions say "
        "otherwise than this pack, they hold and not the pack.",
        "common practice, no source",
        "common practice",
        _always,
    ),
    Caution(
        "competent",
        "Work by competent and registered persons",
        "Design, connection, testing and signing are for persons who are competent for them and, "
        "where the building regulations or a scheme ask for it, registered.",
        "Building Regulations, Part P; Electricity at Work Regulations 1989, regulation 16",
        "from memory",
        _always,
    ),
    Caution(
        "live",
        "Live conductors",
        "The public supply, every inverter and every store of energy can each make conductors "
        "live. Opening one switch takes away one of them. Isolate every source, lock it off and "
        "prove dead before touching.",
        "Electricity at Work Regulations 1989, regulations 12 to 14",
        "from memory",
        _always,
    ),
    Caution(
        "dual-supply",
        "Two sources of supply",
        "The installation is fed from the public network and from generation at once. Labels say "
        "so at the origin, the meter, the board and every point of isolation.",
        "{wiring}, 514.15.1",
        "from memory",
        _always,
    ),
    Caution(
        "dc-daylight",
        "DC that stays live in daylight",
        "Panels make voltage as long as light falls on them. With the AC side dead and the DC "
        "isolator open, the panel side of that isolator is still live, and a DC arc does not go "
        "out by itself.",
        "{wiring}, section 712",
        "secondary",
        _panels,
    ),
    Caution(
        "stored-energy",
        "Stored energy after isolation",
        "Cells cannot be switched off: their terminals stay live when every isolator is open. "
        "Capacitors in an inverter hold their charge for the time that its maker states.",
        "common practice, no source",
        "common practice",
        _storage,
    ),
    Caution(
        "islanded-earthing",
        "Earthing while islanded",
        "The bond between neutral and earth is made only while islanded, by a relay interlocked "
        "with the isolator that opens all live conductors, the neutral among them. The "
        "installation has an earth electrode of its own, since the network's earth may be gone. "
        "An inverter gives little fault current: show that faults are cleared with the island's "
        "own values.",
        "BS 7671, 551.4.3.2.1 (as quoted by IET Wiring Matters, March 2021)",
        "secondary",
        _island,
    ),
    Caution(
        "one-way-devices",
        "One-way residual-current devices",
        "A device marked for one direction of current is not fitted where current can flow both "
        "ways, which is wherever generation or storage lies on its load side.",
        "{wiring}, regulation 530.3.201",
        "secondary",
        _always,
    ),
    Caution(
        "cut-out-and-meter",
        "Cut-out and meter belong to others",
        "The cut-out belongs to the network operator, the meter to the supplier. Their seals are "
        "not broken; ask them where either has to be opened.",
        "common practice, no source",
        "common practice",
        _always,
    ),
    Caution(
        "storage-place",
        "Where storage may not stand, and fire",
        "In a dwelling, cells do not stand in a room for sleeping or a space that opens into one, "
        "on an escape route (hall, landing, stairs), in a loft, void or roof space, or in a "
        "cellar without a way out of doors. Outdoors they stand at least 1 m from an escape "
        "route, a door, a window or a vent. Fire detection and the fire service's needs are part "
        "of the design.",
        "PAS 63100:2024",
        "from memory",
        _fixed_storage,
    ),
    Caution(
        "scheme-proved",
        "Limitation scheme proved first",
        "No generation above the limit runs before the scheme has been proved on site: the limit, "
        "the direction of measurement, the time to come back under it, and what happens when the "
        "meter, a link, the controller or the supply is lost.",
        "EREC G100 (secondary) and common practice",
        "secondary",
        _limited,
    ),
    Caution(
        "maximum-fault",
        "Maximum fault current",
        "It is never worked out from the maximum loop impedance that a network operator states: "
        "that gives the least fault current, for disconnection. For the rating of devices take "
        "the declared maximum or a measured value.",
        "common practice, no source",
        "common practice",
        _always,
    ),
)


def cautions(case: Case) -> tuple[Point, ...]:
    """The cautions that the case calls for, in order."""
    return tuple(
        Point(caution.title, caution.text, _origin(caution).format(wiring=wiring_of(case)))
        for caution in CAUTIONS
        if caution.applies(case)
    )


def wiring_of(case: Case) -> str:
    """The wiring rules that a site of its date cites, with their edition where it is held."""
    held = case.book.values.get("wiring.standard")
    return "BS 7671" if held is None else str(held.amount)


def _origin(caution: Caution) -> str:
    """Source with its certainty, unless the source says the same."""
    if caution.source.startswith(caution.certainty) or caution.certainty in caution.source:
        return caution.source
    return f"{caution.source} ({caution.certainty})"
