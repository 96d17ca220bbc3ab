"""Asking the rules about changed sites, counted, so that a search ends and can say so."""

from connections.facts.site import Site
from connections.rulebook.book import Rulebook
from connections.rules.decide import Decided, decide, outcome_of
from connections.rules.table import ready

MOST = 6000
"""Questions that one search may ask: some half a second of deciding (our choice)."""


class EnoughAskedError(Exception):
    """The search has asked as often as it may."""


class CountedRules:
    """The rules under one rulebook, which answer `most` questions and no more."""

    def __init__(self, book: Rulebook, most: int = MOST) -> None:
        self.book = book
        self.most = most
        self.asked = 0

    def outcome(self, site: Site) -> str:
        """The procedure of a site. Raises EnoughAskedError."""
        self._count()
        return outcome_of(site, self.book)

    def decide(self, site: Site) -> Decided:
        """Everything about a site. Raises EnoughAskedError."""
        self._count()
        return decide(site, self.book)

    @property
    def book_order(self) -> dict[str, int]:
        """The outcomes of the rulebook in the order in which they are tried."""
        return ready(self.book).order

    def _count(self) -> None:
        if self.asked >= self.most:
            raise EnoughAskedError
        self.asked += 1
