"""What a finding or a check rests on is told in words with units, wherever it stands in a site."""

import json
import re
from typing import Any

import msgspec
import pytest

from connections.rules.decide import decide
from connections.rules.engineering import checks_of, with_checks
from sites.premises.words.facts import Facts
from tests.connections.rules.checks.checking import BOARD, cable
from tests.connections.rules.checks.test_odd_sites import ODD, full
from tests.site_files import DEMO, book, cells, file, limit, read, unit

EVERY: dict[str, Any] = full(
    unit(
        "pv-1", 3600, kind="inverter", quantity=2, design_w=4000, rated_va=3680, rated_ma=16_000,
        q_var=-400, status="proposed", planned_on="2027-01-18", limited_by="software",
        can_island=False, feeds_from=BOARD, operating_mode="long-term-parallel", dc_input_w=5000,
        emission_standards=["61000-3-2"], max_impedance_uohm=320_000, maker="Invented", model="I-1",
        serials=["1"], dc_inputs=[{
            "tracker": 1, "max_mv": 600_000, "window_min_mv": 80_000, "window_max_mv": 550_000,
            "max_operating_ma": 13_500, "max_short_circuit_ma": 17_000,
        }], panel_electronics="micro-inverters",
    ),
    cells("bat-1", 3600, source="pv+storage", commissioned_on="2026-01", status="existing"),
    arrays=[{
        "unit_id": "pv-1", "peak_w": 4400, "panels": 22, "strings": [
            {"tracker": 1, "in_series": 11, "in_parallel": 2},
        ], "panel": {
            "voc_mv": 41_200, "vmp_mv": 34_300, "isc_ma": 13_900, "imp_ma": 13_100, "peak_w": 400,
            "voc_ppm_k": -2_700, "isc_ppm_k": 500,
        }, "tilt_deg": 30,
        "azimuth_deg": 180, "status": "proposed", "commissioned_on": "2026-11",
    }],
    storage=[{
        "unit_id": "bat-1", "usable_wh": 9500, "charge_w": 3600, "discharge_w": 3600,
        "charges_from_grid": True, "exports": False, "status": "existing",
        "tap": "service-connectors",
        "commissioned_on": "2026-11-02",
    }],
    limits={
        which: limit(
            3680, "w_total", response_ms=5000, fail_safe=True, measured_at="supply",
            ct_position="tails", nets_phases=True, controls=["pv-1", "heat pump"],
            commissioned_on="2026-01-01",
        )["export"]
        for which in ("export", "import")
    },
    caps=[{
        "on": "export", "value": 16_000, "basis": "ma_per_phase", "until": "2027-03-31",
        "from_operator_reference": "INV-1", "split_equally": True,
    }],
    premises={
        "postcode": "ZZ1 1AA", "nation": "northern_ireland", "licence_area": "gb-12",
        "feeder": "North 7", "island": False, "access": "side gate, at all hours",
        "supply_numbers": [{"use": "import", "scheme": "gb13", "value": "99 0000 0010 013"}],
    },
    cables=[cable(
        "pv-1", cores=2, ambient_c=30, grouped=2, capacity_a=40,
    )],
    protection=[{
        "kind": "RCBO", "serves": "pv-1", "rating_a": 20, "rcd_type": "A", "trip_ma": 30,
        "direction": "both ways", "reference": "Q1", "breaking_a": 6000,
        "place": "meter cupboard", "lockable": True,
        "settings": [
            {"function": "overvoltage", "value": 262_200, "unit": "mV", "stage": 1, "delay_ms": 500}
        ],
    }],
    loads={
        "assessed_demand_va": 9200, "measured": False,
        "items": [{
            "name": "heat pump", "w": 3000, "phases": ["L1"], "controllable": True,
            "kind": "heat-pump",
        }],
    },
    boards=[{"id": BOARD, "rating_a": 100, "incoming_a": 80, "conditional_a": 16_000}],
    clamps=[{
        "id": "tails", "place": "grid", "serves": "export-limit", "phase": "L1",
        "direction": "towards-supply", "link": "wired",
    }],
    network={"assumed_voltage_mv": 242_000},
    nearby={"premises": 2, "origin": "typed"},
    overrides=[{"key": "cable.temperature", "value": 60, "reason": "invented"}],
)  # fmt: skip
EVERY["supply"] |= {
    "nominal_v": 230, "voltage_level": "LV", "import_capacity_va": 18_400,
    "export_capacity_va": 3680, "voltage_optimiser": False,
    "loop_measured": True, "line_neutral_uohm": 250_000, "fault_measured": False,
}  # fmt: skip


