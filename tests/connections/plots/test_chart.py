"""Plots: everything inside the sheet, names apart, and nothing told by colour alone."""

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from django.template.loader import render_to_string

from connections.plots.chart import (
    DASHES,
    FILLINGS,
    HEIGHT,
    LARGE,
    SMALL,
    TALL,
    WIDTH,
    Bars,
    Level,
    Line,
    Upright,
    bar_plot,
    line_plot,
)

LINES = line_plot(
    "Voltage along the run",
    [Line("expected", ((0, 230.0), (25, 232.9))), Line("highest", ((0, 250.0), (25, 252.8)))],
    x_label="metres",
    y_label="volts",
    description="From 230 V at the supply terminals to 232.9 V at the inverter.",
    levels=[Level("253 V", 253.0), Level("trip at 262.2 V", 262.2)],
)
BARS = bar_plot(
    "Demand by phase",
    ["L1", "L2 <b>", "L3"],
    [Bars("demand", (40, 20, None)), Bars("with charging", (72, 20, 30))],
    y_label="amps",
    description="Demand and what is left under the cut-out.",
    levels=[Level("cut-out 80 A", 80)],
)


def test_lines_are_told_apart_by_stroke():
    assert [line.dashes for line in LINES.lines] == list(DASHES[:2])
    assert [line.wide for line in LINES.lines] == [True, False]


def test_bars_are_told_apart_by_filling_and_stand_on_the_axis():
    assert {bar.filling for bar in BARS.bars} == set(FILLINGS[:2])
    assert len(BARS.bars) == 5  # one value is not there, and not drawn as nothing
    assert all(round(bar.y + bar.height, 2) == BARS.foot for bar in BARS.bars)


def test_stacked_bars_stand_on_each_other():
    made = bar_plot("s", ["a"], [Bars("x", (10,)), Bars("y", (5,))], y_label="",
                    description="", stacked=True)  # fmt: skip
    lower, upper = made.bars
    assert upper.y + upper.height == pytest.approx(lower.y, abs=0.05)
    assert lower.height == pytest.approx(2 * upper.height, abs=0.05)


@pytest.mark.parametrize(("at", "anchor"), [(0, "start"), (3.68, "end"), (20, "end")])
def test_an_upright_stands_from_the_foot_to_its_name(at, anchor):
    made = line_plot(
        "u", [Line("lost", ((0, 10), (7, 0)))], x_label="kW", y_label="kWh", description="",
        uprights=[Upright("now", at)], from_zero=True, sheet=TALL,
    )  # fmt: skip
    [upright] = made.levels
    (x, low), (same, high) = (map(float, each.split(",")) for each in upright.path.split())
    assert x == same
    assert made.left <= x <= made.right
    assert (low, high) == (made.foot, made.top)
    [name] = [word for word in made.words if word.text == "now"]
    assert (name.x, name.anchor) == (x, anchor)
    assert 8 <= name.y < made.top
    # The axis reaches as far as what is marked on it.
    assert max(tick.at for tick in made.x_ticks) >= x


def test_bars_below_nothing_hang_from_the_zero_line():
    made = bar_plot("s", ["a"], [Bars("x", (-10,))], y_label="", description="")
    [bar] = made.bars
    assert made.zero is None or bar.y == pytest.approx(made.zero)
    assert bar.height > 0


def test_names_do_not_lie_on_each_other():
    near = line_plot(
        "n",
        [Line(str(n), ((0, n / 100), (1, n / 100))) for n in range(6)],
        x_label="", y_label="", description="", levels=[Level("limit", 0.02)],
    )  # fmt: skip
    places = sorted(word.y for word in near.words)
    assert all(b - a >= 14.9 for a, b in pairwise(places))


@pytest.mark.parametrize("plot", [LINES, BARS], ids=["lines", "bars"])
def test_everything_is_on_the_sheet(plot):
    for bar in plot.bars:
        assert plot.left <= bar.x <= bar.x + bar.width <= plot.right
    for line in (*plot.lines, *plot.levels):
        for point in line.path.split():
            x, y = map(float, point.split(","))
            assert plot.left - 0.01 <= x <= plot.right + 0.01
            assert 0 <= y <= plot.foot + 0.01
    for word in plot.words:
        assert 0 <= word.x <= WIDTH
        assert 0 <= word.y <= HEIGHT


