"""What is wrong with a rulebook, where, and what to do."""


class RulebookError(ValueError):
    """A rulebook that does not load, or none that holds on a date.

    `file` names the file as it stands below the data folder, `key` the value, row or field, and
    `fault` says in plain words what is wrong and what to do. Either place may be empty.
    """

    def __init__(self, file: str, key: str, fault: str) -> None:
        super().__init__(": ".join(part for part in (file, key, fault) if part))
        self.file = file
        self.key = key
        self.fault = fault


class QuantityError(ValueError):
    """Text that is no quantity of the wanted kind; the text says why and what to write."""
