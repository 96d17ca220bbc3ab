"""The sheet as a whole: names, what sits behind what, rows that are empty, gone or renamed."""

import json
from pathlib import Path
from typing import get_args

import pytest

from connections.assessing import Assessor
from connections.facts.declaring import declared
from connections.facts.site import Load, LoadKind, Unit
from connections.rulebook.load import load_books
from connections.rules.checks.basis.working import DEFAULTS
from sites.house.boxes.sheet_form import MAX_ROWS
from sites.premises.forms.sheet import Sheet
from sites.premises.forms.written import raw_of
from sites.premises.models import OVERRIDABLE
from sites.premises.reading.site_rows import plain_from
from sites.premises.writing.importing import rows_from_site
from tests.site_files import file, read, unit
from tests.sites.premises.electrical_facts import with_electrical_facts

DEMOS = sorted(Path("sites/desk/demonstration").glob("*.json"))


def typed(*groups: str, **boxes: str) -> dict[str, list[str]]:
    """A posted sheet: `proposed_units_0__source="pv"`; `groups` as "proposed-units=2"."""
    raw = {"case-reference": ["R"], "supply-phases": ["1"]}
    for group in groups:
        name, _, count = group.partition("=")
        raw[f"{name}-TOTAL_FORMS"] = [count]
    for name, text in boxes.items():
        prefix, _, box = name.partition("__")
        raw[f"{prefix.replace('_', '-')}-{box}"] = [text]
    return raw


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_sheet_written_from_rows_gives_the_same_facts(path):
    rows = rows_from_site(Assessor().site(path.read_bytes()))
    sheet = Sheet(raw_of(rows))
    assert sheet.faults() == []
    assert plain_from(sheet.rows) == plain_from(rows)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_sheet_gives_back_what_the_electrical_checks_read(path):
    content = json.dumps(with_electrical_facts(path))
    rows = rows_from_site(Assessor().site(content))
    sheet = Sheet(raw_of(rows))
    assert sheet.faults() == []
    assert plain_from(sheet.rows) == plain_from(rows)


def test_panels_of_27_watts_are_asked_about_once():
    """10.8 kWp / 400 = 27 W; least usual is 30 W."""
    boxes = {"proposed_units_0__source": "pv", "proposed_units_0__rated_w": "3.6"}
    panels = {"proposed_arrays_0__peak_w": "10.8", "proposed_arrays_0__panels": "400"}
    groups = ("proposed-units=1", "proposed-arrays=1")
    (fault,) = Sheet(typed(*groups, **boxes, **panels)).faults()
    assert fault.name == "proposed-arrays-0-panels"
    assert [each.words for each in fault.readings] == ["400 panels of 27 W"]
    said = {"proposed_arrays_0__panels-meant": fault.readings[0].answer("400")}
    sheet = Sheet(typed(*groups, **boxes, **panels, **said))
    assert sheet.faults() == []
    # The answer counts for these panels alone, and comes back with the saved sheet.
    assert Sheet(raw_of(sheet.rows)).faults() == []
    other = {**panels, "proposed_arrays_0__panels": "401"}
    assert len(Sheet(typed(*groups, **boxes, **other, **said)).faults()) == 1


def test_boxes_for_the_electrical_checks():
    raw = typed(
        "proposed-units=1",
        "existing-boards=1",
        "proposed-protection=1",
        "proposed-cables=1",
        "proposed-loads=1",
        proposed_units_0__source="pv",
        proposed_units_0__max_impedance_uohm="0.28",
        proposed_units_0__dc_input_w="5.5",
        existing_boards_0__label="garage",
        existing_boards_0__rating_a="100 A",
        existing_boards_0__incoming_a="80",
        proposed_protection_0__kind="RCBO",
        proposed_protection_0__trip_ma="0.03 A",
        proposed_protection_0__breaking_a="6",
        proposed_cables_0__from_board="garage",
        proposed_cables_0__to_board="pv-1",
        proposed_cables_0__ambient_c="40",
        proposed_cables_0__grouped="2",
        proposed_cables_0__capacity_a="35",
        proposed_loads_0__name="wash house",
        proposed_loads_0__kind="stored-water",
    )
    raw["proposed-units-0-emission_standards"] = ["61000-3-11", "61000-3-12"]
    sheet = Sheet(raw)
    assert sheet.faults() == []
    plain = plain_from(sheet.rows)
    (unit,), (device,), (cable,) = plain["units"], plain["protection"], plain["cables"]
    # In the order of the choices.
    assert unit["emission_standards"] == ["61000-3-12", "61000-3-11"]
    # 0.28 ohm, 5.5 kW, 0.03 A, 6 kA.
    assert (unit["max_impedance_uohm"], unit["dc_input_w"]) == (280_000, 5_500)
    assert (device["trip_ma"], device["breaking_a"]) == (30, 6_000)
    assert (cable["ambient_c"], cable["grouped"], cable["capacity_a"]) == (40, 2, 35)
    assert plain["boards"] == [{"id": "garage", "rating_a": 100, "incoming_a": 80}]
    assert plain["loads"]["items"][0]["kind"] == "stored-water"


