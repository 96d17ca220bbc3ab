"""Remedies for pages: the first few, the rest, and the mark that names each."""

from dataclasses import dataclass

from connections.facts.canonical import digest
from connections.facts.decision import Decision, Remedy

FIRST = 4
"""Number of remedies shown open; a click shows the others (our choice)."""


@dataclass(frozen=True)
class ShownRemedy:
    """A remedy with its mark; a remedy that changes nothing of the site has none.

    `year` says what it costs in energy per year; empty if not known.
    """

    remedy: Remedy
    mark: str
    year: str = ""


@dataclass(frozen=True)
class ShownRemedies:
    """The first few remedies, the rest, and the reason why the search ended early."""

    first: tuple[ShownRemedy, ...]
    rest: tuple[ShownRemedy, ...]
    stopped: str

    def __bool__(self) -> bool:
        return bool(self.first or self.stopped)


def remedy_mark(remedy: Remedy) -> str:
    """Return a short digest of a remedy's changes, by which a page names it."""
    return digest(remedy.change)[:16]


def shown_remedies(decision: Decision) -> ShownRemedies:
    """Return the remedies of a decision for a page."""
    shown = tuple(
        ShownRemedy(remedy, remedy_mark(remedy) if remedy.change else "")
        for remedy in decision.remedies
    )
    return ShownRemedies(shown[:FIRST], shown[FIRST:], decision.remedies_stopped)
