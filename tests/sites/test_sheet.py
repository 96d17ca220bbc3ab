"""The sheet as a whole: names, what sits behind what, rows that are empty, gone or renamed."""

from pathlib import Path

import pytest

from connections.assessing import Assessor
from sites.forms.sheet import Sheet
from sites.forms.sheet_form import MAX_ROWS
from sites.forms.written import raw_of
from sites.selectors.site_rows import plain_from
from sites.services.importing import rows_from_site

DEMOS = sorted(Path("connections/demo").glob("*.json"))


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
    assert sheet.rows.existing.arrays[0].unit_label == "pv-1"
    assert sheet.rows.proposed.cells[0].unit_label == "bat-1"


def test_cells_with_no_inverter_of_the_design_ask_which():
    """Added behind the PV inverter that is there, or with one of their own? Nobody guesses."""
    raw = typed(
        "existing-units=1",
        "proposed-cells=1",
        existing_units_0__source="pv",
        proposed_cells_0__usable_wh="9.5",
    )
    (fault,) = Sheet(raw).faults()
    assert fault.target == "id_proposed-cells-0-unit_label"
    assert "say which inverter" in fault.message
    assert "pv-1" in fault.message
    raw["proposed-cells-0-unit_label"] = ["Pv-1"]
    sheet = Sheet(raw)
    assert sheet.faults() == []
    assert sheet.rows.proposed.cells[0].unit_label == "pv-1"


def test_a_unit_that_is_not_there_is_named():
    sheet = Sheet(
        typed(
            "proposed-units=1",
            "proposed-arrays=1",
            proposed_units_0__source="pv",
            proposed_arrays_0__unit_label="pv-7",
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
    assert {array.unit_label for array in rows.arrays} == {"south roof"}


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
    from sites.forms import plant

    monkeypatch.setattr(
        plant.ProposedUnitForm,
        "full_clean",
        lambda form: built.append(form),
    )
    sheet = Sheet(typed(f"proposed-units={count}"))
    if not count:
        assert sheet.refusals == []
        return
    (refusal,) = sheet.refusals
    assert str(MAX_ROWS) in refusal
    assert [fault.target for fault in sheet.faults()] == ["rows-proposed-units"]
    assert built == []
