"""Dispatch against cases worked out apart from this room, by hand and over whole years."""

import numpy as np
import pytest

from connections.energy.efficiencies import Efficiencies
from connections.energy.load import household_by_clock
from connections.energy.steps.clock import YEAR
from connections.energy.steps.dispatch import dispatch, dispatch_each
from connections.energy.steps.flows import CellLimits, SeparatePv, SharedUnit, StepInputs
from connections.energy.steps.invariants import check
from tests.connections.energy.weather_years import GREENSBORO, SAND_POINT, six_kwp

CONSTANT = Efficiencies(part_load=False)
TEN_KWH = CellLimits(10, 3, 3, 3, 3)


def flows(kind, dc, load, rated, limit, cells, hours=1.0):
    if kind == "shared":
        inputs = StepInputs(hours, load, (), SharedUnit(dc, rated, 0.96, cells), None, CONSTANT)
    else:
        own = cells if kind == "separate" else None
        inputs = StepInputs(hours, load, (SeparatePv(dc, rated, 0.96),), None, own, CONSTANT)
    found = dispatch(inputs, limit)
    check(found)
    return found


def sums(found):
    hours = found.inputs.hours
    return {
        "clip": found.clipped.sum() * hours,
        "lost": found.lost.sum() * hours,
        "export": found.exported.sum() * hours,
        "import": found.imported.sum() * hours,
        "charge": (found.charge + found.shared_charge).sum() * hours,
        "discharge": (found.discharge + found.shared_discharge).sum() * hours,
        "end": found.stored[-1] + found.shared_stored[-1],
    }


# Five hours by hand. Panels 0, 6, 6, 0, 0 kW DC, house 1, 1, 1, 3, 1 kW, limit 2 kW, cells of 4 kWh
# and 2 kW, shares 0.96 (inverter), 0.96 (AC to cells), 0.98 (DC to cells), 0.95 (cells). In each
# sunny hour 0.96 x 6 = 5.76 kW at AC. Without cells: 0.76 clipped at 5 kW, 1 to the house, 2 out,
# 2 lost; twice. With their own inverter cells take the 2 kW: 4 in, 4 x 0.96 x sqrt(0.95) = 3.7427
# kWh stored; out come 2 + 1 = 3, which takes 3 / (0.96 x sqrt(0.95)) = 3.2062; 0.5366 stay.
@pytest.mark.parametrize(
    ("kind", "rated", "clip", "lost", "export", "charge", "discharge", "bought", "end"),
    [
        ("none", 5, 1.52, 4.00, 4, 0, 0, 5, 0),
        ("separate", 5, 1.52, 0, 4, 4, 3, 2, 0.5365868),
        ("shared", 5, 0, 1.68, 4, 4, 3, 2, 0.5491287),
        ("shared", 3, 1.68, 0, 4, 4, 3, 2, 0.5491287),
    ],
)
def test_five_hours_by_hand(kind, rated, clip, lost, export, charge, discharge, bought, end):
    dc = np.array([0, 6, 6, 0, 0.0])
    load = np.array([1, 1, 1, 3, 1.0])
    found = sums(flows(kind, dc, load, rated, 2, CellLimits(4, 2, 2, 2, 2)))
    expected = {"clip": clip, "lost": lost, "export": export, "charge": charge,
                "discharge": discharge, "import": bought, "end": end}  # fmt: skip
    assert found == pytest.approx(expected, abs=1e-6)


def test_what_stays_in_the_cells_by_hand():
    """4 x 0.96 x 0.974679 - 3 / (0.96 x 0.974679); the same with 0.98 in and 0.98 x 0.96 out."""
    half = 0.95**0.5
    assert 4 * 0.96 * half - 3 / (0.96 * half) == pytest.approx(0.5365868, abs=1e-6)
    assert 4 * 0.98 * half - 3 / (0.98 * half * 0.96) == pytest.approx(0.5491287, abs=1e-6)


