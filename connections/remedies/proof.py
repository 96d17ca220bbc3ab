"""Asking the rules again about a changed site, and whether the change is worth telling."""

from msgspec import Struct

from connections.facts.site import Site
from connections.rulebook.book import Rulebook
from connections.rules.decide import UNDETERMINED, Decided, decide
from connections.rules.figures import listed

STOPS_IN_WORDS = {
    "export-above-agreed": "the agreed export capacity",
    "export-above-cap": "the operator's cap on export",
    "installed-above-cap": "the operator's cap on installed capacity",
    "supply-cap": "the largest aggregate that the supply may carry",
    "phase-not-on-supply": "a phase that the supply does not have",
    "behind-nothing": "panels or cells behind no inverter",
    "beyond": "a size that is not prepared here",
}


class Proof(Struct, frozen=True):
    """A change decided again: the procedure it reaches and the stops it clears.

    `clears` names kinds of stops of which none is left; where one of two caps still stops the
    site, the change does not clear it.
    """

    decided: Decided
    clears: tuple[str, ...]
    earlier: bool


def prove(before: Decided, changed: Site, book: Rulebook) -> Proof | None:
    """The proof of a change; None unless the procedure comes earlier or a stop clears.

    A change that brings a new stop, or a later procedure, is no remedy.
    """
    after = decide(changed, book)
    if after.stops - before.stops:
        return None
    cleared = tuple(sorted(_names(before.stops) - _names(after.stops)))
    order = before.case.ready.order
    last = len(order)
    was = order.get(before.procedure, last)
    now = order.get(after.procedure, last)
    if after.procedure == UNDETERMINED or now > was:
        return None
    if now == was and not cleared:
        return None
    return Proof(after, cleared, now < was)


def _names(stops: frozenset[tuple[str, str]]) -> set[str]:
    return {name for name, _ in stops}


def cleared_in_words(clears: tuple[str, ...]) -> str:
    """A sentence naming the stops that a change clears, led by a blank; empty for none."""
    if not clears:
        return ""
    return f" It answers {listed([STOPS_IN_WORDS.get(name, name) for name in clears])}."
