"""Remedies as pages show them: the nearest few, the rest, and the mark by which one is named."""

from dataclasses import dataclass

from connections.facts.canonical import digest
from connections.facts.decision import Decision, Remedy

FIRST = 4
"""How many stand open; the others are a click away (our choice)."""


@dataclass(frozen=True)
class ShownRemedy:
    """A remedy with its mark; one that changes nothing of the site has none. `year` says what it
    costs in the energy of a year, empty where that is not known."""

    remedy: Remedy
    mark: str
    year: str = ""


@dataclass(frozen=True)
class ShownRemedies:
    """The first few remedies, the rest, and why the search ended early."""

    first: tuple[ShownRemedy, ...]
    rest: tuple[ShownRemedy, ...]
    stopped: str

    def __bool__(self) -> bool:
        return bool(self.first or self.stopped)


def remedy_mark(remedy: Remedy) -> str:
    """A short mark of what a remedy changes, by which a page names it."""
    return digest(remedy.change)[:16]


def shown_remedies(decision: Decision) -> ShownRemedies:
    """The remedies of a decision for a page."""
    shown = tuple(
        ShownRemedy(remedy, remedy_mark(remedy) if remedy.change else "")
        for remedy in decision.remedies
    )
    return ShownRemedies(shown[:FIRST], shown[FIRST:], decision.remedies_stopped)
