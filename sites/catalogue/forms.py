"""Boxes of a model of the equipment catalogue.

They are those of a unit on the survey sheet, where a unit has them too, so that both mean the same.
"""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from django.core.exceptions import ValidationError

from connections.facts.site import Unit
from sites.catalogue.boxes import CERTIFICATES, RATED_BOXES
from sites.catalogue.models import Equipment
from sites.house.boxes.choices import PHASE_COUNTS
from sites.house.boxes.fields import Box, ChoiceBox, WholeChoiceBox, WordsBox
from sites.house.boxes.layout import Boxes, Layout
from sites.house.boxes.sheet_form import SheetForm
from sites.house.boxes.typed import Reading, settle

PREFIX = "equipment"
_REGISTERED = " registered"
_NOMINAL_V = 230
_LEAST_CURRENT = 0.9
"""A box asks about a declared current below this share of the capacity's current at 230 V. Our own
choice, since at 253 V (230 V + 10 %) nine tenths are enough."""


class Doubt(NamedTuple):
    """Two facts of a model that hardly fit: the box, the reason, and the amount in words."""

    name: str
    says: str
    amount: str


class EquipmentForm(SheetForm):
    """One model. Amounts are those of one unit."""

    maker = WordsBox.of(Unit, "maker", required=True, needed="say who makes it", width="long")
    model = WordsBox.of(Unit, "model", required=True, needed="say what its maker calls it")
    source = RATED_BOXES["source"]
    rated_w = RATED_BOXES["rated_w"]
    phases = WholeChoiceBox(
        "Feeds",
        PHASE_COUNTS,
        nothing="choose",
        required=True,
        needed="say how many phases it feeds",
    )
    type_tested = RATED_BOXES["type_tested"]
    standard = RATED_BOXES["standard"]
    type_test_reference = RATED_BOXES["type_test_reference"]
    certificate_rated_w = RATED_BOXES["certificate_rated_w"]
    certificate_until = RATED_BOXES["certificate_until"]
    further_certificates = RATED_BOXES["further_certificates"]
    can_island = RATED_BOXES["can_island"]
    design_w = RATED_BOXES["design_w"]
    rated_va = RATED_BOXES["rated_va"]
    rated_ma = RATED_BOXES["rated_ma"]
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
        ),
        CERTIFICATES,
    )

    def clean(self) -> dict[str, Any]:
        """Refuse a design capacity below the registered one, and ask about doubtful figures.

        Doubtful is an apparent power or a current that hardly fits the registered capacity.
        """
        data = super().clean() or self.cleaned_data
        made = self.equipment()
        if made.rated_w and made.design_w and made.design_w < made.rated_w:
            self.add_error(
                "design_w",
                ValidationError(
                    f"{_beside('design_w', made.design_w)} is below the registered capacity of "
                    f"{_beside('rated_w', made.rated_w)}; one of the two is wrong, for the design "
                    "capacity is the largest that the unit is made for"
                ),
            )
        for doubt in _doubts(made):
            typed = self.typed(doubt.name)
            # One question at a box: an amount already confirmed by itself counts as meant.
            if self.is_answered(doubt.name) and not typed.meant.endswith(_REGISTERED):
                continue
            try:
                settle(typed._replace(text=typed.text.strip()), doubt.says, [_reading(doubt, made)])
            except ValidationError as asked:
                self.add_error(doubt.name, asked)
        return data

    def equipment(self) -> Equipment:
        """An unsaved row of what was typed, once it is valid."""
        return Equipment(**self.values())

    def refuse_taken(self) -> None:
        """Note at its box that the catalogue has this model."""
        self.add_error(
            "model",
            ValidationError("this model of this maker is in the catalogue; change that one"),
        )


def form_of(typed: Mapping[str, Any] | None) -> EquipmentForm:
    """The boxes with what was typed, or empty."""
    return EquipmentForm(typed, prefix=PREFIX)


def form_of_row(row: Equipment) -> EquipmentForm:
    """The boxes with the stored model; questions about it are answered as they were."""
    raw = _raw(row, PREFIX)
    for doubt in _doubts(row):
        name = f"{PREFIX}-{doubt.name}"
        raw[f"{name}-meant"] = raw.get(f"{name}-meant") or _reading(doubt, row).answer(raw[name])
    return form_of(raw)


def _doubts(row: Equipment) -> Iterator[Doubt]:
    """Doubtful figures of a model: kVA below its kW, or a current far below them."""
    if not row.rated_w:
        return
    capacity = _beside("rated_w", row.rated_w)
    if row.rated_va and row.rated_va < row.rated_w:
        amount = _beside("rated_va", row.rated_va)
        yield Doubt(
            "rated_va",
            f"{amount} is less than the registered capacity of {capacity}, and no power factor "
            "makes more kW than kVA",
            amount,
        )
    if not row.rated_ma or not row.phases:
        return
    carried_w = row.rated_ma * _NOMINAL_V * row.phases // 1000
    if carried_w < _LEAST_CURRENT * row.rated_w:
        amount = _beside("rated_ma", row.rated_ma)
        on = "on one phase" if row.phases == 1 else f"on each of {row.phases} phases"
        yield Doubt(
            "rated_ma",
            f"{amount} {on} is {_beside('rated_w', carried_w)} at {_NOMINAL_V} V, far below the "
            f"registered capacity of {capacity}",
            amount,
        )


def _reading(doubt: Doubt, row: Equipment) -> Reading:
    """The reading that confirms the amount with this capacity, and with no other."""
    return Reading(f"{doubt.amount}{_with(row)}", None)


def _with(row: Equipment) -> str:
    return f", with {_beside('rated_w', row.rated_w)}{_REGISTERED}"


def _beside(name: str, value: Any) -> str:
    box = RATED_BOXES[name]
    return f"{box.write(value)} {box.beside}"


def raw_of_unit(row: Equipment, prefix: str) -> dict[str, str]:
    """Texts of a unit's boxes, under this prefix, with the values of a model.

    The model does not say which phase a single-phase unit is on.
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
