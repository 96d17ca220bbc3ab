"""Our formulas beside pandapower 3.5.6, on fifty random cases that are the same every time.

`manage.py soak` solves five hundred.
"""

import pytest

from connections.electrical.conductors import Impedance
from connections.electrical.four_wire import solve
from connections.electrical.voltage_rise import end_voltage
from connections.management.soaking import (
    differences,
    pandapower_phases,
    pandapower_voltages,
)
from tests.electrical.test_four_wire import CASES, NEUTRAL, PHASE, SOURCE
from tests.electrical.test_voltage_rise import TWO_BUS


def test_fifty_random_cases():
    found = list(differences(50))
    assert len(found) == 50
    assert {each.unit for each in found} == {"V", "kA"}
    assert sum(not each.impossible for each in found) >= 45
    assert [each for each in found if not each.agrees] == []


@pytest.mark.parametrize("case", TWO_BUS, ids=[case[0] for case in TWO_BUS])
def test_the_listed_cases(case):
    _, v1, z, p, q, _v2 = case
    theirs = pandapower_voltages(v1, [z], p, q)
    assert theirs is not None
    assert end_voltage(v1, p, q, z) == pytest.approx(theirs[0], abs=1e-4)


def test_the_listed_unbalanced_cases():
    for power, *_ in CASES:
        theirs = pandapower_phases(SOURCE, [complex(p) for p in power], PHASE, NEUTRAL)
        assert solve(SOURCE, power, PHASE, NEUTRAL).v == pytest.approx(theirs, abs=1e-4)


def test_a_wrong_formula_would_be_noticed():
    # The approximation instead of the exact formula is 0.2 V off on the reference impedance.
    z = Impedance(0.4, 0.25)
    theirs = pandapower_voltages(230, [z], 3680, 0)
    assert theirs is not None
    assert abs(230 + 3680 * 0.4 / 230 - theirs[0]) > 1e-1