def raw(path: str, facts: Facts) -> bool:
    """Whether a path has no words of its own, or its value stands as the file writes it."""
    told = facts.read(path)
    if told.says == path or re.search(r"[_\[\].]|\b(mm|ma|deg)\b", told.says):
        return True
    if re.search(r"\d$", told.value) and re.search(
        r"_(w|va|ma|mm|a|ms|mv|wh|uohm|c|deg)$|\.w$", path
    ):
        return True
    return bool(re.search(r"\w_\w|\bpv\+|-parallel$|^gb", told.value))


def leaves(value: Any, path: str = ""):
    if isinstance(value, dict) and "function" not in value:
        for name, each in value.items():
            yield from leaves(each, f"{path}.{name}" if path else name)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for i, each in enumerate(value):
            yield from leaves(each, f"{path}[{i}]")
    else:
        yield path


PATHS = [
    path
    for path in leaves(EVERY)
    if not re.search(r"^(format|reference|on_date)$|^units\[\d\]\.id$|^overrides\[\d\]\.key$", path)
]


@pytest.mark.parametrize("path", PATHS)
def test_every_fact_has_words_and_a_unit(path):
    assert not raw(path, Facts(read(EVERY), book())), Facts(read(EVERY), book()).read(path)


SITES = [*ODD.items(), ("every fact", EVERY)] + [
    (path.name, json.loads(path.read_bytes())) for path in DEMO
]


@pytest.mark.parametrize("content", [each for _, each in SITES], ids=[name for name, _ in SITES])
def test_whatever_a_check_or_a_finding_reads_has_words(content):
    site = read(content)
    decided, facts = decide(site, book()), Facts(site, book())
    read_paths = {path for one in checks_of(decided) for path, _ in one.read}
    read_paths |= {path for found in with_checks(decided).findings for path, _ in found.read}
    assert read_paths
    assert [(path, facts.read(path)) for path in sorted(read_paths) if raw(path, facts)] == []


@pytest.mark.parametrize(
    ("path", "says", "value"),
    [
        ("loads.items[0].name", "large load 1", "heat pump"),
        ("loads.items[0].w", "the power of heat pump", "3 kW"),
        ("loads.items[0].kind", "the kind of heat pump", "heat pump"),
        ("loads.measured", "how the demand was found", "worked out"),
        ("boards[0].incoming_a", "the incoming device of consumer unit", "80 A"),
        ("cables[0].csa_mm2", "the size of the cable consumer unit to pv-1", "6 mm²"),
        ("cables[0].length_mm", "the length of the cable consumer unit to pv-1", "25 m"),
        ("protection[0].trip_ma", "the rated residual current of the RCBO of pv-1", "0.03 A"),
        (
            "protection[0].settings[0]",
            "a setting of the RCBO of pv-1",
            "overvoltage, stage 1: 262.2 V after 0.5 s",
        ),
        ("arrays[0].peak_w", "the peak power of the panels behind pv-1", "4.4 kWp"),
        ("units[1].source", "the energy source of bat-1", "PV and storage"),
    ],
)
def test_some_facts_in_words(path, says, value):
    told = Facts(read(EVERY), book()).read(path)
    assert (told.says, told.value) == (says, value)


def test_an_own_figure_stands_in_the_unit_of_its_value():
    told = Facts(read(EVERY), book()).read("overrides[0].value")
    assert told.says.startswith("own figure for the working temperature of a conductor")
    assert told.value == "60 °C"
    bare = file(overrides=[{"key": "x", "value": 60, "reason": "invented", "unit": "mV"}])
    assert msgspec.to_builtins(Facts(read(bare)).read("overrides[0].value")) == {
        "says": "own figure", "value": "0.06 V",
    }  # fmt: skip


def test_what_is_left_out_or_not_known_is_said():
    facts = Facts(read(file(unit("a", None))), book())
    assert facts.value("units[0].rated_w") == "not known"
    assert facts.value("loads.measured") == "not stated"
