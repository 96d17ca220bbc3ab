"""Count the questions to the rules, so that a search ends and can say so."""

from connections.facts.site import Site
from connections.rulebook.book import Rulebook
from connections.rules.decide import Decided, decide, outcome_of
from connections.rules.table import ready

MOST = 6000
"""Most questions of one search: about half a second of deciding (our choice)."""


class EnoughAskedError(Exception):
    """The search has used up its questions."""


class CountedRules:
    """The rules under one rulebook, limited to `most` questions."""

    def __init__(self, book: Rulebook, most: int = MOST) -> None:
        self.book = book
        self.most = most
        self.asked = 0

    def outcome(self, site: Site) -> str:
        """The procedure of a site. Raises EnoughAskedError."""
        self._count()
        return outcome_of(site, self.book)

    def decide(self, site: Site) -> Decided:
        """Decide a site in full. Raises EnoughAskedError."""
        self._count()
        return decide(site, self.book)

    @property
    def book_order(self) -> dict[str, int]:
        """Position of each outcome of the rulebook, in the order of trying."""
        return ready(self.book).order

    def _count(self) -> None:
        if self.asked >= self.most:
            raise EnoughAskedError
        self.asked += 1