def scheme(controls: str) -> Sheet:
    """A sheet with six spread units, a charge point, and an export limit that acts on these."""
    raw = typed(
        "proposed-units=1",
        "existing-loads=1",
        proposed_units_0__source="pv",
        proposed_units_0__label="roof",
        proposed_units_0__phases="spread",
        proposed_units_0__quantity="6",
        existing_loads_0__name="Charge point",
        proposed_export__value="16",
        proposed_export__controls=controls,
    )
    raw["supply-phases"] = ["3"]
    return Sheet(raw)


def test_a_limit_acts_on_the_lines_of_a_unit_and_on_loads():
    sheet = scheme("charge point\nRoof")
    assert sheet.faults() == []
    (limit,) = sheet.rows.proposed.limits
    # Named as they are called; a unit that is spread stands for its lines.
    assert limit.controls.splitlines() == ["Charge point", "roof-L1", "roof-L2", "roof-L3"]


def test_a_limit_that_acts_on_nothing_there_is_told_at_its_box():
    sheet = scheme("heat pump\ncharge point")
    (fault,) = sheet.faults()
    assert fault.target == "id_proposed-export-controls"
    assert fault.message == (
        'no unit or load is called "heat pump"; units here: roof; loads here: Charge point'
    )
    assert sheet.rows.proposed.limits[0].controls == "Charge point"


def clamps(*names: str, **boxes: str) -> Sheet:
    """A sheet with three spread units and clamps with these names; some boxes in a row each."""
    raw = typed(
        "proposed-units=1",
        f"proposed-clamps={len(names)}",
        proposed_units_0__source="pv",
        proposed_units_0__label="roof",
        proposed_units_0__phases="spread",
        proposed_units_0__quantity="3",
        **boxes,
    )
    for i, name in enumerate(names):
        raw[f"proposed-clamps-{i}-label"] = [name]
        raw[f"proposed-clamps-{i}-location"] = ["grid"]
    raw["supply-phases"] = ["3"]
    return Sheet(raw)


def test_a_clamp_is_read_by_the_unit_on_its_phase_or_by_a_limit():
    sheet = clamps(
        *("", "ct-1", ""),
        proposed_clamps_0__serves="Roof",
        proposed_clamps_0__phase="L2",
        proposed_clamps_1__serves="Import limit",
        proposed_clamps_1__direction="towards-supply",
        proposed_clamps_2__link="radio",
    )
    assert sheet.faults() == []
    first, second, third = plain_from(sheet.rows)["clamps"]
    # Names are given that nobody typed.
    assert [each["id"] for each in (first, second, third)] == ["ct-2", "ct-1", "ct-3"]
    assert first == {
        "id": "ct-2",
        "place": "grid",
        "serves": "roof-L2",
        "phase": "L2",
        "direction": None,
        "link": None,
    }
    assert (second["serves"], second["direction"]) == ("import-limit", "towards-supply")
    assert (third["serves"], third["link"]) == (None, "radio")


def test_what_is_wrong_with_clamps_is_told_at_their_boxes():
    sheet = clamps("ct-a", "CT-A", proposed_clamps_0__serves="garage")
    unit, name = sheet.faults()
    assert unit.target == "id_proposed-clamps-0-serves"
    assert unit.message == 'no unit is called "garage"; units here: roof'
    assert name.target == "id_proposed-clamps-1-label"
    assert name.message == 'another clamp is called "CT-A"; give it its own name'


def test_a_clamp_of_a_design_replaces_the_one_of_that_name():
    raw = typed(
        "existing-clamps=2",
        "proposed-clamps=1",
        existing_clamps_0__label="tails",
        existing_clamps_0__phase="L1",
        existing_clamps_1__location="pv",
        proposed_clamps_0__label="Tails",
        proposed_clamps_0__phase="L3",
    )
    sheet = Sheet(raw)
    assert sheet.faults() == []
    told = [(each["id"], each["phase"]) for each in plain_from(sheet.rows)["clamps"]]
    assert told == [("Tails", "L3"), ("ct-1", None)]


