"""Plots of electrical checks: every figure of the check is drawn and told in words."""

import xml.etree.ElementTree as ET
from decimal import Decimal

import pytest
from django.template.loader import render_to_string

from connections.documents.check_plots import plot_of
from connections.plots.chart import WIDTH, Plot
from connections.rules.checks.basis.types import Check, Level, PlotData, Point, Series
from connections.rules.checks.voltage import RISE
from tests.connections.rules.checks.checking import BOARD, cable
from tests.connections.rules.checks.checking import check as check_of
from tests.site_files import file


def checked(plot: PlotData | None) -> Check:
    return Check(RISE, "inv-1", "Voltage rise", "", (), (), "keeps",
                 value=Decimal("0.6"), limit=Decimal(1), unit="%", plot=plot)  # fmt: skip


def along(*points: tuple[str, float, float]) -> Plot:
    made = plot_of(
        checked(
            PlotData(
                "along",
                "m",
                "V",
                (Series("inv-1 on L1", tuple(Point(*point) for point in points)),),
                (Level("nominal", 230.0), Level("limit of the run", 232.3)),
            )
        )
    )
    assert made is not None
    return made


def bars(*series: tuple[str, list[float]]) -> Plot:
    made = plot_of(
        checked(
            PlotData(
                "bars",
                "phase",
                "A",
                tuple(
                    Series(name, tuple(Point(f"L{k + 1}", float(k), a) for k, a in enumerate(amps)))
                    for name, amps in series
                ),
                (Level("cut-out", 80.0),),
            )
        )
    )
    assert made is not None
    return made


def test_a_run_is_a_line_with_its_places_and_its_limits():
    made = along(("the main board", 0.0, 230.0), ("shed", 10.0, 230.8), ("inv-1", 25.0, 231.4))
    assert made.title == "Voltage along the run to inv-1"
    assert made.description == (
        "inv-1 on L1: 230 V at the main board (0 m), then 230.8 V at shed (10 m), then 231.4 V at "
        "inv-1 (25 m). Marked across: nominal 230 V; limit of the run 232.3 V."
    )
    assert [tick.words for tick in made.x_ticks] == ["the main board, 0 m", "shed, 10 m",
                                                     "inv-1, 25 m"]  # fmt: skip
    assert len(made.lines) == 1
    assert len(made.levels) == 2
    assert {"nominal, 230 V", "limit of the run, 232.3 V"} <= {word.text for word in made.words}


def test_places_too_near_each_other_give_way_to_round_metres():
    made = along(("the main board", 0.0, 230.0), ("shed", 1.0, 230.1), ("inv-1", 25.0, 231.4))
    assert [tick.words for tick in made.x_ticks] == ["0", "5", "10", "15", "20", "25"]
    assert made.x_label == "m along the run"


def test_a_run_of_no_length_is_still_drawn():
    assert along(("the main board", 0.0, 230.0), ("inv-1", 0.0, 230.0)).lines


def test_a_long_name_is_shortened_beside_the_line_and_whole_in_words():
    name = "inverter-of-the-workshop-behind-the-house"
    data = PlotData("along", "m", "V",
                    (Series(name, (Point("a", 0, 230), Point("b", 9, 231))),), ())  # fmt: skip
    made = plot_of(checked(data))
    assert made is not None
    assert [word.text for word in made.words] == ["inverter-of-the-work…"]
    assert name in made.description


def test_phases_are_groups_of_bars():
    made = bars(("nobody controls", [30.0, 20.0]), ("headroom", [50.0, 60.0]))
    assert made.title == "Demand and headroom, by phase"
    assert made.description == (
        "Nobody controls: L1 30 A, L2 20 A. Headroom: L1 50 A, L2 60 A. "
        "Marked across: cut-out 80 A."
    )
    assert [tick.words for tick in made.x_ticks] == ["L1", "L2"]
    assert [bar.filling for bar in made.bars] == ["solid", "striped", "solid", "striped"]
    assert bars(("export", [1.0]), ("import", [2.0])).title == "Export and import, by phase"


@pytest.mark.parametrize("odd", [float("nan"), float("inf")])
def test_what_is_no_number_is_not_drawn(odd: float):
    data = PlotData("along", "m", "V", (Series("x", (Point("a", 0, 230), Point("b", 9, odd))),), ())
    assert plot_of(checked(data)) is None


def test_a_check_without_a_plot_has_none():
    assert plot_of(checked(None)) is None
    assert plot_of(checked(PlotData("along", "m", "V", (), ()))) is None


def test_the_plot_of_a_real_site_is_whole_and_inside_its_sheet():
    made = plot_of(check_of(file(cables=[cable(metres=25)]), "voltage-rise"))
    assert made is not None
    svg = str(render_to_string("plots/plot.svg", {"plot": made, "prefix": "p"}))
    root = ET.fromstring(svg)
    assert made.description in "".join(root.itertext())
    assert "nan" not in svg.lower()
    assert all(0 <= word.x < WIDTH for word in made.words)
    assert BOARD not in made.title
