"""Fault currents: loops worked by hand."""

import pytest

from connections.electrical.electrical_errors import ElectricalError
from connections.electrical.fault_level import (
    contribution_a,
    largest_electrode_ohm,
    prospective_a,
)


# 230 / 0.35 = 657.14 A and so on; c 0.95 and 1.10.
@pytest.mark.parametrize(
    ("ohm", "c", "amps"),
    [
        (0.35, 1, 657.14), (0.35, 0.95, 624.29), (0.35, 1.1, 722.86), (0.8, 1, 287.50),
        (0.8, 0.95, 273.13), (21, 1, 10.952), (21, 0.95, 10.405),
    ],
)  # fmt: skip
def test_loops(ohm, c, amps):
    assert prospective_a(ohm, 230, c) == pytest.approx(amps, rel=5e-5)


@pytest.mark.parametrize(("trip", "ohm"), [(30, 1666.7), (100, 500), (300, 166.67), (500, 100)])
def test_electrodes(trip, ohm):
    assert largest_electrode_ohm(trip) == pytest.approx(ohm, rel=5e-5)


def test_an_inverter_adds_its_current_times_a_factor():
    assert contribution_a(16, 1.2) == pytest.approx(19.2)
    assert contribution_a(16, 1.5) == pytest.approx(24.0)
    assert contribution_a(24.537, 1.2) == pytest.approx(29.44, abs=5e-3)
    assert contribution_a(24.537, 1.5) == pytest.approx(36.81, abs=5e-3)
    # One unit beside 16 kA: 0.12 and 0.15 %.
    assert contribution_a(16, 1.2) / 16_000 == pytest.approx(0.0012)
    assert contribution_a(16, 1.5) / 16_000 == pytest.approx(0.0015)


@pytest.mark.parametrize("bad", [0, -1, float("nan")])
def test_no_loop_is_refused(bad):
    with pytest.raises(ElectricalError, match="loop_ohm"):
        prospective_a(bad, 230)


BAD = [
    ("u0_v", lambda bad: prospective_a(0.35, bad)),
    ("c", lambda bad: prospective_a(0.35, 230, bad)),
    ("trip_ma", lambda bad: largest_electrode_ohm(bad)),
    ("rated_a", lambda bad: contribution_a(bad, 1.2)),
    ("factor", lambda bad: contribution_a(16, bad)),
]


@pytest.mark.parametrize(("field", "ask"), BAD)
def test_what_is_no_number_is_named(field, ask):
    for bad in (-1, float("nan"), float("inf")):
        with pytest.raises(ElectricalError) as caught:
            ask(bad)
        assert caught.value.field == field
