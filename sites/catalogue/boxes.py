"""Boxes that a unit on the survey sheet and a model of the catalogue share, so that both mean the
same."""

from collections.abc import Mapping

from sites.house.boxes.choices import SOURCES, TYPE_TESTED
from sites.house.boxes.fields import Box, ChoiceBox, WordsBox, YesNoBox
from sites.house.boxes.quantity_box import QuantityBox

RATED_BOXES: Mapping[str, Box] = {
    "source": ChoiceBox(
        "Source", SOURCES, nothing="choose", required=True, needed="say what drives the unit"
    ),
    "rated_w": QuantityBox(
        "Registered capacity",
        "W",
        beside="kW",
        low=50,
        high=150_000,
        hint="of one unit, AC",
    ),
    "type_tested": ChoiceBox("Type tested", TYPE_TESTED),
    "standard": WordsBox("Tested to", longest=60, suggestions="standards", width="short"),
    "type_test_reference": WordsBox("Type-test reference"),
    "can_island": YesNoBox("Can run as an island"),
    "design_w": QuantityBox(
        "Design capacity",
        "W",
        beside="kW",
        low=50,
        high=150_000,
        hint="what one is made for; empty: as registered",
    ),
    "rated_va": QuantityBox(
        "Apparent power", "VA", beside="kVA", low=50, high=150_000, hint="of one"
    ),
    "rated_ma": QuantityBox(
        "Declared current", "mA", beside="A", low=200, high=250_000, hint="of one, each phase"
    ),
}
"""The boxes by the name of their fact."""
