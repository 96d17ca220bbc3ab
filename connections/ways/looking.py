"""Decides each way to go, and what passes under an operator's cap or with more plant."""

import datetime as dt
from typing import Literal

from msgspec import Struct, structs

from connections.facts.defaults import quantity_of, registered_w
from connections.facts.site import Cap, Site
from connections.remedies.designs import BACKUP_LOAD_W, DesignFacts, design_facts
from connections.remedies.largest import largest_below
from connections.rulebook.book import Rulebook
from connections.rules.case import title_of
from connections.rules.decide import UNDETERMINED, Decided, decide, outcome_of
from connections.ways.asked import Asked, CapOn
from connections.ways.making import Way, ways_of, with_export_limit

CAPS_W = (0, 3_680, 5_000, 6_000, 7_360, 10_000)
"""Caps of a sweep [W]: nothing, usual sizes of inverters, and round figures (our choice)."""

NEAR_W, FARTHEST_W = 16_384, 1_000_000
"""What is tried first as more plant, and the most that is tried [W]."""


class Room(Struct, frozen=True):
    """How much larger the new inverter may be before another procedure applies.

    `more_w` in W, up to and including; None where every larger one keeps the procedure. `then` is
    the title of the next procedure, empty if none could be told.
    """

    more_w: int | None
    then: str = ""


class UnderCap(Struct, frozen=True):
    """What a way does under one cap of the operator, `cap_w` in W on `on`.

    `answer` is "fits", "limit" (with an export limitation scheme at the cap), or "no"; `over_w` is
    by how much it is too large then.
    """

    cap_w: int
    on: CapOn
    answer: Literal["fits", "limit", "no"]
    over_w: int = 0


class Seen(Struct, frozen=True):
    """One way, decided; without `facts` it does not apply, and the way says why."""

    way: Way
    facts: DesignFacts | None = None
    decided: Decided | None = None
    room: Room | None = None
    capped: UnderCap | None = None


def look(asked: Asked, book: Rulebook, on: dt.date) -> tuple[Seen, ...]:
    """Decide all ways of these answers under a rulebook, on a day."""
    return tuple(_seen(way, asked, book) for way in ways_of(asked, book, on))


def sweep(site: Site, on: CapOn, book: Rulebook) -> tuple[UnderCap, ...]:
    """What a way does under each of CAPS_W."""
    return tuple(under_cap(site, cap_w, on, book) for cap_w in CAPS_W)


def under_cap(site: Site, cap_w: int, on: CapOn, book: Rulebook) -> UnderCap:
    """What a way does under a cap of the operator, by the rules."""
    capped = structs.replace(site, caps=(Cap(on=on, value=cap_w, basis="w_total"),))
    stop = f"{on}-above-cap"
    if not _stopped(capped, stop, book):
        return UnderCap(cap_w, on, "fits")
    if on == "export" and not _stopped(with_export_limit(capped, cap_w, "w_total"), stop, book):
        return UnderCap(cap_w, on, "limit")
    return UnderCap(cap_w, on, "no", _registered(site) - cap_w)


def _seen(way: Way, asked: Asked, book: Rulebook) -> Seen:
    if way.site is None:
        return Seen(way)
    decided = decide(way.site, book)
    return Seen(
        way,
        facts=design_facts(way.site, decided, backup_load_w=BACKUP_LOAD_W),
        decided=decided,
        room=_room(way.site, decided, book),
        capped=under_cap(way.site, asked.cap_w, asked.cap_on, book) if asked.cap_w else None,
    )


def _room(site: Site, decided: Decided, book: Rulebook) -> Room | None:
    """How much larger the last new inverter may be; None where the procedure can't be told."""
    if decided.procedure == UNDETERMINED:
        return None
    at = len(site.units) - 1
    unit = site.units[at]
    rated_w = registered_w(unit)
    if rated_w is None:
        return None

    def enlarged(more_w: int) -> Site:
        larger = structs.replace(unit, rated_w=rated_w + more_w)
        return structs.replace(site, units=(*site.units[:at], larger))

    def keeps(more_w: int) -> bool:
        return outcome_of(enlarged(more_w), book) == decided.procedure

    # Most rooms end soon, and halving a short way asks the rules less often.
    above = next((most for most in (NEAR_W, FARTHEST_W) if not keeps(most)), None)
    if above is None:
        return Room(None)
    more_w = largest_below(above, keeps, least=0) or 0
    then = decide(enlarged(more_w + 1), book)
    title = "" if then.procedure == UNDETERMINED else title_of(then.case, then.procedure)
    return Room(more_w * (quantity_of(unit) or 1), title)


def _stopped(site: Site, by: str, book: Rulebook) -> bool:
    return any(name == by for name, _ in decide(site, book).stops)


def _registered(site: Site) -> int:
    """Registered capacity of all units that stay [W]."""
    return sum(
        (registered_w(unit) or 0) * (quantity_of(unit) or 1)
        for unit in site.units
        if unit.status != "removed"
    )
