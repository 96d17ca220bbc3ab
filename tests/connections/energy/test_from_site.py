"""From a site's facts to its plant: what is found, needed and assumed."""

import json

import pytest

from connections.energy.from_site import plant_of
from connections.energy.year import energy_year
from connections.facts.reading import read_site
from sites.bootstrap.paths import ROOT

UNIT = {"id": "inv-1", "source": "pv", "rated_w": 5000, "phases": ["L1"]}
ARRAY = {"unit_id": "inv-1", "peak_w": 6000, "tilt_deg": 35, "azimuth_deg": 180}
CELLS = {"unit_id": "inv-1", "usable_wh": 9500, "charge_w": 3000, "discharge_w": 3600}


def found(units=(UNIT,), arrays=(ARRAY,), storage=(), phases=1, **more):
    plain = {
        "format": "site/1", "reference": "invented", "on_date": "2026-11-24",
        "supply": {"phases": phases}, "units": list(units), "arrays": list(arrays),
        "storage": list(storage), **more,
    }  # fmt: skip
    return plant_of(read_site(json.dumps(plain).encode()))


def limit(value, basis, **more):
    return {"export": {"value": value, "basis": basis, **more}}


def test_panels_behind_an_inverter():
    plant = found().plant
    [inverter] = plant.pv
    assert (inverter.id, inverter.rated_w) == ("inv-1", 5000)
    [array] = inverter.arrays
    assert (array.peak_w, array.tilt_deg, array.azimuth_deg) == (6000, 35, 180)
    assert plant.export_limit_w is None
    assert plant.told == ()


def test_panels_and_cells_behind_one_inverter_are_a_shared_one():
    plant = found(units=[{**UNIT, "source": "pv+storage"}], storage=[CELLS]).plant
    [shared] = plant.shared
    assert (shared.cells.usable_wh, shared.cells.charge_w) == (9500, 3000)
    assert not plant.pv
    assert not plant.storage


def test_cells_with_their_own_inverter():
    units = [UNIT, {"id": "bat-1", "source": "storage", "rated_w": 3600, "phases": ["L1"]}]
    plant = found(units, storage=[{**CELLS, "unit_id": "bat-1"}]).plant
    [store] = plant.storage
    assert (store.id, store.rated_w, store.cells.discharge_w) == ("bat-1", 3600, 3600)


def test_a_line_of_like_units_has_their_sum():
    plant = found([{**UNIT, "rated_w": 350, "quantity": 12}]).plant
    assert plant.pv[0].rated_w == 4200


def test_removed_plant_is_left_out():
    units = [UNIT, {**UNIT, "id": "inv-2", "status": "removed"}]
    plant = found(units, [ARRAY, {**ARRAY, "unit_id": "inv-2"}]).plant
    assert [unit.id for unit in plant.pv] == ["inv-1"]


@pytest.mark.parametrize(
    ("more", "needs"),
    [
        ({"arrays": ()}, "Needs the panels behind inv-1: peak power, tilt and azimuth."),
        (
            {"arrays": [{**ARRAY, "peak_w": None}]},
            "Needs the peak power of the panels behind inv-1.",
        ),
        ({"units": [{**UNIT, "rated_w": None}]}, "Needs the registered capacity of inv-1."),
        ({"units": [{**UNIT, "quantity": None}]}, "Needs the number of units of inv-1."),
        (
            {"storage": [{**CELLS, "usable_wh": 0}]},
            "Needs the usable energy of the cells behind inv-1.",
        ),
        (
            {"units": [{**UNIT, "source": "pv+storage"}]},
            "Needs the cells behind inv-1: usable energy and power.",
        ),
        (
            {"arrays": [{**ARRAY, "tilt_deg": 95}]},
            "Needs a tilt of the panels behind inv-1 of 0 to 90 degrees; 95 is given.",
        ),
        ({"limits": limit(None, "w_total")}, "Needs the value of the export limit."),
        (
            {"arrays": [ARRAY, {**ARRAY, "unit_id": "inv-9"}]},
            "Needs the inverter of the panels behind inv-9: there is no such unit.",
        ),
        (
            {"units": [{**UNIT, "source": "wind"}], "arrays": ()},
            "Needs panels or cells: this design has neither.",
        ),
    ],
)
def test_what_is_missing_is_said_and_there_is_no_plant(more, needs):
    answer = found(**more)
    assert needs in answer.needs
    assert answer.plant is None


def test_what_is_assumed_is_said_and_goes_into_the_method(sun, use):
    answer = found(
        units=[{**UNIT, "source": "pv+storage", "rated_w": None, "rated_va": 5000}],
        arrays=[{"unit_id": "inv-1", "peak_w": 6000}],
        storage=[{"unit_id": "inv-1", "usable_wh": 9500}],
    )
    assert len(answer.assumed) == 5
    text = " ".join(answer.assumed)
    for words in ("5000 VA, stands in", "tilt of the panels behind inv-1 is 35 degrees",
                  "azimuth of the panels behind inv-1 is 180 degrees, south",
                  "charging power of the cells behind inv-1 is 5000 W",
                  "discharging power of the cells behind inv-1 is 5000 W"):  # fmt: skip
        assert words in text
    method = energy_year(answer.plant, sun, use).method
    assert all(f"Assumed: {each}" in method for each in answer.assumed)


# 16 A x 230 V = 3680 W on each phase with plant on it.
@pytest.mark.parametrize(
    ("phases", "on", "given", "watts", "says"),
    [
        (1, ["L1"], limit(16000, "ma_per_phase"), 3680, "16 A on each phase is 3.68 kW over L1"),
        (3, ["L2"], limit(16000, "ma_per_phase"), 3680, "3.68 kW over L2"),
        (3, ["L1", "L2", "L3"], limit(16000, "ma_per_phase"), 11040, "11.04 kW over L1, L2, L3"),
        (1, ["L1"], limit(5000, "w_total"), 5000, ""),
        (1, ["L1"], limit(5000, "va_total"), 5000, "read as W"),
        (
            3,
            ["L1"],
            limit(6000, "w_total", nets_phases=False),
            2000,
            "the share of L1 counts, 2 kW",
        ),
        (3, ["L1"], limit(6000, "w_total", nets_phases=True), 6000, ""),
        (1, ["L1"], limit(0, "w_total"), 0, ""),
    ],
)
def test_an_export_limit_on_the_whole_supply(phases, on, given, watts, says):
    plant = found([{**UNIT, "phases": on}], phases=phases, limits=given).plant
    assert plant.export_limit_w == watts
    assert says in " ".join(plant.told)


def test_an_operators_cap_that_no_limit_holds_is_said():
    plant = found(caps=[{"on": "export", "value": 3680, "basis": "w_total"}]).plant
    assert plant.export_limit_w is None
    assert "cap on export is not held by any limit" in plant.told[0]


def test_another_source_is_said_to_be_left_out():
    units = [UNIT, {**UNIT, "id": "wt-1", "source": "wind"}]
    assert "wt-1 (wind) makes energy in ways that are not followed" in found(units).plant.told[0]


def test_every_demonstration_site_has_a_plant_or_says_what_it_needs():
    files = sorted((ROOT / "sites" / "desk" / "demonstration").glob("*.json"))
    assert len(files) > 8
    for file in files:
        answer = plant_of(read_site(file.read_bytes()))
        assert (answer.plant is None) == bool(answer.needs), file.name