# Whole years of 6 kWp and a level 0.5 kW, computed apart from this room (kWh). Columns: plant,
# rating and limit [kW], clipped, lost, exported, imported, charged, discharged.
YEARS = {
    GREENSBORO: [
        ("none", 5, None, 0.260, 0, 6199.402, 2417.774, 0, 0),
        ("none", 3.68, None, 285.447, 0, 5914.215, 2417.774, 0, 0),
        ("none", 5, 3.68, 0.260, 66.624, 6132.778, 2417.774, 0, 0),
        ("separate", 5, 3.68, 0.260, 50.072, 3617.054, 200.716, 2532.275, 2217.058),
        ("shared", 5, 3.68, 0.260, 51.763, 3716.551, 199.698, 2532.383, 2218.076),
        ("shared", 3.68, None, 204.581, 0, 3563.993, 199.698, 2532.383, 2218.076),
        ("none", 5, 1.5, 0.260, 2385.757, 3813.645, 2417.774, 0, 0),
        ("none", 5, 0, 0.260, 6199.402, 0, 2417.774, 0, 0),
        ("separate", 5, 0, 0.260, 3667.127, 0, 200.716, 2532.275, 2217.058),
        ("shared", 5, 0, 0.260, 3768.314, 0, 199.698, 2532.383, 2218.076),
    ],
    SAND_POINT: [
        ("none", 5, 3.68, 0.157, 42.921, 3245.442, 2636.617, 0, 0),
        ("separate", 5, 3.68, 0.157, 30.229, 1317.253, 941.518, 1940.881, 1695.099),
        ("shared", 5, 3.68, 0, 30.884, 1383.921, 931.368, 1951.786, 1705.249),
        ("shared", 3.68, None, 95.458, 0, 1319.346, 931.368, 1951.786, 1705.249),
    ],
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "row"),
    [(name, row) for name, rows in YEARS.items() for row in rows],
    ids=lambda value: "-".join(str(part) for part in value[:3]) if type(value) is tuple else value,
)
def test_whole_years(name, row):
    kind, rated, limit, *expected = row
    found = sums(flows(kind, six_kwp(name), np.full(8760, 0.5), rated, limit, TEN_KWH))
    names = ("clip", "lost", "export", "import", "charge", "discharge")
    for what, value in zip(names, expected, strict=True):
        assert found[what] == pytest.approx(value, rel=1e-3, abs=1e-3), what


@pytest.mark.parametrize(("name", "dc"), [(GREENSBORO, 8501.967), (SAND_POINT, 5241.565)])
def test_what_the_panels_of_those_years_make(name, dc):
    assert six_kwp(name).sum() == pytest.approx(dc, rel=1e-3)


def test_what_is_left_in_the_cells_of_a_dull_year():
    load = np.full(8760, 0.5)
    for kind, end in (("separate", 4.468), ("shared", 4.679)):
        found = sums(flows(kind, six_kwp(SAND_POINT), load, 5, 3.68, TEN_KWH))
        assert found["end"] == pytest.approx(end, abs=2e-3)


def test_the_length_of_a_step_matters_where_cells_fill_within_it():
    """The same hours cut in half: without cells nothing changes, with cells more is lost."""
    dc, load = np.repeat(six_kwp(GREENSBORO), 2), np.full(17520, 0.5)
    for kind, lost in (("none", 66.624), ("separate", 54.020), ("shared", 54.848)):
        found = sums(flows(kind, dc, load, 5, 3.68, TEN_KWH, hours=0.5))
        assert found["lost"] == pytest.approx(lost, rel=1e-3)


# With the standard shape of German households in 2023 by the clock, 4000 kWh, in hours.
@pytest.mark.parametrize(
    ("kind", "lost", "bought"),
    [("none", 46.886, 1897.105), ("separate", 39.876, 98.399), ("shared", 40.640, 98.527)],
)
def test_a_year_with_the_standard_shape(kind, lost, bought):
    assert YEAR == 2023
    load = 4000 * household_by_clock(with_seasons=False).reshape(-1, 4).mean(axis=1)
    found = sums(flows(kind, six_kwp(GREENSBORO), load, 5, 3.68, TEN_KWH))
    assert found["lost"] == pytest.approx(lost, rel=1e-3)
    assert found["import"] == pytest.approx(bought, rel=1e-3)


def test_several_limits_at_once_are_each_as_alone():
    dc, load = six_kwp(SAND_POINT), np.full(8760, 0.5)
    inputs = StepInputs(1.0, load, (SeparatePv(dc, 5, 0.96),), None, TEN_KWH, CONSTANT)
    limits = (0.0, 1.5, 3.68, None)
    for found, limit in zip(dispatch_each(inputs, limits), limits, strict=True):
        assert sums(found) == sums(dispatch(inputs, limit))


