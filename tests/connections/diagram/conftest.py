"""Invented sites for the diagram's tests."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from connections.facts.reading import read_site
from connections.facts.site import Site

Making = Callable[..., Site]


def make_site(units: list[dict[str, Any]], phases: int = 1, **more: Any) -> Site:
    supply = {"phases": phases, "cutout_a": 100, "earthing": "TN-C-S", **more.pop("supply", {})}
    document = {
        "format": "site/1",
        "reference": "Invented site",
        "on_date": "2026-11-24",
        "supply": supply,
        "units": units,
        **more,
    }
    return read_site(json.dumps(document))


def unit(
    unit_id: str, source: str = "pv", rated_w: int | None = 3680, **more: Any
) -> dict[str, Any]:
    return {
        "id": unit_id,
        "source": source,
        "rated_w": rated_w,
        "phases": ["L1"],
        "type_tested": "full",
        "standard": "G98",
        **more,
    }


LONG = "Long name of a roof on the north-western outbuilding, row 1"
_TWENTY = [
    unit(
        f"inv-{i + 1}",
        "pv" if i % 4 else "storage",
        3000 + 100 * i,
        phases=[f"L{i % 3 + 1}"],
        standard="G99",
        status="existing" if i < 6 else "proposed",
        **({"feeds_from": "garage"} if i >= 12 else {}),
    )
    for i in range(20)
]


def _one_pv() -> Site:
    return make_site(
        [unit("inv-1")],
        arrays=[
            {"unit_id": "inv-1", "peak_w": 4200, "panels": 10, "azimuth_deg": 180, "tilt_deg": 35}
        ],
        protection=[{"kind": "MCB", "serves": "inv-1", "rating_a": 20}],
    )


def _beside_micro_inverters() -> Site:
    return make_site(
        [
            unit("micro-1", rated_w=300, quantity=12, status="existing"),
            unit("batt-1", "storage", 4600, standard="G99"),
        ],
        arrays=[{"unit_id": "micro-1", "peak_w": 4920, "panels": 12, "azimuth_deg": 135}],
        storage=[{"unit_id": "batt-1", "usable_wh": 9500}],
        protection=[
            {"kind": "RCBO", "serves": "micro-1", "rating_a": 20, "rcd_type": "A"},
            {"kind": "MCB", "serves": "batt-1", "rating_a": 32},
            {
                "kind": "RCD",
                "serves": "batt-1",
                "rating_a": 40,
                "rcd_type": "B",
                "direction": "bidirectional",
            },
        ],
    )


def _export_limit() -> Site:
    return make_site(
        [
            unit("inv-1", status="existing", commissioned_on="2021-05-01"),
            unit("batt-1", "storage", 5000, standard="G99"),
        ],
        arrays=[{"unit_id": "inv-1", "peak_w": 5000, "azimuth_deg": 200}],
        storage=[{"unit_id": "batt-1", "usable_wh": 10240}],
        limits={
            "export": {
                "value": 16000,
                "basis": "ma_per_phase",
                "type_tested": True,
                "measured_at": "supply",
                "ct_position": "meter tails, customer's side",
            }
        },
        loads={
            "assessed_demand_va": 14200,
            "items": [{"name": "charge point", "w": 7360}, {"name": "heat pump", "w": 3500}],
        },
    )


def _shared_inverter() -> Site:
    return make_site(
        [unit("hyb-1", "pv+storage", 5000, standard="G99", can_island=True)],
        arrays=[
            {"unit_id": "hyb-1", "peak_w": 3200, "azimuth_deg": 90},
            {"unit_id": "hyb-1", "peak_w": 3600, "azimuth_deg": 270, "tilt_deg": 30},
        ],
        storage=[{"unit_id": "hyb-1", "usable_wh": 13500}],
        protection=[
            {"kind": "MCB", "serves": "hyb-1", "rating_a": 32},
            {"kind": "DC isolator", "serves": "hyb-1", "rating_a": 25},
        ],
        cables=[
            {
                "from": "main",
                "to": "hyb-1",
                "unit_id": "hyb-1",
                "csa_mm2": "6",
                "length_mm": 12500,
                "material": "copper",
            }
        ],
    )


def _out_of_balance() -> Site:
    return make_site(
        [
            unit("east", rated_w=5000, standard="G99"),
            unit("west", phases=["L2"]),
            unit("store", "storage", 10000, phases=["L1", "L2", "L3"], type_tested="no"),
            unit("wind", "wind", 6000, phases=["L3"], type_tested="part", standard="G99"),
        ],
        phases=3,
        arrays=[
            {"unit_id": "east", "peak_w": 6000, "azimuth_deg": 90},
            {"unit_id": "west", "peak_w": 4000, "azimuth_deg": 270},
        ],
        storage=[{"unit_id": "store", "usable_wh": 20000}],
        protection=[{"kind": "interface protection", "serves": "store", "reference": "sheet 1"}],
    )


def _cells_added() -> Site:
    return make_site(
        [unit("inv-1", status="existing", standard="G83", commissioned_on="2014-06-01")],
        arrays=[{"unit_id": "inv-1", "peak_w": 3900, "azimuth_deg": 180}],
        storage=[{"unit_id": "inv-1", "status": "proposed", "usable_wh": 5000}],
    )


def _twenty() -> Site:
    return make_site(
        _TWENTY,
        phases=3,
        arrays=[
            {"unit_id": u["id"], "peak_w": 4000, "azimuth_deg": i * 45 % 360}
            for i, u in enumerate(_TWENTY)
            if u["source"] == "pv"
        ],
        storage=[
            {"unit_id": u["id"], "usable_wh": 9500} for u in _TWENTY if u["source"] == "storage"
        ],
        protection=[
            *({"kind": "MCB", "serves": u["id"], "rating_a": 20} for u in _TWENTY),
            *({"kind": "RCD", "serves": u["id"], "rating_a": 40} for u in _TWENTY[::3]),
            {"kind": "fuse switch", "serves": "garage", "rating_a": 63},
        ],
        limits={"export": {"value": 16000, "basis": "ma_per_phase"}},
        cables=[{"from": "main board", "to": "garage", "csa_mm2": "16", "length_mm": 25000}],
    )


def _odd_plant() -> Site:
    return make_site(
        [
            unit("old-1", rated_w=2500, status="removed", standard="G83"),
            unit(
                "gen-1",
                "chp",
                5000,
                kind="synchronous",
                operating_mode="switched",
                type_tested="no",
            ),
            unit("v2g-1", "vehicle", 7000, standard="G99"),
            unit("unclear", "other", None, kind=None, type_tested=None, feeds_from=None),
        ],
        arrays=[{"unit_id": "old-1", "peak_w": 2700}],
        storage=[{"unit_id": "inv-9", "usable_wh": 5000}],
        protection=[
            {"kind": "SPD", "serves": "main board"},
            {"kind": "arc fault device", "serves": "nobody"},
        ],
        supply={"cutout_a": None, "earthing": "unknown"},
    )


def _hostile_names() -> Site:
    board = "<b onclick=x>Board</b> of the great barn behind the house, with a very long name"
    return make_site(
        [
            unit(LONG),
            unit("לוח השמש על הגג הדרומי", rated_w=300, quantity=24, phases=["L2"]),
            unit("😀" * 12, "storage", phases=["L1", "L2", "L3"], feeds_from=board),
            unit("</text><script>", "pv+storage", None, type_tested=None),
            unit("ألواح السطح", "pv", phases=["L3"]),
        ],
        phases=3,
        reference="<script>alert(1)</script> & 'x' مرحبا بالعالم \"😀\" 屋根の上の太陽光 " * 3,
        arrays=[{"unit_id": LONG, "peak_w": 4000}],
        protection=[
            {"kind": "<img src=x onerror=alert(1)> breaker of a long kind", "serves": LONG}
        ],
    )


def _many_sources() -> Site:
    return make_site(
        [
            unit(
                "big",
                "pv+storage",
                30000,
                phases=["L1", "L2", "L3"],
                standard="G99",
                feeds_from="B2",
            ),
            unit("small", feeds_from="B1", can_island=None),
        ],
        phases=3,
        arrays=[
            *({"unit_id": "big", "peak_w": 1000, "azimuth_deg": i * 30} for i in range(8)),
            {"unit_id": "big", "peak_w": 900, "status": "existing"},
        ],
        storage=[
            {"unit_id": "big", "usable_wh": 5000},
            {"unit_id": "big", "usable_wh": 5000, "status": "existing"},
        ],
        cables=[{"from": "main", "to": "B1"}, {"from": "B1", "to": "B2"}],
        limits={
            "export": {"value": 50000, "basis": "w_total", "measured_at": "B2"},
            "import": {"value": 60000, "basis": "ma_per_phase", "type_tested": False},
        },
        protection=[
            {"kind": "MCCB", "serves": "big", "rating_a": 63},
            *({"kind": "RCD", "serves": "big"} for _ in range(4)),
        ],
    )


def _measured_at_a_unit() -> Site:
    return make_site(
        [unit("a", "pv+storage"), unit("b"), unit("c", "storage")],
        phases=2,
        supply={"voltage_optimiser": True, "looped": True, "voltage_level": "HV"},
        limits={"export": {"value": 0, "basis": "va_total", "measured_at": "a"}},
    )


CASES: dict[str, Callable[[], Site]] = {
    "one PV unit": _one_pv,
    "storage beside micro-inverters": _beside_micro_inverters,
    "storage beside a string inverter, export limit": _export_limit,
    "hybrid inverter that can island": _shared_inverter,
    "three phases out of balance": _out_of_balance,
    "cells added behind existing PV": _cells_added,
    "twenty lines, two boards": _twenty,
    "removed, switched, vehicle, unknown, stray cells": _odd_plant,
    "hostile and long names": _hostile_names,
    "many sources, nested boards, two limits": _many_sources,
    "measured at a unit": _measured_at_a_unit,
}


@pytest.fixture(params=list(CASES.values()), ids=list(CASES))
def site(request: pytest.FixtureRequest) -> Site:
    """Each of the invented sites in turn."""
    making: Callable[[], Site] = request.param
    return making()


@pytest.fixture(scope="session")
def cases() -> dict[str, Callable[[], Site]]:
    return CASES


@pytest.fixture(scope="session")
def making() -> Making:
    return make_site


@pytest.fixture(scope="session")
def a_unit() -> Callable[..., dict[str, Any]]:
    return unit
