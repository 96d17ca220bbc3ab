"""Why an electrical calculation has no answer, in words for the person who entered the facts."""


class ElectricalError(ValueError):
    """A figure that can't be worked with; `field` names it."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


class ImpossibleOperatingPointError(ElectricalError):
    """No voltage exists at which this power can flow through this impedance."""


def positive(field: str, value: float) -> float:
    """The value, if it is a number above nothing. Raises ElectricalError."""
    return _number(field, value, above=True)


def not_negative(field: str, value: float) -> float:
    """The value, if it is a number of at least nothing. Raises ElectricalError."""
    return _number(field, value, above=False)


def _number(field: str, value: float, *, above: bool) -> float:
    if not (value > 0 if above else value >= 0) or value == float("inf"):
        least = "more than nothing" if above else "nothing or more"
        raise ElectricalError(field, f"{field} must be a number of {least}")
    return value