@pytest.mark.parametrize(("proved", "part"), [("2026-01-01", "existing"), (None, "proposed")])
def test_clamps_of_a_file_stand_with_what_reads_them(proved: str | None, part: str):
    held = {"value": 16_000, "basis": "ma_per_phase"} | (
        {"commissioned_on": proved} if proved else {}
    )
    content = file(
        unit("old", status="existing"),
        unit("new"),
        limits={"export": held},
        clamps=[
            {"id": "a", "serves": "export-limit"},
            {"id": "b", "serves": "old"},
            {"id": "c", "serves": "new"},
        ],
    )
    rows = rows_from_site(read(content))
    assert "a" in [clamp.label for clamp in getattr(rows, part).clamps]
    assert "b" in [clamp.label for clamp in rows.existing.clamps]
    assert "c" in [clamp.label for clamp in rows.proposed.clamps]


@pytest.mark.parametrize(
    ("said", "part", "told"),
    [
        ({"status": "existing"}, "existing", "existing"),
        ({"status": "proposed"}, "proposed", "proposed"),
        ({"status": None}, "proposed", "proposed"),
        ({}, "proposed", "proposed"),
    ],
)
def test_loads_of_a_file_stand_where_their_status_says(said, part, told):
    pump = {"name": "heat pump", "w": 3000, **said}
    rows = rows_from_site(read(file(unit(), loads={"items": [pump]})))
    assert [load.name for load in getattr(rows, part).loads] == ["heat pump"]
    [back] = plain_from(rows)["loads"]["items"]
    assert (back["name"], back["status"]) == ("heat pump", told)


def test_six_thousand_amps_beside_kiloamps_are_asked_about():
    raw = typed("proposed-protection=1", proposed_protection_0__kind="fuse")
    raw["proposed-protection-0-breaking_a"] = ["6000"]
    (fault,) = Sheet(raw).faults()
    assert [reading.words for reading in fault.readings] == ["6000 kA", "6000 A"]
    raw["proposed-protection-0-breaking_a-meant"] = ["6000 = 6000 A"]
    sheet = Sheet(raw)
    assert sheet.faults() == []
    assert sheet.rows.proposed.protection[0].breaking_a == 6_000


def test_ticks_that_contradict_each_other_are_asked_about():
    raw = typed("proposed-units=1", proposed_units_0__source="pv")
    name = "proposed-units-0-emission_standards"
    assert plain_from(Sheet(raw).rows)["units"][0].get("emission_standards") is None
    raw[name] = ["none"]
    assert plain_from(Sheet(raw).rows)["units"][0]["emission_standards"] == []
    raw[name] = ["61000-3-2", "none"]
    (fault,) = Sheet(raw).faults()
    assert fault.target == f"id_{name}"
    assert 'take the tick at "none of them" out' in fault.message


def test_two_boards_of_one_name_are_refused():
    sheet = Sheet(
        typed(
            "existing-boards=2",
            existing_boards_0__label="garage",
            existing_boards_1__label="Garage",
        )
    )
    (fault,) = sheet.faults()
    assert fault.target == "id_existing-boards-1-label"
    assert "another board is called" in fault.message


def test_the_standards_offered_are_those_of_every_edition():
    asked: set[object] = set()
    for edition in load_books().editions:
        for key in ("quality.small_standards", "quality.large_standards"):
            for spell in edition.values[key].spells if key in edition.values else ():
                assert isinstance(spell.amount, tuple)
                asked.update(spell.amount)
    assert {value for value, _words in declared(Unit)["emission_standards"].choices} == asked


def test_the_figures_offered_are_those_that_the_checks_let_be_replaced():
    units: dict[str, set[str]] = {}
    for edition in load_books().editions:
        for key in DEFAULTS.keys() & edition.values.keys():
            units.setdefault(key, set()).add(edition.values[key].unit)
    # A word, such as the material of a conductor, is said at the cable.
    assert {key: {default.unit} for key, default in OVERRIDABLE.items()} == {
        key: found for key, found in units.items() if found != {"text"}
    }


