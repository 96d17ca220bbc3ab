"""Rows of plant on the sheet: units, panels, cells, boards, devices, cables, loads, clamps, limits.

The fact declares label, unit and band of its box. A box asks about an amount outside its band and
does not refuse it.
"""

from typing import Any

from connections.facts import site as facts
from connections.facts.declaring import Choices, Fact
from connections.facts.plausible import odd_panel_w, panel_band_w
from connections.rules.figures import tenths
from sites.catalogue.boxes import CERTIFICATES, RATED_BOXES
from sites.house.boxes.amounts import Measure, in_unit, with_unit
from sites.house.boxes.choices import LOAD_PHASES, UNIT_PHASES
from sites.house.boxes.entries_box import EntriesBox, NumberOrEntriesBox
from sites.house.boxes.fields import (
    Box,
    ChoiceBox,
    CountBox,
    DayBox,
    DayOrMonthBox,
    HiddenBox,
    LinesBox,
    TickBox,
    WordsBox,
    YesNoBox,
    refuse_control_characters,
)
from sites.house.boxes.layout import Boxes, Layout, More
from sites.house.boxes.quantity_box import QuantityBox
from sites.house.boxes.sheet_form import RowForm, SheetForm
from sites.house.boxes.size_box import SizeBox
from sites.house.boxes.ticks_box import TicksBox
from sites.house.boxes.typed import AskedError, Reading, settle
from sites.premises.forms.protection_settings import SettingsBox
from sites.premises.models import OVERRIDABLE


class UnitForm(RowForm):
    """A line of like generating units."""

    noun = "Unit"
    defaults = {"quantity": "1"}  # noqa: RUF012 (read only)
    was = HiddenBox("Name when saved")
    source = RATED_BOXES["source"]
    label = WordsBox.of(facts.Unit, "id", longest=60, width="short")
    quantity = CountBox.of(facts.Unit, "quantity", width="short")
    rated_w = RATED_BOXES["rated_w"]
    phases = ChoiceBox.of(facts.Unit, "phases", choices=UNIT_PHASES, nothing="choose")
    maker = WordsBox.of(facts.Unit, "maker")
    model = WordsBox.of(facts.Unit, "model")
    type_tested = RATED_BOXES["type_tested"]
    standard = RATED_BOXES["standard"]
    type_test_reference = RATED_BOXES["type_test_reference"]
    certificate_rated_w = RATED_BOXES["certificate_rated_w"]
    certificate_until = RATED_BOXES["certificate_until"]
    further_certificates = RATED_BOXES["further_certificates"]
    can_island = RATED_BOXES["can_island"]
    plugged_in = YesNoBox.of(facts.Unit, "plugged_in")
    design_w = RATED_BOXES["design_w"]
    limited_by = ChoiceBox.of(facts.Unit, "limited_by", nothing="not stated")
    rated_va = RATED_BOXES["rated_va"]
    rated_ma = RATED_BOXES["rated_ma"]
    q_var = QuantityBox.of(facts.Unit, "q_var", signed=True)
    kind = ChoiceBox.of(facts.Unit, "kind", nothing="taken as an inverter")
    operating_mode = ChoiceBox.of(
        facts.Unit, "operating_mode", nothing="taken as long-term parallel"
    )
    feeds_from = WordsBox.of(facts.Unit, "feeds_from", longest=60)
    serials = LinesBox.of(facts.Unit, "serials")
    planned_on = DayBox.of(facts.Unit, "planned_on", back=1, ahead=5)
    commissioned_on = DayOrMonthBox.of(facts.Unit, "commissioned_on", back=60, ahead=0)
    emission_standards = TicksBox.of(facts.Unit, "emission_standards", none="none of them")
    max_impedance_uohm = QuantityBox.of(facts.Unit, "max_impedance_uohm")
    dc_input_w = QuantityBox.of(facts.Unit, "dc_input_w")
    dc_inputs = EntriesBox.of(
        facts.Unit,
        "dc_inputs",
        entry=facts.DcInput,
        noun="DC input",
        first="tracker",
        once=True,
        width="long",
    )
    panel_electronics = ChoiceBox.of(facts.Unit, "panel_electronics")
    layout_quality = More(
        "emission_standards", "max_impedance_uohm", title="Harmonics, flicker and supply impedance"
    )
    layout_dc = More("dc_input_w", "dc_inputs", title="DC side")
    layout_more = More(
        "plugged_in",
        "design_w",
        "limited_by",
        "panel_electronics",
        "rated_va",
        "rated_ma",
        "q_var",
        "kind",
        "operating_mode",
        "feeds_from",
        "serials",
        title="More about this unit",
    )


