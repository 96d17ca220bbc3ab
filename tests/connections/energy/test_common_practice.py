"""What the trade says of a hybrid inverter beside separate ones (common practice, no source)."""

import pytest

from connections.energy.efficiencies import routes
from connections.energy.options import Options, Window
from connections.energy.year import energy_year

PLAIN = Options(cases=False, finer=False)


@pytest.fixture
def figures(plants, sun, use):
    def of(kind, *, limit_w=None, rated_w=5000, options=PLAIN):
        return energy_year(plants[kind](limit_w, rated_w), sun, use, options).figures

    return of


def test_energy_above_a_shared_inverters_rating_still_reaches_the_cells(figures):
    assert figures("shared", rated_w=3000).clipped < figures("separate", rated_w=3000).clipped


def test_sun_through_cells_loses_less_behind_a_shared_inverter(figures):
    shared, separate = figures("shared"), figures("separate")
    assert shared.conversion < separate.conversion
    ways = {kind: routes(kind)[1].share for kind in ("shared", "separate")}
    assert ways["shared"] > ways["separate"]


def test_the_network_through_cells_loses_less_with_separate_inverters():
    assert routes("separate")[2].share > routes("shared")[2].share


def test_a_small_shared_inverter_needs_no_limiter_and_loses_more_than_a_limited_bigger_one(figures):
    small = figures("shared", rated_w=3680)
    limited = figures("shared", limit_w=3680)
    assert small.most_exported_kw <= 3.68
    assert small.clipped > limited.lost + limited.clipped


def test_cells_lower_what_a_limit_takes_and_do_not_end_it(figures):
    without, with_cells = (figures(kind, limit_w=3680).lost for kind in ("panels", "separate"))
    assert 0 < with_cells < without


def test_a_limit_takes_little_of_a_year_at_16_amps_and_much_at_nothing(figures):
    """6 kWp in the south of England at 3.68 kW: a few parts in a hundred."""
    assert 0 < figures("panels", limit_w=3680).lost_percent < 4
    assert figures("panels", limit_w=0).lost_percent > 50


def test_cells_raise_what_is_used_on_site(figures):
    assert figures("separate").on_site > 1.5 * figures("panels").on_site


def test_a_cheap_window_moves_imports_into_it_and_loses_some_energy(figures):
    night = Options(cases=False, finer=False, cheap=Window(30, 330))
    with_window, without = figures("separate", options=night), figures("separate")
    assert with_window.bought > 0
    assert with_window.conversion > without.conversion