@pytest.mark.parametrize(
    ("default", "text", "value", "again"),
    [
        ("voltage_rise.network_highest", "250.5 V", 250_500, "250.5 V"),
        ("voltage_rise.power_factor", "0.95", 950, "0.95"),
        ("cable.temperature", "60", 60, "60 °C"),
        ("string.coldest", "-10", -10, "-10 °C"),
        ("cable.reactance", "0.09 mohm", 90, "0.09 mohm"),
        ("cable.fault_time", "400 ms", 400, "0.4 s"),
        ("fault.network_single", "6", 6_000, "6 kA"),
    ],
)
def test_an_engineers_figure_is_kept_in_the_unit_of_its_default(default, text, value, again):
    raw = typed(
        "overrides=1",
        overrides_0__default=default,
        overrides_0__value=text,
        overrides_0__reason="measured",
    )
    sheet = Sheet(raw)
    assert sheet.faults() == []
    (row,) = sheet.rows.overrides
    assert (row.default, row.value, row.unit) == (default, value, OVERRIDABLE[default].unit)
    assert raw_of(sheet.rows)["overrides-0-value"] == [again]


def test_an_engineers_figure_needs_a_reason_and_stands_once():
    boxes = {
        f"overrides_{i}__{name}": text
        for i in (0, 1)
        for name, text in (("default", "cable.temperature"), ("value", "60"), ("reason", "cool"))
    }
    (fault,) = Sheet(typed("overrides=2", **boxes)).faults()
    assert fault.target == "id_overrides-1-default"
    assert "keep one of them" in fault.message
    del boxes["overrides_0__reason"]
    (fault,) = Sheet(typed("overrides=1", **boxes)).faults()
    assert (fault.target, fault.needed) == ("id_overrides-0-reason", True)


def test_every_kind_of_load_is_offered():
    assert [value for value, _words in declared(Load)["kind"].choices] == list(get_args(LoadKind))


def test_units_are_named_by_their_source_and_none_twice():
    sheet = Sheet(
        typed(
            "existing-units=1",
            "proposed-units=3",
            existing_units_0__source="pv",
            existing_units_0__label="PV-1",
            proposed_units_0__source="pv",
            proposed_units_1__source="storage",
            proposed_units_2__source="pv+storage",
        )
    )
    assert sheet.faults() == []
    assert [unit.label for unit in sheet.rows.existing.units] == ["PV-1"]
    assert [unit.label for unit in sheet.rows.proposed.units] == ["pv-2", "bat-1", "hyb-1"]
    assert all(unit.phases == "L1" for unit in sheet.rows.proposed.units)


def test_two_units_of_one_name_are_refused():
    sheet = Sheet(
        typed(
            "existing-units=1",
            "proposed-units=1",
            existing_units_0__source="pv",
            existing_units_0__label="roof",
            proposed_units_0__source="pv",
            proposed_units_0__label="ROOF",
        )
    )
    (fault,) = sheet.faults()
    assert fault.target == "id_proposed-units-0-label"
    assert "another unit is called" in fault.message


def test_panels_and_cells_sit_behind_the_only_inverter_that_fits():
    sheet = Sheet(
        typed(
            "existing-units=1",
            "existing-arrays=1",
            "proposed-units=1",
            "proposed-cells=1",
            existing_units_0__source="pv",
            existing_arrays_0__peak_w="4",
            proposed_units_0__source="storage",
            proposed_cells_0__usable_wh="9.5",
        )
    )
    assert sheet.faults() == []
    assert sheet.rows.existing.arrays[0].unit_id == "pv-1"
    assert sheet.rows.proposed.cells[0].unit_id == "bat-1"


def test_cells_with_no_inverter_of_the_design_ask_which():
    """Added behind the PV inverter that is there, or with one of their own? Nobody guesses."""
    raw = typed(
        "existing-units=1",
        "proposed-cells=1",
        existing_units_0__source="pv",
        proposed_cells_0__usable_wh="9.5",
    )
    (fault,) = Sheet(raw).faults()
    assert fault.target == "id_proposed-cells-0-unit_id"
    assert "say which inverter" in fault.message
    assert "pv-1" in fault.message
    raw["proposed-cells-0-unit_id"] = ["Pv-1"]
    sheet = Sheet(raw)
    assert sheet.faults() == []
    assert sheet.rows.proposed.cells[0].unit_id == "pv-1"


def test_a_unit_that_is_not_there_is_named():
    sheet = Sheet(
        typed(
            "proposed-units=1",
            "proposed-arrays=1",
            proposed_units_0__source="pv",
            proposed_arrays_0__unit_id="pv-7",
        )
    )
    (fault,) = sheet.faults()
    assert 'no unit is called "pv-7"; units here: pv-1' in fault.message