@pytest.mark.parametrize("plot", [LINES, BARS], ids=["lines", "bars"])
def test_the_drawing_is_valid_has_its_words_and_no_style(plot):
    svg = str(render_to_string("plots/plot.svg", {"plot": plot, "prefix": "p1"}))
    root = ET.fromstring(svg)
    assert "style=" not in svg
    titles = [element.text for element in root.iter() if element.tag.endswith("}title")]
    assert titles == [plot.title]
    assert root.attrib["role"] == "img"
    assert "<b>" not in svg
    for element in root.iter():
        if "id" in element.attrib:
            assert element.attrib["id"].startswith("p1-")


def test_nothing_to_draw_is_refused():
    with pytest.raises(ValueError, match="point"):
        line_plot("t", [], x_label="", y_label="", description="")
    with pytest.raises(ValueError, match="bar"):
        bar_plot("t", [], [], y_label="", description="")


SMALL_LINES = line_plot(
    "A day",
    [Line(name, ((0, 0.0), (24, 3.7))) for name in ("sun", "use", "sent out", "bought")],
    x_label="",
    y_label="kW",
    description="A day.",
    levels=[Level("limit 3.68 kW", 3.68)],
    x_words=((0, "00:00"), (24, "24:00")),
    sheet=SMALL,
)
SMALL_BARS = bar_plot(
    "Months",
    list("JFMAMJJASOND"),
    [Bars(name, (100.0,) * 12) for name in ("used on site", "sent out", "not made")],
    y_label="kWh",
    description="Months.",
    stacked=True,
    sheet=SMALL,
)


@pytest.mark.parametrize("plot", [SMALL_LINES, SMALL_BARS])
def test_a_small_sheet_holds_its_names_in_a_row_beneath(plot):
    beneath = [word for word in plot.words if word.y > plot.foot]
    assert len(beneath) == max(len(plot.lines), 3)
    assert len({word.y for word in beneath}) == 1
    # About 6.5 drawing units a letter at a size of 12, a sample of a filling 22 before it.
    ends = [word.x + (22 if word.filling else 0) + 6.5 * len(word.text) for word in beneath]
    starts = [word.x - (0 if word.filling else 24) for word in beneath]
    assert all(end <= start for end, start in zip(ends, starts[1:], strict=False))
    assert ends[-1] <= plot.width
    assert all(tick.at <= plot.width for tick in plot.x_ticks)


@pytest.mark.parametrize(
    ("begins", "end"),
    [
        (((0, 0), (6, 0), (12, 2), (24, 0)), "left"),
        # What stands at the limit in the first hours would be written over.
        (((0, 4), (2, 4), (6, 0), (24, 0)), "right"),
    ],
)
def test_the_name_of_a_level_stands_where_no_line_does(begins, end):
    made = line_plot(
        "A day", [Line("bought", begins)], x_label="", y_label="kW", description="", sheet=SMALL,
        levels=[Level("limit 3.68 kW", 3.68)], from_zero=True,
    )  # fmt: skip
    [name] = [word for word in made.words if word.text == "limit 3.68 kW"]
    middle = (made.left + made.right) / 2
    assert (name.x < middle) is (end == "left")


def test_a_level_on_a_small_sheet_has_its_name_on_the_line():
    (name,) = [word for word in SMALL_LINES.words if word.text.startswith("limit")]
    assert 0 < name.y < SMALL_LINES.foot
    assert name.x > SMALL_LINES.left


@pytest.mark.parametrize("most", [9, 120, 4800, 48_000, 0.001])
@pytest.mark.parametrize("sheet", [SMALL, TALL, LARGE], ids=["small", "tall", "large"])
def test_ticks_do_not_lie_on_the_name_of_the_axis(most, sheet):
    """The name ends at 18; ticks end 8 before the axis, each figure at most 7.7 wide."""
    lines = [Line("exported", ((0, 0), (1, most)))]
    bars = [Bars("exported", (most,))]
    for plot in (
        line_plot("t", lines, x_label="", y_label="kWh", description="", sheet=sheet),
        bar_plot("t", ["a"], bars, y_label="kWh", description="", sheet=sheet),
    ):
        widest = max(len(tick.words) for tick in plot.y_ticks) * 7.7
        assert plot.left - 8 - widest >= 18
        assert plot.left < plot.right / 3
