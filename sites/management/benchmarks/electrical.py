"""Measure the electrical formulas for `manage.py bench`, beside pandapower where it is installed.

pandapower builds and solves a whole network; the ratio compares the cost of our formulas with its
cost on the same case.
"""

from collections.abc import Iterator
from math import sqrt

from connections.electrical.conductors import Impedance
from connections.electrical.radial import Place, solve
from connections.electrical.voltage_rise import end_voltage
from sites.management.benchmarks.core import Figure, median_s
from sites.management.soaking import installed, pandapower_tree, pandapower_voltages

_RUN = Impedance(0.4, 0.25)
_SUPPLY = Place(
    -1, Impedance(0.24, 0.15), Impedance(0.16, 0.10), (3680 + 0j, 5000 - 800j, -1000 + 0j)
)
_SOURCE = 400 / sqrt(3)


def solving() -> Iterator[Figure]:
    """One voltage rise and one unbalanced supply, ours as a part of pandapower's time."""
    if not installed():
        return
    rise = median_s(lambda: end_voltage(230, 3680, 0, _RUN), 2000)
    theirs = median_s(lambda: pandapower_voltages(230, [_RUN], 3680, 0), 5)
    note = f"{rise * 1e6:.1f} us against {theirs * 1000:.0f} ms"
    yield Figure("a voltage rise, times pandapower", rise / theirs, "", 0.1, True, note)
    wires = median_s(lambda: solve(_SOURCE, 3, [_SUPPLY]), 1000)
    theirs = median_s(lambda: pandapower_tree(_SOURCE, [_SUPPLY]), 5)
    note = f"{wires * 1e6:.0f} us against {theirs * 1000:.0f} ms"
    yield Figure("an unbalanced supply, times pandapower", wires / theirs, "", 0.1, True, note)


MEASURES = (solving,)