def test_panels_follow_a_unit_that_is_renamed():
    path = next(path for path in DEMOS if path.name.startswith("05"))
    raw = raw_of(rows_from_site(Assessor().site(path.read_bytes())))
    (group,) = (
        name for name in ("existing-units", "proposed-units") if raw[f"{name}-TOTAL_FORMS"] == ["1"]
    )
    raw[f"{group}-0-label"] = ["south roof"]
    sheet = Sheet(raw)
    assert sheet.faults() == []
    rows = sheet.rows.proposed if group.startswith("proposed") else sheet.rows.existing
    assert {array.unit_id for array in rows.arrays} == {"south roof"}


def test_rows_that_are_empty_or_taken_out_say_nothing():
    sheet = Sheet(
        typed(
            "proposed-units=3",
            proposed_units_0__quantity="1",  # as an untouched row comes
            proposed_units_1__source="pv",
            proposed_units_2__rated_w="nonsense",
            proposed_units_2__gone="on",
        )
    )
    assert sheet.faults() == []
    assert [unit.label for unit in sheet.rows.proposed.units] == ["pv-1"]


def test_a_box_that_cannot_be_read_is_left_out_of_the_facts():
    sheet = Sheet(
        typed(
            "proposed-units=1",
            proposed_units_0__source="pv",
            proposed_units_0__rated_w="much",
            supply__cutout_a="big",
            numbers_0__value="12",
        )
    )
    assert {fault.target for fault in sheet.faults()} == {
        "id_proposed-units-0-rated_w",
        "id_supply-cutout_a",
    }
    plain = plain_from(sheet.rows)
    assert plain["units"][0]["rated_w"] is None
    assert plain["supply"]["cutout_a"] is None


def test_phases_must_be_said_where_there_are_several():
    raw = typed("proposed-units=1", proposed_units_0__source="pv")
    raw["supply-phases"] = ["3"]
    (fault,) = Sheet(raw).faults()
    assert fault.target == "id_proposed-units-0-phases"
    assert fault.needed


def test_limits_and_caps_take_the_unit_that_is_chosen():
    sheet = Sheet(
        typed(
            "caps=1",
            proposed_export__value="16",
            proposed_export__basis="ma_per_phase",
            caps_0__on="export",
            caps_0__value="5 kW",
            caps_0__basis="w_total",
        )
    )
    assert sheet.faults() == []
    assert sheet.rows.proposed.limits[0].value == 16_000
    assert sheet.rows.caps[0].value == 5000
    wrong = Sheet(typed(proposed_export__value="5 kW", proposed_export__basis="ma_per_phase"))
    (fault,) = wrong.faults()
    assert "a real power" in fault.message


@pytest.mark.parametrize("count", ["5000", "41", "-1", "many", "9" * 400, ""])
def test_too_many_rows_are_refused_before_any_is_built(count, monkeypatch):
    built = []
    from sites.premises.forms import plant

    monkeypatch.setattr(
        plant.ProposedUnitForm,
        "full_clean",
        lambda form: built.append(form),
    )
    sheet = Sheet(typed(f"proposed-units={count}"))
    if not count:
        assert not any(rows.refusal for rows in sheet.groups.values())
        return
    (refusal,) = [rows.refusal for rows in sheet.groups.values() if rows.refusal]
    assert str(MAX_ROWS) in refusal
    assert [fault.target for fault in sheet.faults()] == ["rows-proposed-units"]
    assert built == []


def test_a_sheet_takes_sixty_lines_of_units_counted_after_spreading():
    def units(rows):
        boxes = {"source": "pv", "quantity": "3", "rated_w": "3.6", "phases": "spread"}
        return {
            f"proposed-units-{row}-{name}": [text]
            for row in range(rows)
            for name, text in boxes.items()
        } | {"proposed-units-TOTAL_FORMS": [str(rows)], "supply-phases": ["3"]}

    # Each row of three units is one unit on each of three phases: 20 rows are 60 lines.
    full = Sheet(units(20))
    assert len(full.rows.proposed.units) == 60
    assert not full.groups["proposed-units"].complaint
    over = Sheet(units(21))
    assert over.rows.proposed.units == []
    (fault,) = [each for each in over.faults() if "lines of units" in each.message]
    assert fault.target == "rows-proposed-units"
    assert "here are 63" in fault.message
