"""Boxes that a unit on the survey sheet and a model of the catalogue share, so that both mean the
same."""

from collections.abc import Mapping

from connections.facts.site import Unit
from sites.house.boxes.fields import Box, ChoiceBox, WordsBox, YesNoBox
from sites.house.boxes.quantity_box import QuantityBox

RATED_BOXES: Mapping[str, Box] = {
    "source": ChoiceBox.of(
        Unit, "source", nothing="choose", required=True, needed="say what drives the unit"
    ),
    "rated_w": QuantityBox.of(Unit, "rated_w"),
    "type_tested": ChoiceBox.of(Unit, "type_tested"),
    "standard": WordsBox.of(Unit, "standard", longest=60, suggestions="standards", width="short"),
    "type_test_reference": WordsBox.of(Unit, "type_test_reference"),
    "can_island": YesNoBox.of(Unit, "can_island"),
    "design_w": QuantityBox.of(Unit, "design_w"),
    "rated_va": QuantityBox.of(Unit, "rated_va"),
    "rated_ma": QuantityBox.of(Unit, "rated_ma"),
}
"""The boxes by the name of their fact."""