_SHOWN = (
    "source",
    "rated_w",
    "quantity",
    "phases",
    "label",
    "type_tested",
    "standard",
    "type_test_reference",
    "can_island",
    "maker",
    "model",
)


class ExistingUnitForm(UnitForm):
    """An existing unit; a tick says that the design removes it."""

    goes = TickBox("Taken out by this design")
    layout = Layout(
        Boxes(*_SHOWN[:-2], "commissioned_on", *_SHOWN[-2:], "goes"),
        CERTIFICATES,
        UnitForm.layout_quality,
        UnitForm.layout_dc,
        More(*UnitForm.layout_more.fields, "planned_on", title=UnitForm.layout_more.title),
    )


class ProposedUnitForm(UnitForm):
    """A unit that the design proposes; dated when the work is done."""

    layout = Layout(
        Boxes(*_SHOWN),
        CERTIFICATES,
        UnitForm.layout_quality,
        UnitForm.layout_dc,
        More(
            *UnitForm.layout_more.fields,
            "planned_on",
            "commissioned_on",
            title=UnitForm.layout_more.title,
        ),
    )


_OF_PANEL = (
    "panel_peak_w",
    "panel_voc_mv",
    "panel_vmp_mv",
    "panel_isc_ma",
    "panel_imp_ma",
    "panel_voc_ppm_k",
    "panel_isc_ppm_k",
)


class ArrayForm(RowForm):
    """Panels behind a unit."""

    noun = "Panels"
    peak_w = QuantityBox.of(facts.Array, "peak_w")
    panels = CountBox.of(facts.Array, "panels", width="short")
    tilt_deg = QuantityBox.of(facts.Array, "tilt_deg")
    azimuth_deg = QuantityBox.of(facts.Array, "azimuth_deg")
    unit_id = WordsBox.of(facts.Array, "unit_id", longest=60, suggestions="units")
    strings = NumberOrEntriesBox.of(
        facts.Array, "strings", entry=facts.PanelString, noun="kind of string"
    )
    panel_peak_w = QuantityBox.of(facts.Panel, "peak_w")
    panel_voc_mv = QuantityBox.of(facts.Panel, "voc_mv")
    panel_vmp_mv = QuantityBox.of(facts.Panel, "vmp_mv")
    panel_isc_ma = QuantityBox.of(facts.Panel, "isc_ma")
    panel_imp_ma = QuantityBox.of(facts.Panel, "imp_ma")
    panel_voc_ppm_k = QuantityBox.of(facts.Panel, "voc_ppm_k", signed=True)
    panel_isc_ppm_k = QuantityBox.of(facts.Panel, "isc_ppm_k", signed=True)
    commissioned_on = DayOrMonthBox.of(facts.Array, "commissioned_on", back=60, ahead=0)
    layout = Layout(
        Boxes("peak_w", "panels", "azimuth_deg", "tilt_deg", "unit_id"),
        More(*_OF_PANEL, title="Data of one panel"),
        More("strings", "commissioned_on", title="More about these panels"),
    )

    def clean(self) -> dict[str, Any]:
        """Ask about panels that are no likely ones, at their number."""
        said: dict[str, Any] = self.cleaned_data
        try:
            if reading := _odd_panels(said.get("peak_w"), said.get("panels")):
                low, high = panel_band_w()
                settle(
                    self.typed("panels"),
                    f"{reading.words} is not usual, {low} to {high} W is; mend number or peak "
                    "power, or say that it is meant",
                    [reading],
                )
        except AskedError as asked:
            self.add_error("panels", asked)
        return said

    @classmethod
    def answers(cls, row: Any) -> dict[str, str]:
        """The answer about panels that are no likely ones."""
        reading = _odd_panels(row.peak_w, row.panels)
        return {"panels": reading.answer(str(row.panels))} if reading else {}


