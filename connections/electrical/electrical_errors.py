"""Errors of electrical calculations, in words for the person who entered the facts."""

LEAST, MOST = 1e-9, 1e12
"""Bounds of magnitude within which squaring and dividing lose nothing. No voltage, current, power
or impedance of a low-voltage supply comes near them (our choice)."""


class ElectricalError(ValueError):
    """An unusable figure; `field` names it."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


class ImpossibleOperatingPointError(ElectricalError):
    """No voltage exists at which this power can flow through this impedance."""


def positive(field: str, value: float) -> float:
    """The value, if it is a number above zero. Raises ElectricalError."""
    if not LEAST <= value <= MOST:
        raise ElectricalError(field, f"{field} must be a number of more than nothing{_far(value)}")
    return value


def not_negative(field: str, value: float) -> float:
    """The value, if it is a number of zero or more. Raises ElectricalError."""
    if not 0 <= value <= MOST:
        raise ElectricalError(field, f"{field} must be a number of nothing or more{_far(value)}")
    return value


def number(field: str, value: float) -> float:
    """The value, if it is a number of either sign. Raises ElectricalError."""
    if not -MOST <= value <= MOST:
        raise ElectricalError(field, f"{field} must be a number{_far(value)}")
    return value


def _far(value: float) -> str:
    return f", and {value:g} is beyond any supply" if abs(value) > MOST or 0 < value < LEAST else ""
