"""Why an act on a review, a file or a pack was not done, in words for the person who tried."""


class RefusedError(Exception):
    """Nothing was done. `field` names the box that is at fault; empty for none in particular."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class FactsChangedError(RefusedError):
    """What the person saw is no longer so: the facts changed since the page was opened."""


class NotAllowedError(RefusedError):
    """The person's role does not cover the act."""
