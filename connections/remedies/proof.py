"""Decide a changed site again and tell whether the change is worth telling."""

from collections.abc import Iterable

from msgspec import Struct

from connections.facts.site import Site
from connections.remedies.counting import CountedRules
from connections.rules.decide import UNDETERMINED, Decided
from connections.rules.figures import listed

CLEARED_IN_WORDS = {
    "export-above-agreed": "the agreed export capacity",
    "export-above-cap": "the operator's cap on export",
    "export-above-phase-limit": "the largest export of one phase",
    "local-export-cap": "the cap on export that holds at this place",
    "installed-above-cap": "the operator's cap on installed capacity",
    "supply-cap": "the largest aggregate that the supply may carry",
    "phase-not-on-supply": "a phase that the supply does not have",
    "behind-nothing": "panels or cells behind no inverter",
    "beyond": "a size that is not prepared here",
    "phases-out-of-balance": "the difference between the phases",
    "export-above-import": "an agreed export above the agreed import",
    "local-condition": "an extra condition of this place",
    "looped-service": "the looped service",
    "check-import-limit": "the demand above the cut-out",
}

BALANCE = "phases-out-of-balance"
"""Not a stop, but a likely reason to refuse; other phases answer it."""


class Proof(Struct, frozen=True):
    """A change decided again: the procedure it reaches and the stops it clears.

    `clears` names kinds of stops of which none remains (if one of two caps still stops the site,
    the change does not clear it), and phases out of balance.
    """

    decided: Decided
    clears: tuple[str, ...]
    earlier: bool


def prove(before: Decided, changed: Site, rules: CountedRules) -> Proof | None:
    """Prove a change; None unless the procedure comes earlier or something clears.

    A change that brings a new stop, a later procedure, or phases out of balance is no remedy.
    """
    after = rules.decide(changed)
    if after.stops - before.stops or _order(after) > _order(before):
        return None
    if after.procedure == UNDETERMINED:
        return None
    was, now = to_clear(before), to_clear(after)
    if BALANCE in now - was:
        return None
    cleared = tuple(sorted(was - now))
    earlier = _order(after) < _order(before)
    return Proof(after, cleared, earlier) if earlier or cleared else None


def to_clear(decided: Decided) -> set[str]:
    """Names of the obstacles that a change could clear."""
    names = {name for name, _ in decided.stops}
    return names | {found.id for found in decided.findings if found.id == BALANCE}


def _order(decided: Decided) -> int:
    order = decided.case.ready.order
    return order.get(decided.procedure, len(order))


def cleared_in_words(clears: Iterable[str]) -> str:
    """A sentence naming what a change clears; empty for nothing."""
    names = _named(clears)
    return f"It answers {listed(names)}." if names else ""


def left_in_words(leaves: Iterable[str]) -> str:
    """A sentence naming what still stops a site after a change; empty for nothing."""
    names = _named(leaves)
    said = listed(names)
    return f"{said[0].upper()}{said[1:]} still stop{'s' * (len(names) == 1)} it." if names else ""


def _named(names: Iterable[str]) -> list[str]:
    return [CLEARED_IN_WORDS.get(name, name.replace("-", " ")) for name in names]
