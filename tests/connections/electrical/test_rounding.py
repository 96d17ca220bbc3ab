"""Rounding outwards before comparing, and what is too close to call."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.electrical.rounding import compare, outwards

STEP = Decimal("0.01")

CASES = [
    # value, limit, bound, rounded, result: within a step of the limit it is too close
    (2.30, "2.30", "at most", "2.30", "too close"),
    (2.284, "2.30", "at most", "2.29", "too close"),
    (2.279, "2.30", "at most", "2.28", "keeps"),
    (2.3001, "2.30", "at most", "2.31", "too close"),
    (2.3101, "2.30", "at most", "2.32", "over"),
    (216.2, "216.2", "at least", "216.19", "too close"),
    (216.3, "216.2", "at least", "216.29", "keeps"),
    (216.0, "216.2", "at least", "216.00", "over"),
]


@pytest.mark.parametrize(("value", "limit", "bound", "rounded", "result"), CASES)
def test_cases(value, limit, bound, rounded, result):
    found = compare(value, Decimal(limit), STEP, bound)
    assert abs(found.value - Decimal(rounded)) <= STEP
    assert found.result == result


@given(st.floats(-1000, 1000))
def test_rounding_never_flatters(value):
    noise = STEP / 1_000_000
    assert outwards(value, STEP, "at most") >= Decimal(value) - noise
    assert outwards(value, STEP, "at least") <= Decimal(value) + noise
    assert outwards(Decimal(value), STEP, "at most") >= Decimal(value)
    assert outwards(Decimal(value), STEP, "at least") <= Decimal(value)


@pytest.mark.parametrize(
    # As stated in decimal, and with the noise that float arithmetic adds: 27.24 is 1.2 x 22.7.
    ("value", "shown"),
    [(0.17, "0.170"), (900 + 1.2 * 22.7, "927.240"), (0.1 + 0.2, "0.300"), (0.1701, "0.171")],
)
def test_a_whole_step_is_not_rounded_up_for_noise(value, shown):
    assert outwards(value, Decimal("0.001"), "at most") == Decimal(shown)


@given(st.integers(-(10**9), 10**9))
def test_a_stated_figure_stays_as_it_is(thousandths):
    for bound in ("at most", "at least"):
        found = outwards(thousandths / 1000, Decimal("0.001"), bound)
        assert found == Decimal(thousandths) / 1000


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="number"):
        compare(bad, Decimal(1), STEP)
