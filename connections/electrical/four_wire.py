"""The neutral current of a four-wire supply."""

from math import sqrt


def neutral_current_a(a: float, b: float, c: float) -> float:
    """The neutral current of three phase currents with one power factor [A].

    sqrt(a^2 + b^2 + c^2 - ab - bc - ca).
    """
    return sqrt(max(0.0, a * a + b * b + c * c - a * b - b * c - c * a))
