"""Axes: round ticks that hold every figure."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.plots.scale import figure, scale

TICKS = [
    # low, high, ticks: steps of 1, 2 or 5 times a power of ten
    (0, 10, (0, 2, 4, 6, 8, 10)),
    (0, 1, (0, 0.2, 0.4, 0.6, 0.8, 1)),
    (230, 262.2, (230, 240, 250, 260, 270)),
    (-3, 7, (-4, -2, 0, 2, 4, 6, 8)),
    (0, 550, (0, 200, 400, 600)),
    (5, 5, (4, 4.5, 5, 5.5, 6)),
    (0, 0, (0, 0.2, 0.4, 0.6, 0.8, 1)),
]


@pytest.mark.parametrize(("low", "high", "ticks"), TICKS)
def test_ticks(low, high, ticks):
    assert scale(low, high, 0, 100).ticks == ticks


def test_places():
    made = scale(0, 10, 300, 0)
    assert [made.at(0), made.at(5), made.at(10)] == [300, 150, 0]


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_every_figure_lies_on_the_axis(a, b):
    made = scale(a, b, 0, 100)
    assert made.low <= min(a, b) + 1e-3
    assert made.high >= max(a, b) - 1e-3
    assert 2 <= len(made.ticks) <= 12


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="numbers"):
        scale(0, bad, 0, 1)


def test_figures():
    assert [figure(v) for v in (0.0, -0.0, 2.50, 1000.0)] == ["0", "0", "2.5", "1000"]
