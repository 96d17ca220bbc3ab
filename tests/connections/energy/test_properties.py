"""What holds for any plant, sun, use and limit."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.energy.efficiencies import Efficiencies
from connections.energy.steps.dispatch import dispatch, dispatch_each
from connections.energy.steps.flows import CellLimits, SeparatePv, SharedUnit, StepInputs
from connections.energy.steps.invariants import check

HAIR = 1e-9

powers = st.lists(st.floats(0, 12, allow_subnormal=False), min_size=12, max_size=12).map(np.array)
ratings = st.floats(0.5, 10)
parts = st.sampled_from([0.0, 0.5, 1.0])
cells = st.none() | st.builds(
    lambda full, into, out, buy, sell: CellLimits(full, into, out, into * buy, out * sell),
    st.floats(0.1, 15), st.floats(0.1, 6), st.floats(0.1, 6), parts, parts,
)  # fmt: skip
shares = st.builds(
    Efficiencies, st.just(0.96), st.just(False), st.floats(0.9, 1), st.floats(0.9, 1),
    st.floats(0.9, 1),
)  # fmt: skip
flags = st.lists(st.sampled_from(["", "cheap", "sell"]), min_size=12, max_size=12)


@st.composite
def inputs(draw, windows=True):
    separate = tuple(
        SeparatePv(draw(powers), draw(ratings), draw(st.floats(0.8, 1)))
        for _ in range(draw(st.integers(0, 2)))
    )
    behind = draw(cells)
    shared = None
    if behind is not None:
        shared = SharedUnit(draw(powers), draw(ratings), draw(st.floats(0.8, 1)), behind)
    marked = np.array(draw(flags)) if windows else np.array([""] * 12)
    return StepInputs(
        draw(st.sampled_from([0.25, 0.5, 1.0])), draw(powers), separate, shared, draw(cells),
        draw(shares), marked == "cheap" if (marked == "cheap").any() else None,
        draw(st.floats(0.1, 1)), marked == "sell" if (marked == "sell").any() else None,
    )  # fmt: skip


limits = st.none() | st.floats(0, 12)


@given(inputs(), limits)
def test_every_law_holds(given_inputs, limit):
    check(dispatch(given_inputs, limit))


@given(inputs(windows=False), st.lists(st.floats(0, 15), min_size=2, max_size=5))
def test_what_a_limit_takes_never_rises_with_the_limit(given_inputs, some):
    rising = tuple(sorted(some))
    lost = [found.lost.sum() for found in dispatch_each(given_inputs, rising)]
    assert all(later <= earlier + HAIR for earlier, later in itertools.pairwise(lost))


@given(inputs(windows=False))
def test_a_limit_at_the_ratings_takes_nothing(given_inputs):
    ratings_kw = sum(unit.rated_kw for unit in given_inputs.separate)
    if given_inputs.shared is not None:
        ratings_kw += given_inputs.shared.rated_kw
    found = dispatch(given_inputs, ratings_kw)
    assert found.lost.sum() <= HAIR
    assert found.exported.max() <= ratings_kw + HAIR


@given(inputs(windows=False))
def test_no_limit_is_a_very_high_one(given_inputs):
    free, high = dispatch_each(given_inputs, (None, 1e6))
    assert np.array_equal(free.exported, high.exported)
    assert high.lost.sum() == 0


@given(inputs(windows=False), st.floats(0, 12))
def test_a_limit_changes_nothing_behind_the_meter(given_inputs, limit):
    """Without selling, cells and house do not see the limit."""
    free, held = dispatch_each(given_inputs, (None, limit))
    for name in ("imported", "charge", "discharge", "shared_charge", "stored", "direct"):
        assert np.array_equal(getattr(free, name), getattr(held, name)), name
    assert free.exported.sum() == pytest.approx(held.exported.sum() + held.lost.sum())


@given(powers, powers, ratings, shares, st.floats(1, 8))
def test_cells_give_back_what_their_round_trip_leaves(sun, load, rated, of, usable):
    """Discharge = charge x shares, less what is still inside and would come out later."""
    store = CellLimits(usable, 3, 3, 3, 3)
    found = dispatch(StepInputs(1.0, load, (SeparatePv(sun, rated, 0.96),), None, store, of), None)
    way_out = of.cells_ac * of.cells_one_way
    expected = (found.charge.sum() * way_out - found.stored[-1]) * way_out
    assert found.discharge.sum() == pytest.approx(expected, abs=1e-9)
