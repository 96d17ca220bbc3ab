"""No year leaves the room that breaks a law: each is broken here once."""

import dataclasses

import numpy as np
import pytest

from connections.energy.efficiencies import Efficiencies
from connections.energy.energy_errors import InvariantError
from connections.energy.steps.dispatch import dispatch, dispatch_each
from connections.energy.steps.flows import CellLimits, SeparatePv, SharedUnit, StepInputs
from connections.energy.steps.invariants import check
from connections.energy.year import each_limit, energy_year


@pytest.fixture
def flows():
    dc, load = np.array([0, 6, 6, 0, 0.0]), np.array([1, 1, 1, 3, 1.0])
    cells = CellLimits(4, 2, 2, 2, 2)
    inputs = StepInputs(
        1.0, load, (SeparatePv(dc, 5, 0.96),), SharedUnit(dc, 5, 0.96, cells), cells, Efficiencies()
    )
    found = dispatch(inputs, 2.0)
    check(found)
    return found


def moved(flows, name, step, by):
    series = getattr(flows, name).copy()
    series[step] += by
    return dataclasses.replace(flows, **{name: series})


@pytest.mark.parametrize(
    ("name", "step", "by", "says"),
    [
        ("exported", 1, 0.01, r"2\.01 kW would be exported above a limit of 2 kW"),
        ("exported", 1, -0.01, "In step 2"),
        ("lost", 1, 0.001, "In step 2"),
        ("imported", 3, 1e-5, "In step 4"),
        ("discharge", 3, 1e-5, "In step 4"),
        ("shared_ac", 2, 1e-5, "In step 3"),
        ("clipped", 1, 1e-3, "over the year"),
        ("conversion", 1, 1e-3, "over the year"),
        ("dc", 1, 1e-3, "over the year"),
        ("stored", 4, 1e-3, "over the year"),
        ("shared_stored", 4, 1e-3, "over the year"),
        ("stored", 1, 4.0, "Cells of 4 kWh would hold"),
        ("shared_stored", 0, -0.5, "Cells of 4 kWh would hold"),
        ("charge", 0, -1.0, "In step 1, charge flows backwards"),
        ("imported", 0, float("nan"), "In step 1, imported is not a number"),
    ],
)
def test_a_broken_law_stops_the_result(flows, name, step, by, says):
    with pytest.raises(InvariantError, match=says):
        check(moved(flows, name, step, by))


def test_the_tolerance_is_one_in_a_million(flows):
    """12.5 kWh come in: a millionth of it, 1.2e-5, is let pass, and ten times as much is not."""
    check(moved(flows, "conversion", 1, 1e-6))
    with pytest.raises(InvariantError):
        check(moved(flows, "conversion", 1, 1e-3))


def test_the_code_that_runs_checks(monkeypatch, one_shared):
    """A dispatch that makes energy from nothing gives no year."""
    true = dispatch

    def cheating(inputs, limit_kw):
        found = true(inputs, limit_kw)
        return dataclasses.replace(found, imported=found.imported * 0.99)

    monkeypatch.setattr("connections.energy.year.dispatch", cheating)
    with pytest.raises(InvariantError):
        energy_year(*one_shared)


def test_a_sweep_checks_too(monkeypatch, one_shared):
    plant, sun, use = one_shared
    true = dispatch_each

    def cheating(inputs, limits):
        return tuple(
            dataclasses.replace(each, exported=each.exported + 1) for each in true(inputs, limits)
        )

    monkeypatch.setattr("connections.energy.year.dispatch_each", cheating)
    with pytest.raises(InvariantError):
        list(each_limit(plant, sun, use, [1000]))
