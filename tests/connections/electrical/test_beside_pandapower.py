"""Our formulas beside pandapower 3.5.6, on random cases that are the same every time.

`manage.py soak` solves as many others as it is asked to.
"""

import re
from math import sqrt

import pytest
from django.core.management import call_command

from connections.electrical.conductors import Impedance
from connections.electrical.radial import Place, solve
from connections.electrical.voltage_rise import end_voltage
from sites.management.soaking import (
    differences,
    pandapower_run,
    pandapower_tree,
    pandapower_voltages,
)
from tests.connections.electrical.test_radial import LINE, REFERENCE, UNBALANCED
from tests.connections.electrical.test_runs_in_a_tree import CASES as THREE_BUS
from tests.connections.electrical.test_runs_in_a_tree import places_of
from tests.connections.electrical.test_voltage_rise import TWO_BUS


def test_random_cases(night):
    cases = 500 if night else 20
    found = list(differences(cases))
    assert len(found) == cases
    impossible = [each for each in found if each.impossible]
    # Those that ask a line for more than the most it carries, and no other: V1^2 / 2 (R + Z).
    beyond = re.compile(r"400 V, demand of [1-9]\S* times the most")
    assert impossible == [each for each in found if beyond.match(each.case)]
    assert impossible
    assert [each for each in found if not each.agrees] == []


@pytest.mark.parametrize("case", TWO_BUS, ids=[case[0] for case in TWO_BUS])
def test_the_two_bus_cases(case):
    _, v1, z, p, q, _v2 = case
    theirs = pandapower_voltages(v1, [z], p, q)
    assert theirs is not None
    assert end_voltage(v1, p, q, z) == pytest.approx(theirs[0], abs=1e-4)


@pytest.mark.parametrize("case", THREE_BUS, ids=[case[0] for case in THREE_BUS])
def test_the_three_bus_cases(case):
    _, v1, phases, runs, power, *_ = case
    theirs = pandapower_run(v1, runs, power)
    assert theirs is not None
    # What is one phase to us is three-phase to pandapower: its current is low by the root of 3.
    volts, amps = (sqrt(3), 1) if phases == 3 else (1, sqrt(3))
    found = solve(v1 / volts, phases, places_of(phases, runs, power))
    for ours, other in zip(found, theirs, strict=True):
        assert ours.v[0] * volts == pytest.approx(other.to_v, abs=1e-4)
        assert ours.i_a[0] == pytest.approx(other.current_a * amps, abs=1e-3)


def test_the_unbalanced_cases():
    for (a, b, c), *_ in UNBALANCED:
        place = Place(-1, *REFERENCE, (complex(a), complex(b), complex(c)))
        theirs = pandapower_tree(LINE, [place])
        assert solve(LINE, 3, [place])[0].v == pytest.approx(theirs, abs=1e-4)


def test_a_wrong_formula_would_be_noticed():
    # The approximation instead of the exact formula is 0.2 V off on the reference impedance.
    z = Impedance(0.4, 0.25)
    theirs = pandapower_voltages(230, [z], 3680, 0)
    assert theirs is not None
    assert abs(230 + 3680 * 0.4 / 230 - theirs[0]) > 1e-1


def test_more_than_a_line_carries_is_impossible_to_both():
    assert pandapower_voltages(230, [Impedance(0.4, 0.25)], -60_000, 0) is None


def test_the_command_solves_them(capsys):
    call_command("soak", "--cases", "6", "--seed", "7")
    said = capsys.readouterr().out
    assert said.startswith("6 cases: at most ")
    assert "(tolerance 0.0001)" in said
