"""A model of the equipment catalogue, as boxes: those of a unit on the survey sheet, where a unit
has them too, so that both mean the same."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError

from sites.forms.fields import Box, ChoiceBox, WholeChoiceBox, WordsBox
from sites.forms.layout import Boxes, Layout
from sites.forms.plant import UnitForm
from sites.forms.sheet_form import SheetForm
from sites.forms.words import PHASE_COUNTS
from sites.models import Equipment

PREFIX = "equipment"
_OF_UNIT = UnitForm.base_fields


class EquipmentForm(SheetForm):
    """One model. Amounts are those of one unit."""

    maker = WordsBox("Maker", required=True, needed="say who makes it", width="long")
    model = WordsBox("Model", required=True, needed="say what its maker calls it")
    source = _OF_UNIT["source"]
    rated_w = _OF_UNIT["rated_w"]
    phases = WholeChoiceBox(
        "Feeds",
        PHASE_COUNTS,
        nothing="choose",
        required=True,
        needed="say how many phases it feeds",
    )
    type_tested = _OF_UNIT["type_tested"]
    standard = _OF_UNIT["standard"]
    type_test_reference = _OF_UNIT["type_test_reference"]
    can_island = _OF_UNIT["can_island"]
    design_w = _OF_UNIT["design_w"]
    rated_va = _OF_UNIT["rated_va"]
    rated_ma = _OF_UNIT["rated_ma"]
    layout = Layout(
        Boxes(
            "maker",
            "model",
            "source",
            "rated_w",
            "phases",
            "type_tested",
            "standard",
            "type_test_reference",
            "can_island",
            "design_w",
            "rated_va",
            "rated_ma",
        )
    )

    def equipment(self) -> Equipment:
        """An unsaved row of what was typed, once it is valid."""
        return Equipment(**self.values())

    def refuse_taken(self) -> None:
        """Say at its box that the catalogue has this model."""
        self.add_error(
            "model",
            ValidationError("this model of this maker is in the catalogue; change that one"),
        )


def form_of(typed: Mapping[str, Any] | None) -> EquipmentForm:
    """The boxes with what was typed, or empty."""
    return EquipmentForm(typed, prefix=PREFIX)


def form_of_row(row: Equipment) -> EquipmentForm:
    """The boxes with what is kept, questions about it answered as they were."""
    return form_of(_raw(row, PREFIX))


def raw_of_unit(row: Equipment, prefix: str) -> dict[str, str]:
    """What stands in the boxes of a unit, under this prefix, whose values are those of a model.

    Which phase a single-phase one is on is not the model's to say.
    """
    raw = _raw(row, prefix)
    raw[f"{prefix}-phases"] = "L1 L2 L3" if row.phases == 3 else ""
    return raw


def _raw(row: Equipment, prefix: str) -> dict[str, str]:
    raw: dict[str, str] = {}
    for name, box in _boxes():
        value = getattr(row, name)
        raw[f"{prefix}-{name}"] = box.write(value)
        if answer := box.answer(value):
            raw[f"{prefix}-{name}-meant"] = answer
    return raw


def in_words(row: Equipment) -> dict[str, tuple[str, str]]:
    """Label and fact of every box in words, with its unit; empty for what is not known."""
    said = {}
    for name, box in _boxes():
        text = box.shown(box.write(getattr(row, name)))
        said[name] = (str(box.label), f"{text} {box.beside}".strip() if text else "")
    return said


def _boxes() -> list[tuple[str, Box]]:
    return [(name, box) for name, box in EquipmentForm.base_fields.items() if isinstance(box, Box)]


def choice_words(name: str, value: Any) -> str:
    """The words of a choice, or nothing."""
    box = EquipmentForm.base_fields[name]
    assert isinstance(box, ChoiceBox)
    return box.shown(box.write(value))
