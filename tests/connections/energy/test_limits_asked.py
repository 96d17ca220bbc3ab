"""Which limits a sweep tries, what it is known by, and that it is the sweep of the energy room."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from connections.energy.asked import YearAsked
from connections.energy.energy_errors import EnergyError
from connections.energy.limits_asked import (
    HIGHEST_W,
    MOST,
    by_step,
    evenly,
    highest_proposed_w,
    limits_asked,
    limits_of,
    proposed_step_w,
    same_year,
    step_within,
)
from connections.energy.load import household_load
from connections.energy.options import Options, Prices, Window
from connections.energy.plant import Cells, Plant, PvArray, PvInverter, StorageUnit
from connections.energy.weather.regions import region
from connections.energy.weather.sunshine import typical_sun
from connections.energy.year import each_limit

PLANT = Plant(
    pv=(PvInverter("pv-1", 6000, (PvArray(8000, 35, 180),)),),
    storage=(StorageUnit("bat-1", 3600, Cells(9500, 3600, 3600)),),
    export_limit_w=3680.0,
)
YEAR = YearAsked(PLANT, region(3), 3500)


def no_files(_sha256):
    raise AssertionError("nothing here comes from a file")


def test_no_limit_and_the_own_one_come_first_and_once():
    assert limits_asked(YEAR, [0, 5000, 3680]).tried_w == (None, 3680.0, 0, 5000)
    free = replace(YEAR, plant=replace(PLANT, export_limit_w=None))
    assert limits_asked(free, [5000, 0]).tried_w == (None, 0, 5000)


def test_what_is_found_is_the_sweep_of_the_room():
    asked = limits_asked(YEAR, [0, 2000, 6000])
    expected = tuple(each_limit(PLANT, typical_sun(region(3)), household_load(3500), asked.tried_w))
    assert tuple(limits_of(asked, no_files)) == expected
    assert tuple(limits_of(asked, no_files, after=3)) == expected[3:]
    assert tuple(limits_of(asked, no_files, after=5)) == ()


def test_with_a_window_for_selling_it_is_the_same():
    year = replace(YEAR, options=Options(sell=Window(1020, 1140)))
    asked = limits_asked(year, [0, 3000])
    expected = tuple(
        each_limit(PLANT, typical_sun(region(3)), household_load(3500), asked.tried_w, year.options)
    )
    assert tuple(limits_of(asked, no_files)) == expected
    # Cells sell in the window: more goes out than without it.
    plain = tuple(limits_of(limits_asked(YEAR, [0, 3000]), no_files))
    assert expected[0].figures.exported > plain[0].figures.exported


def test_prices_make_no_other_sweep_and_another_plant_does():
    asked = limits_asked(YEAR, [0, 1000])
    dearer = replace(YEAR, options=Options(prices=Prices(export_pence=15)))
    assert limits_asked(dearer, [1000, 0]).digest == asked.digest
    assert same_year(asked, dearer)
    other = replace(YEAR, plant=replace(PLANT, export_limit_w=4000.0))
    assert not same_year(asked, other)
    assert limits_asked(YEAR, [0, 1001]).digest != asked.digest


@pytest.mark.parametrize("limits", [[1000], [1000, 1000], range(61), [-1, 5], [0, HIGHEST_W + 1]])
def test_limits_that_cannot_be(limits):
    with pytest.raises(EnergyError):
        limits_asked(YEAR, list(limits))


@pytest.mark.parametrize(
    ("lowest", "highest", "count", "limits"),
    [
        (0, 7200, 3, (0, 3600, 7200)),
        # 1000 / 3 = 333.3 and 666.7, in whole watts
        (0, 1000, 4, (0, 333, 667, 1000)),
        # 2.5 is rounded up
        (0, 5, 3, (0, 3, 5)),
        (10, 11, 2, (10, 11)),
    ],
)
def test_evenly(lowest, highest, count, limits):
    assert evenly(lowest, highest, count) == limits


@given(st.integers(0, 10_000), st.integers(1, 100_000), st.integers(2, MOST))
def test_evenly_makes_as_many_as_asked_or_says_that_it_cannot(lowest, span, count):
    if span < count - 1:
        with pytest.raises(EnergyError, match="no"):
            evenly(lowest, lowest + span, count)
        return
    limits = evenly(lowest, lowest + span, count)
    assert (limits[0], limits[-1], len(limits)) == (lowest, lowest + span, count)
    gaps = [after - before for before, after in itertools.pairwise(limits)]
    assert min(gaps) >= 1
    assert max(gaps) - min(gaps) <= 1


def test_by_step_ends_at_the_highest():
    assert by_step(0, 2000, 500) == (0, 500, 1000, 1500, 2000)
    assert by_step(0, 1800, 500) == (0, 500, 1000, 1500, 1800)
    assert by_step(100, 600, 500) == (100, 600)
    assert len(by_step(0, 5900, 100)) == MOST
    # 6000 / 59 = 101.7, so 102 W is the smallest step that 60 limits reach from 0 to 6 kW.
    with pytest.raises(EnergyError, match=r"makes 61 limits.*at least 0\.102 kW"):
        by_step(0, 6000, 100)
    assert len(by_step(0, 6000, 102)) == MOST


def test_the_highest_proposed_is_that_of_all_ratings():
    assert highest_proposed_w(PLANT) == 6000 + 3600


@given(st.lists(st.integers(0, 12_000), min_size=2, max_size=8, unique=True))
def test_what_is_lost_never_rises_with_the_limit_and_nothing_is_at_the_ratings(limits):
    ratings = highest_proposed_w(PLANT)
    found = list(limits_of(limits_asked(YEAR, [*limits, ratings]), no_files))
    rising = sorted(
        (each for each in found if each.limit_kw is not None), key=lambda e: e.limit_kw or 0
    )
    for lower, higher in itertools.pairwise(rising):
        assert higher.figures.lost <= lower.figures.lost + 1e-9
        assert higher.figures.exported >= lower.figures.exported - 1e-9
    for each in rising:
        if (each.limit_kw or 0) >= ratings / 1000:
            assert each.figures.lost == 0


@pytest.mark.parametrize(
    ("highest_w", "step_w", "limits"),
    [
        (3680, 200, 20),  # 18.4 steps: 19 and nothing
        (2900, 100, 30),
        (2901, 200, 16),
        (7280, 500, 16),
        (10_000_000, 500_000, 21),
    ],
)
def test_a_round_step_is_proposed(highest_w, step_w, limits):
    assert proposed_step_w(highest_w) == step_w
    found = by_step(0, highest_w, step_w)
    assert len(found) == limits
    assert step_within(found) == step_w


def test_limits_that_no_step_makes_have_none():
    assert step_within((0, 1000, 1500, 3000)) is None
    assert step_within((0, 3600)) == 3600


def test_limits_whose_first_gap_is_too_small_for_the_rest_have_no_step():
    """0 to 7.28 kW in 60 limits: 7280 / 59 = 123.4, and 7280 / 123 = 59.2 makes 61 of them."""
    found = evenly(0, 7280, 60)
    assert found[1] == 123
    assert step_within(found) is None
    assert step_within((0, 1, 10_000_000)) is None
    assert step_within(range(70)) is None


@given(st.lists(st.integers(-5, HIGHEST_W), max_size=MOST + 5))
def test_how_far_apart_limits_lie_is_told_of_any_limits(limits):
    step = step_within(limits)
    assert step is None or limits[1] - limits[0] == step > 0


@pytest.mark.parametrize("count", range(2, MOST + 1))
def test_limits_that_lie_evenly_have_a_step_or_none(count):
    found = evenly(0, 7280, count)
    step = step_within(found)
    assert step is None or by_step(0, 7280, step) == found


def test_kept_limits_that_could_not_be_asked_for_any_more_are_no_sweep_of_now():
    kept = replace(limits_asked(YEAR, [0, 1000]), limits_w=tuple(range(MOST + 1)))
    assert not same_year(kept, YEAR)


def test_a_step_of_nothing_leads_nowhere():
    with pytest.raises(EnergyError, match="more than nothing"):
        by_step(0, 1000, 0)
