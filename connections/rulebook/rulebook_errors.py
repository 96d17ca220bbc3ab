"""Errors of rulebooks: where, what is wrong, and what to do."""


class RulebookError(ValueError):
    """A rulebook that does not load, or none that holds on a date.

    `file` is the path below the data folder, `key` the value, row or field; either may be empty.
    `fault` says in plain words what is wrong and what to do.
    """

    def __init__(self, file: str, key: str, fault: str) -> None:
        super().__init__(": ".join(part for part in (file, key, fault) if part))
        self.file = file
        self.key = key
        self.fault = fault


class QuantityError(ValueError):
    """Text that is not a quantity of the wanted kind; the message says why and what to write."""
