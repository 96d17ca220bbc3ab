"""Refusals of acts on a review, a file or a pack, worded for the person who tried."""


class RefusedError(Exception):
    """Nothing was done. `field` names the box that is at fault; empty for none in particular."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class FactsChangedError(RefusedError):
    """The facts changed since the person opened the page."""


class NotAllowedError(RefusedError):
    """The person's role does not cover the act."""
