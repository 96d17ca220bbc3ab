"""Voltages and currents of panels in series and in parallel, exact from whole figures.

The cell's temperature moves a voltage by whole parts in a million of the open-circuit voltage for
each kelvin away from test conditions.
"""

from decimal import Decimal

TEST_CELL_C = 25
"""Temperature of the cells under test conditions, after IEC 60904-3 from memory [°C]."""

_MILLIONTHS_OF_MV = Decimal(10**9)
"""How many millionths of a millivolt a volt has."""


def string_v(*, in_series: int, mv: int, voc_mv: int, voc_ppm_k: int, cell_c: int) -> Decimal:
    """The voltage of panels in series at a temperature of their cells [V].

    `mv` is the voltage of one at test conditions: its open-circuit voltage, or that at most power.
    Both move by as many volts a kelvin.
    """
    moved = voc_mv * voc_ppm_k * (cell_c - TEST_CELL_C)
    return Decimal(in_series * (mv * 10**6 + moved)) / _MILLIONTHS_OF_MV


def parallel_a(strings: list[tuple[int, int]]) -> Decimal:
    """The current of like strings in parallel, each with its number and one's current in mA [A]."""
    return Decimal(sum(number * ma for number, ma in strings)) / 1000