def _odd_panels(peak_w: int | None, panels: int | None) -> Reading | None:
    each = odd_panel_w(peak_w, panels)
    return None if each is None else Reading(f"{panels} panels of {tenths(each)} W", panels)


class CellsForm(RowForm):
    """Storage cells behind a unit."""

    noun = "Cells"
    usable_wh = QuantityBox.of(facts.Storage, "usable_wh")
    charge_w = QuantityBox.of(facts.Storage, "charge_w")
    discharge_w = QuantityBox.of(facts.Storage, "discharge_w")
    charges_from_grid = YesNoBox.of(facts.Storage, "charges_from_grid")
    exports = YesNoBox.of(facts.Storage, "exports")
    tap = ChoiceBox.of(facts.Storage, "tap", width="long")
    unit_id = WordsBox.of(facts.Storage, "unit_id", longest=60, suggestions="units")
    commissioned_on = DayOrMonthBox.of(facts.Storage, "commissioned_on", back=60, ahead=0)
    layout = Layout(
        Boxes("usable_wh", "charge_w", "discharge_w", "charges_from_grid", "exports", "unit_id"),
        More("tap", "commissioned_on", title="More about these cells"),
    )


class BoardForm(RowForm):
    """A board."""

    noun = "Board"
    label = WordsBox.of(
        facts.Board,
        "id",
        longest=60,
        required=True,
        suggestions="boards",
        needed="say what the board is called",
    )
    rating_a = QuantityBox.of(facts.Board, "rating_a")
    incoming_a = QuantityBox.of(facts.Board, "incoming_a")
    conditional_a = QuantityBox.of(facts.Board, "conditional_a")
    layout = Layout(
        Boxes("label", "rating_a", "incoming_a"),
        More("conditional_a", title="More about this board"),
    )


class ProtectionForm(RowForm):
    """A protective device."""

    noun = "Device"
    kind = WordsBox.of(
        facts.Protection,
        "kind",
        longest=60,
        required=True,
        suggestions="devices",
        needed="say what it is",
    )
    serves = WordsBox.of(facts.Protection, "serves", longest=60, suggestions="units")
    rating_a = QuantityBox.of(facts.Protection, "rating_a")
    rcd_type = WordsBox.of(facts.Protection, "rcd_type", longest=60, suggestions="rcd-types")
    direction = WordsBox.of(facts.Protection, "direction", longest=60, suggestions="directions")
    reference = WordsBox.of(facts.Protection, "reference")
    settings = SettingsBox.of(facts.Protection, "settings", width="long")
    trip_ma = QuantityBox.of(facts.Protection, "trip_ma")
    breaking_a = QuantityBox.of(facts.Protection, "breaking_a")
    location = WordsBox.of(facts.Protection, "place")
    lockable = YesNoBox.of(facts.Protection, "lockable")
    breaker_type = ChoiceBox.of(facts.Protection, "breaker_type", nothing="as its name says")
    layout = Layout(
        Boxes("kind", "serves", "rating_a"),
        More(
            "location",
            "lockable",
            "breaker_type",
            "breaking_a",
            "rcd_type",
            "trip_ma",
            "direction",
            "reference",
            "settings",
            title="More about this device",
        ),
    )


class CableForm(RowForm):
    """A run of cable."""

    noun = "Cable"
    from_board = WordsBox.of(
        facts.Cable, "from_", longest=60, required=True, needed="say where it starts"
    )
    to_board = WordsBox.of(facts.Cable, "to", longest=60, required=True, needed="say where it ends")
    length_mm = QuantityBox.of(facts.Cable, "length_mm")
    csa_mm2 = SizeBox.of(facts.Cable, "csa_mm2", suggestions="sizes")
    protective_mm2 = SizeBox.of(facts.Cable, "protective_mm2", suggestions="sizes")
    unit_id = WordsBox.of(facts.Cable, "unit_id", longest=60, suggestions="units")
    material = WordsBox.of(facts.Cable, "material", longest=60, suggestions="materials")
    insulation = WordsBox.of(facts.Cable, "insulation", longest=60, suggestions="insulations")
    cores = CountBox.of(facts.Cable, "cores", width="short")
    method = WordsBox.of(facts.Cable, "method", longest=60, suggestions="methods")
    ambient_c = QuantityBox.of(facts.Cable, "ambient_c")
    grouped = CountBox.of(facts.Cable, "grouped", width="short")
    capacity_a = QuantityBox.of(facts.Cable, "capacity_a")
    layout = Layout(
        Boxes("from_board", "to_board", "length_mm", "csa_mm2", "unit_id"),
        More(
            "protective_mm2",
            "material",
            "insulation",
            "cores",
            "method",
            "ambient_c",
            "grouped",
            "capacity_a",
            title="More about this cable",
        ),
    )