def test_panels_with_their_own_inverter_fill_cells_behind_a_shared_one():
    """Nobody lets 3 kW go out at a limit of nothing while cells stand empty: through the shared
    inverter, 3 kW AC are 3 x 0.96 x 0.98 x sqrt(0.95) = 2.7508 kWh in an hour."""
    inputs = StepInputs(
        1.0, np.array([0.0]), (SeparatePv(np.array([3 / 0.96]), 5, 0.96),),
        SharedUnit(np.array([0.0]), 5, 0.96, TEN_KWH), None, CONSTANT,
    )  # fmt: skip
    found = dispatch(inputs, 0.0)
    check(found)
    assert found.lost[0] == pytest.approx(0, abs=1e-12)
    assert found.shared_stored[0] == pytest.approx(3 * 0.96 * 0.98 * 0.95**0.5)


def test_a_window_fills_cells_from_the_network_and_holds_them():
    """Hour 1 is cheap: cells of 4 kWh take up to half of it, 2 / (0.96 x 0.974679) = 2.1374 kW at
    AC, more than their 2 kW; so 2 kW, of which 1.8714 kWh stay. The house is served by the network
    in that hour, and in hour 2 by the cells."""
    inputs = StepInputs(
        1.0, np.array([1.0, 1.0]), (), None, CellLimits(4, 2, 2, 2, 2), CONSTANT,
        cheap=np.array([True, False]), cheap_to=0.5,
    )  # fmt: skip
    found = dispatch(inputs, None)
    check(found)
    assert found.bought.tolist() == pytest.approx([2, 0])
    assert found.imported.tolist() == pytest.approx([3, 0])
    assert found.discharge.tolist() == pytest.approx([0, 1])
    assert found.stored[0] == pytest.approx(2 * 0.96 * 0.95**0.5)


def test_a_window_empties_cells_into_the_network_under_the_limit():
    """Cells of 10 kWh and 3 kW, filled with 3 kW of sun for three hours; then they serve the house
    (1 kW) and sell 1.5 kW, the limit, though they could give 2 more."""
    sun = np.array([3, 3, 3, 0]) / 0.96
    inputs = StepInputs(
        1.0, np.array([0, 0, 0, 1.0]), (SeparatePv(sun, 5, 0.96),), None, TEN_KWH, CONSTANT,
        sell=np.array([False, False, False, True]),
    )  # fmt: skip
    found = dispatch(inputs, 1.5)
    check(found)
    assert found.charge.tolist() == pytest.approx([3, 3, 3, 0])
    assert found.discharge[3] == pytest.approx(1)
    assert found.sold[3] == pytest.approx(1.5)
    assert found.exported[3] == pytest.approx(1.5)


def test_the_quick_ways_are_the_long_way():
    """Cells alone are followed by loops of their own, which must agree with that for all plants."""
    from connections.energy.steps import dispatch as room

    draw = np.random.default_rng(3)
    for number in range(60):
        size = 150
        dc = np.maximum(draw.normal(1, 3, size), 0)
        load = draw.uniform(0, 3, size)
        share = draw.uniform(0.7, 0.97, size)
        full, most_in, most_out = draw.uniform(0.5, 8, 3)
        # Some may not buy, some not sell, some in part.
        buy, sell_kw = most_in * draw.choice([0, 0.5, 1]), most_out * draw.choice([0, 0.5, 1])
        cells = CellLimits(full, most_in, most_out, buy, sell_kw)
        cheap = draw.random(size) < 0.2 if number % 3 else None
        sell = draw.random(size) < 0.2 if number % 2 else None
        if cheap is not None and sell is not None:
            sell &= ~cheap
        limit = (None, 1.0, 3.0)[number % 3]
        more = (Efficiencies(), cheap, draw.uniform(0.2, 1), sell)
        for inputs in (
            StepInputs(0.5, load, (SeparatePv(dc, 3, share),), None, cells, *more),
            StepInputs(0.5, load, (), SharedUnit(dc, 3, share, cells), None, *more),
        ):
            quick = dispatch(inputs, limit)
            sun = room._sunshine(inputs)
            long = room._settle(inputs, sun, room._follow_all(inputs, sun, limit), limit)
            check(quick)
            check(long)
            for name in ("exported", "imported", "lost", "stored", "shared_stored", "conversion"):
                assert np.abs(getattr(quick, name) - getattr(long, name)).max() < 1e-9, name
