"""The rows of plant on the sheet: units, panels, cells, boards, protection, cables, loads, limits.

Bands are what is plausible in a home or a small business: our own choice. An amount outside is
asked about, not refused.
"""

from typing import Any

from sites.catalogue.boxes import RATED_BOXES
from sites.house.boxes.amounts import Measure, in_unit, with_unit
from sites.house.boxes.choices import (
    BASES,
    CAPPED,
    EMISSION_STANDARDS,
    KINDS,
    LIMITED_BY,
    LOAD_KINDS,
    LOAD_PHASES,
    MODES,
    UNIT_PHASES,
)
from sites.house.boxes.fields import (
    Box,
    ChoiceBox,
    CountBox,
    DayBox,
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
from sites.premises.forms.protection_settings import SettingsBox
from sites.premises.models import OVERRIDABLE

_BEHIND = "empty: the only one that fits"


class UnitForm(RowForm):
    """A line of like generating units."""

    noun = "Unit"
    defaults = {"quantity": "1"}  # noqa: RUF012 (read only)
    was = HiddenBox("Name when saved")
    source = RATED_BOXES["source"]
    label = WordsBox("Name", longest=60, width="short", hint="empty: given for you")
    quantity = CountBox("Number", low=1, high=500, width="short", hint="of like units")
    rated_w = RATED_BOXES["rated_w"]
    phases = ChoiceBox(
        "Phases", UNIT_PHASES, nothing="choose", hint="of one unit; single-phase: L1"
    )
    maker = WordsBox("Maker")
    model = WordsBox("Model")
    type_tested = RATED_BOXES["type_tested"]
    standard = RATED_BOXES["standard"]
    type_test_reference = RATED_BOXES["type_test_reference"]
    can_island = RATED_BOXES["can_island"]
    design_w = RATED_BOXES["design_w"]
    limited_by = ChoiceBox("Held down by", LIMITED_BY, nothing="nothing said")
    rated_va = RATED_BOXES["rated_va"]
    rated_ma = RATED_BOXES["rated_ma"]
    q_var = QuantityBox(
        "Reactive power",
        "var",
        beside="kvar",
        low=1,
        high=100_000,
        signed=True,
        zero=True,
        hint="of one; + for exported",
    )
    kind = ChoiceBox("Kind", KINDS, nothing="taken as an inverter")
    operating_mode = ChoiceBox("Operating mode", MODES, nothing="taken as long-term parallel")
    feeds_from = WordsBox("Fed from board", longest=60)
    serials = LinesBox("Serial numbers", hint="one a line")
    planned_on = DayBox("Planned for", back=1, ahead=5)
    commissioned_on = DayBox("Commissioned", back=60, ahead=0)
    emission_standards = TicksBox(
        "Declared by the maker to keep",
        EMISSION_STANDARDS,
        none="none of them",
        hint="as the declaration or the data sheet says; nothing ticked: not known",
    )
    max_impedance_uohm = QuantityBox(
        "Largest supply impedance",
        "uohm",
        beside="ohm",
        low=5_000,
        high=3_000_000,
        hint="up to which it keeps them, if the maker names one",
    )
    dc_input_w = QuantityBox(
        "Largest input from panels",
        "W",
        beside="kW",
        low=50,
        high=300_000,
        hint="DC, of one unit",
    )
    layout_quality = More(
        "emission_standards", "max_impedance_uohm", title="Harmonics, flicker and supply impedance"
    )
    layout_more = More(
        "design_w",
        "limited_by",
        "dc_input_w",
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
    """A unit that is there; a tick says that it goes with this design."""

    goes = TickBox("Taken out by this design")
    layout = Layout(
        Boxes(*_SHOWN[:-2], "commissioned_on", *_SHOWN[-2:], "goes"),
        UnitForm.layout_quality,
        More(*UnitForm.layout_more.fields, "planned_on", title=UnitForm.layout_more.title),
    )


class ProposedUnitForm(UnitForm):
    """A unit of the design. It has its date of commissioning once the work is done."""

    layout = Layout(
        Boxes(*_SHOWN),
        UnitForm.layout_quality,
        More(
            *UnitForm.layout_more.fields,
            "planned_on",
            "commissioned_on",
            title=UnitForm.layout_more.title,
        ),
    )


class ArrayForm(RowForm):
    """Panels behind a unit."""

    noun = "Panels"
    peak_w = QuantityBox("Peak power", "Wp", beside="kWp", low=100, high=500_000)
    panels = CountBox("Panels", low=1, high=2_000, width="short")
    tilt_deg = QuantityBox(
        "Tilt",
        "degrees",
        beside="°",
        low=1,
        high=90,
        most=90,
        zero=True,
        hint="0 flat, 90 upright",
    )
    azimuth_deg = QuantityBox(
        "Facing",
        "degrees",
        beside="°",
        low=1,
        high=360,
        most=360,
        zero=True,
        hint="180 is south",
    )
    unit_id = WordsBox("Behind inverter", longest=60, suggestions="units", hint=_BEHIND)
    strings = CountBox("Strings", low=1, high=200, width="short")
    layout = Layout(
        Boxes("peak_w", "panels", "azimuth_deg", "tilt_deg", "unit_id"),
        More("strings", title="More about these panels"),
    )


class CellsForm(RowForm):
    """Storage cells behind a unit."""

    noun = "Cells"
    usable_wh = QuantityBox("Usable energy", "Wh", beside="kWh", low=300, high=1_000_000)
    charge_w = QuantityBox("Charging power", "W", beside="kW", low=100, high=500_000)
    discharge_w = QuantityBox("Discharging power", "W", beside="kW", low=100, high=500_000)
    charges_from_grid = YesNoBox("Charges from grid")
    exports = YesNoBox("Exports to grid")
    unit_id = WordsBox("Behind inverter", longest=60, suggestions="units", hint=_BEHIND)
    layout = Layout(
        Boxes("usable_wh", "charge_w", "discharge_w", "charges_from_grid", "exports", "unit_id")
    )


class BoardForm(RowForm):
    """A board."""

    noun = "Board"
    label = WordsBox(
        "Board",
        longest=60,
        required=True,
        suggestions="boards",
        needed="say what the board is called",
        hint="the name that units, devices and cables give it",
    )
    rating_a = QuantityBox(
        "Rating of the board",
        "A",
        beside="A",
        low=32,
        high=1_600,
        hint="of the assembly, from its label",
    )
    incoming_a = QuantityBox(
        "Incoming device",
        "A",
        beside="A",
        low=16,
        high=1_600,
        hint="what feeds it from the supply",
    )
    layout = Layout(Boxes("label", "rating_a", "incoming_a"))


class ProtectionForm(RowForm):
    """A protective device."""

    noun = "Device"
    kind = WordsBox(
        "Device", longest=60, required=True, suggestions="devices", needed="say what it is"
    )
    serves = WordsBox("Serves", longest=60, suggestions="units", hint="a unit, a board or a load")
    rating_a = QuantityBox("Rating", "A", beside="A", low=1, high=630)
    rcd_type = WordsBox("Type of RCD", longest=60, suggestions="rcd-types")
    direction = WordsBox("Direction", longest=60, suggestions="directions")
    reference = WordsBox("Reference")
    settings = SettingsBox("Settings as found")
    trip_ma = QuantityBox(
        "Rated residual current", "mA", beside="mA", low=6, high=1_000, hint="of an RCD or RCBO"
    )
    breaking_a = QuantityBox(
        "Breaking capacity",
        "A",
        beside="kA",
        low=1_000,
        high=100_000,
        hint="the fault current that it can break",
    )
    layout = Layout(
        Boxes("kind", "serves", "rating_a"),
        More(
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
    from_board = WordsBox("From", longest=60, required=True, needed="say where it starts")
    to_board = WordsBox("To", longest=60, required=True, needed="say where it ends")
    length_mm = QuantityBox("Length", "mm", beside="m", low=300, high=500_000)
    csa_mm2 = SizeBox("Size", beside="mm²", suggestions="sizes")
    unit_id = WordsBox("For unit", longest=60, suggestions="units")
    material = WordsBox("Conductor", longest=60, suggestions="materials")
    insulation = WordsBox("Insulation", longest=60, suggestions="insulations")
    cores = CountBox("Cores", low=1, high=5, highest=100, width="short")
    method = WordsBox("Reference method", longest=60, suggestions="methods")
    ambient_c = QuantityBox(
        "Temperature around it",
        "celsius",
        beside="°C",
        low=5,
        high=60,
        zero=True,
        hint="empty: 30 in air, 20 in the ground",
    )
    grouped = CountBox(
        "Circuits run together",
        low=1,
        high=20,
        highest=1_000,
        width="short",
        hint="this one counted",
    )
    capacity_a = QuantityBox(
        "Current-carrying capacity",
        "A",
        beside="A",
        low=5,
        high=1_000,
        hint="the designer's own figure as laid; empty: from the tables",
    )
    layout = Layout(
        Boxes("from_board", "to_board", "length_mm", "csa_mm2", "unit_id"),
        More(
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
    name = WordsBox("Load", required=True, suggestions="loads", needed="say what it is")
    w = QuantityBox("Power", "W", beside="kW", low=300, high=200_000)
    phases = ChoiceBox("Phases", LOAD_PHASES)
    controllable = YesNoBox("Can be turned down")
    kind = ChoiceBox("Kind of load", LOAD_KINDS, nothing="as its name says")
    layout = Layout(Boxes("name", "w", "phases", "controllable", "kind"))


class AmountBox(Box):
    """An amount whose unit is chosen in the box beside it; read by the form."""

    numeric = True
    empty = None

    def read(self, typed: Any) -> Any:
        """The text; the form knows the unit."""
        return typed.text


_BASIS = {
    "ma_per_phase": ("mA", "A", 1_000, 400_000),
    "w_total": ("W", "kW", 100, 1_000_000),
    "va_total": ("VA", "kVA", 100, 1_000_000),
}
"""Unit kept, unit typed, and the plausible band in the unit kept (our own choice)."""


class _Amount(SheetForm):
    """A limit: an amount with its basis."""

    def clean_value(self) -> Any:
        """The amount in whole mA, W or VA, by the basis chosen. Raises ValidationError."""
        if not self.cleaned_data["value"]:
            return None
        basis = self.cleaned_data.get("basis") or "ma_per_phase"
        unit, beside, low, high = _BASIS[basis]
        typed = self.typed("value")
        typed = typed._replace(text=typed.text.strip())
        return Measure(unit, beside, zero=True, band=(low, high)).read(typed)


def written_amount(value: int | None, basis: str) -> str:
    """A limit as it stands in its box."""
    if value is None:
        return ""
    unit, beside, _low, _high = _BASIS[basis]
    return in_unit(value, unit, beside)


class LimitForm(_Amount):
    """An export or import limit of a limitation scheme."""

    defaults = {"basis": "ma_per_phase"}  # noqa: RUF012 (read only)
    basis = ChoiceBox("Limit is on", BASES, nothing="choose")
    value = AmountBox("Limit")
    type_tested = YesNoBox("Fully type tested")
    type_test_reference = WordsBox("Type-test reference")
    response_ms = QuantityBox("Responds within", "ms", beside="s", low=10, high=60_000)
    fail_safe = YesNoBox("Fail-safe")
    nets_phases = YesNoBox("Adds the phases against each other")
    measured_at = WordsBox("Measured at", suggestions="measuring-points")
    ct_position = WordsBox("Position of the current transformers", width="long")
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
        More("ct_position", "nets_phases", title="More about this limit"),
    )

    @property
    def counts(self) -> bool:
        """Whether a limit is stated."""
        return not self.is_blank


class ExistingLimitForm(LimitForm):
    """A limit that is kept already."""

    commissioned_on = DayBox("Proved on", back=60, ahead=0)
    layout = Layout(
        Boxes(*LimitForm.layout.fields[0].fields, "commissioned_on"), LimitForm.layout.fields[1]
    )


class ProposedLimitForm(ExistingLimitForm):
    """A limit that the design sets; the date comes after the work."""

    layout = Layout(
        LimitForm.layout.fields[0],
        More("ct_position", "nets_phases", "commissioned_on", title="More about this limit"),
    )


def _figure_band(unit: str) -> tuple[str, int, int]:
    """Unit typed, and the plausible band in the unit kept (our own choice)."""
    return {
        "mV": ("V", 200_000, 260_000),
        "thousandths": ("", 1, 5_000),
        "celsius": ("°C", 1, 120),
        "uohm": ("mohm", 1, 1_000),
        "ms": ("s", 1, 5_000),
        "A": ("kA", 100, 50_000),
    }[unit]


def written_figure(value: int | None, default: str) -> str:
    """A figure in place of a default as it stands in its box, with its unit."""
    if value is None or default not in OVERRIDABLE:
        return "" if value is None else str(value)
    unit = OVERRIDABLE[default].unit
    beside, _low, _high = _figure_band(unit)
    return with_unit(in_unit(value, unit, beside), beside)


class OverrideForm(RowForm):
    """An engineer's figure in place of a default."""

    noun = "Own figure"
    default = ChoiceBox(
        "In place of the",
        tuple((key, default.words) for key, default in OVERRIDABLE.items()),
        nothing="choose",
        required=True,
        needed="say which default it stands in place of",
        width="long",
    )
    value = AmountBox(
        "Figure", required=True, needed="write the figure", hint="with its unit, as in 70 °C"
    )
    reason = WordsBox(
        "Reason", required=True, needed="say why this figure holds here", width="long"
    )
    layout = Layout(Boxes("default", "value", "reason"))

    def clean_value(self) -> Any:
        """The figure in the whole unit of its default. Raises ValidationError."""
        default = OVERRIDABLE.get(self.cleaned_data.get("default", ""))
        if default is None:
            refuse_control_characters(self.cleaned_data["value"])
            return None
        beside, low, high = _figure_band(default.unit)
        typed = self.typed("value")
        typed = typed._replace(text=typed.text.strip())
        return Measure(default.unit, beside, zero=True, band=(low, high)).read(typed)


class CapForm(_Amount, RowForm):
    """What the operator has answered."""

    noun = "Answer"
    defaults = {"basis": "ma_per_phase"}  # noqa: RUF012 (read only)
    on = ChoiceBox("Caps", CAPPED, nothing="choose", required=True, needed="say what it caps")
    basis = ChoiceBox("Counted as", BASES, nothing="choose", required=True)
    value = AmountBox("Cap", required=True, needed="write the figure that the operator gave")
    from_operator_reference = WordsBox("Operator's reference")
    until = DayBox("Valid until", back=5, ahead=20)
    split_equally = YesNoBox("Each phase its share only")
    layout = Layout(
        Boxes("on", "value", "basis", "split_equally", "from_operator_reference", "until")
    )