class LoadForm(RowForm):
    """A large load."""

    noun = "Load"
    name = WordsBox.of(
        facts.Load, "name", required=True, suggestions="loads", needed="say what it is"
    )
    w = QuantityBox.of(facts.Load, "w")
    phases = ChoiceBox.of(facts.Load, "phases", choices=LOAD_PHASES)
    controllable = YesNoBox.of(facts.Load, "controllable")
    kind = ChoiceBox.of(facts.Load, "kind", nothing="as its name says")
    layout = Layout(Boxes("name", "w", "phases", "controllable", "kind"))


class ReaderBox(WordsBox):
    """What reads a clamp: a unit by its name, or a limit by one of the choices."""

    def __init__(self, label: str, choices: Choices, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self._limits = dict(choices)

    @classmethod
    def said_of(cls, fact: Fact) -> dict[str, Any]:
        """Arguments of the box that the fact gives."""
        return {**super().said_of(fact), "choices": fact.choices}

    def read(self, typed: Any) -> str:
        """The name of a unit, or the word of a limit. Raises ValidationError."""
        text = super().read(typed)
        said = text.casefold()
        return next((word for word, words in self._limits.items() if said in (word, words)), text)

    def write(self, value: object) -> str:
        """The name of a unit, or the words of a limit."""
        return self._limits.get(str(value), super().write(value))

    def names_limit(self, value: str) -> bool:
        """Whether this is the word of a limit."""
        return value in self._limits


class ClampForm(RowForm):
    """A current clamp."""

    noun = "Clamp"
    location = ChoiceBox.of(facts.Clamp, "place")
    serves = ReaderBox.of(facts.Clamp, "serves", longest=60, suggestions="readers")
    phase = ChoiceBox.of(facts.Clamp, "phase")
    direction = ChoiceBox.of(facts.Clamp, "direction")
    link = ChoiceBox.of(facts.Clamp, "link")
    label = WordsBox.of(facts.Clamp, "id", longest=60, width="short")
    layout = Layout(Boxes("location", "serves", "phase", "direction", "link", "label"))


class AmountBox(Box):
    """An amount whose unit is chosen in the next box; the form reads it."""

    numeric = True
    empty = None

    def read(self, typed: Any) -> Any:
        """Return the text as typed; only the form knows the unit."""
        return typed.text


_BASIS = {
    "ma_per_phase": ("mA", "A", 1_000, 400_000),
    "w_total": ("W", "kW", 100, 1_000_000),
    "va_total": ("VA", "kVA", 100, 1_000_000),
}
"""Unit stored, unit typed, and plausible band in the stored unit (our own choice)."""


class _Amount(SheetForm):
    """A limit: an amount with its basis."""

    def clean_value(self) -> Any:
        """Return the amount in whole mA, W or VA, by the chosen basis. Raises ValidationError."""
        if not self.cleaned_data["value"]:
            return None
        basis = self.cleaned_data.get("basis") or "ma_per_phase"
        unit, beside, low, high = _BASIS[basis]
        typed = self.typed("value")
        typed = typed._replace(text=typed.text.strip())
        return Measure(unit, beside, zero=True, band=(low, high)).read(typed)


def written_amount(value: int | None, basis: str) -> str:
    """Return a limit as its box shows it."""
    if value is None:
        return ""
    unit, beside, _low, _high = _BASIS[basis]
    return in_unit(value, unit, beside)


class LimitForm(_Amount):
    """An export or import limit of a limitation scheme."""

    defaults = {"basis": "ma_per_phase"}  # noqa: RUF012 (read only)
    basis = ChoiceBox.of(facts.Limit, "basis", nothing="choose")
    value = AmountBox.of(facts.Limit, "value")
    type_tested = YesNoBox.of(facts.Limit, "type_tested")
    type_test_reference = WordsBox.of(facts.Limit, "type_test_reference")
    response_ms = QuantityBox.of(facts.Limit, "response_ms")
    fail_safe = YesNoBox.of(facts.Limit, "fail_safe")
    nets_phases = YesNoBox.of(facts.Limit, "nets_phases")
    measured_at = WordsBox.of(facts.Limit, "measured_at", suggestions="measuring-points")
    ct_position = WordsBox.of(facts.Limit, "ct_position", width="long")
    controls = LinesBox.of(facts.Limit, "controls")
    layout = Layout(
        Boxes(
            "value",
            "basis",
            "type_tested",
            "type_test_reference",
            "response_ms",
            "fail_safe",
            "measured_at",
        ),
        More("controls", "ct_position", "nets_phases", title="More about this limit"),
    )

    @property
    def counts(self) -> bool:
        """Whether a limit is stated."""
        return not self.is_blank


class ExistingLimitForm(LimitForm):
    """A limit that is held already."""

    commissioned_on = DayBox.of(facts.Limit, "commissioned_on", back=60, ahead=0)
    layout = Layout(
        Boxes(*LimitForm.layout.fields[0].fields, "commissioned_on"), LimitForm.layout.fields[1]
    )


class ProposedLimitForm(ExistingLimitForm):
    """A limit that the design sets; dated when the work is done."""

    layout = Layout(
        LimitForm.layout.fields[0],
        More(*LimitForm.layout.fields[1].fields, "commissioned_on", title="More about this limit"),
    )


def _figure_band(unit: str) -> tuple[str, int, int]:
    """Return the unit typed, and the plausible band in the unit stored (our own choice)."""
    return {
        "mV": ("V", 200_000, 260_000),
        "thousandths": ("", 1, 5_000),
        "celsius": ("°C", 1, 120),
        "uohm": ("mohm", 1, 1_000),
        "ms": ("s", 1, 5_000),
        "A": ("kA", 100, 50_000),
    }[unit]


def written_figure(value: int | None, default: str) -> str:
    """Return an engineer's figure as its box shows it, with its unit."""
    if value is None or default not in OVERRIDABLE:
        return "" if value is None else str(value)
    unit = OVERRIDABLE[default].unit
    beside, _low, _high = _figure_band(unit)
    return with_unit(in_unit(value, unit, beside), beside)


class OverrideForm(RowForm):
    """An engineer's figure in place of a default."""

    noun = "Own figure"
    default = ChoiceBox.of(
        facts.Override,
        "key",
        choices=tuple((key, default.words) for key, default in OVERRIDABLE.items()),
        nothing="choose",
        required=True,
        needed="say which default it stands in place of",
        width="long",
    )
    value = AmountBox.of(facts.Override, "value", required=True, needed="write the figure")
    reason = WordsBox.of(
        facts.Override,
        "reason",
        required=True,
        needed="say why this figure holds here",
        width="long",
    )
    layout = Layout(Boxes("default", "value", "reason"))

    def clean_value(self) -> Any:
        """Return the figure in the whole unit of its default. Raises ValidationError."""
        default = OVERRIDABLE.get(self.cleaned_data.get("default", ""))
        if default is None:
            refuse_control_characters(self.cleaned_data["value"])
            return None
        beside, low, high = _figure_band(default.unit)
        typed = self.typed("value")
        typed = typed._replace(text=typed.text.strip())
        signed = default.unit == "celsius"
        return Measure(default.unit, beside, signed, zero=True, band=(low, high)).read(typed)


class CapForm(_Amount, RowForm):
    """A cap that the operator answered with."""

    noun = "Answer"
    defaults = {"basis": "ma_per_phase"}  # noqa: RUF012 (read only)
    on = ChoiceBox.of(facts.Cap, "on", nothing="choose", required=True, needed="say what it caps")
    basis = ChoiceBox.of(facts.Cap, "basis", nothing="choose", required=True)
    value = AmountBox.of(
        facts.Cap, "value", required=True, needed="write the figure that the operator gave"
    )
    from_operator_reference = WordsBox.of(facts.Cap, "from_operator_reference")
    until = DayBox.of(facts.Cap, "until", back=5, ahead=20)
    split_equally = YesNoBox.of(facts.Cap, "split_equally")
    layout = Layout(
        Boxes("on", "value", "basis", "split_equally", "from_operator_reference", "until")
    )
