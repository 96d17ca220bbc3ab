"""Site files with all facts that only the electrical checks read, and clamps. All invented."""

import json
from pathlib import Path
from typing import Any, get_args

from connections.facts.site import LoadKind

DECLARED: tuple[list[str] | None, ...] = (
    ["61000-3-2", "61000-3-3"],
    [],
    ["61000-3-12", "61000-3-11", "BS EN IEC 61000-3-2:2019, invented annex"],
    None,
)
"""What makers declare: some, none, one in words of its own, and not known."""


def with_electrical_facts(path: Path) -> dict[str, Any]:
    """A demo file's content, with devices, cables, loads and boards that state all they can."""
    content: dict[str, Any] = json.loads(path.read_text())
    for i, unit in enumerate(content["units"]):
        unit["emission_standards"] = DECLARED[i % len(DECLARED)]
        unit["max_impedance_uohm"] = 300_000 + i
        unit["dc_input_w"] = 5_500 + i
    named = content["units"][0]["id"]
    content["boards"] = [
        {"id": "consumer unit", "rating_a": 100, "incoming_a": 80, "conditional_a": 16_000},
        {"id": "garage", "rating_a": 63, "incoming_a": None},
    ]
    content.setdefault("protection", []).append(
        {"kind": "RCBO", "serves": named, "rating_a": 20, "trip_ma": 30, "breaking_a": 6_000}
    )
    content.setdefault("cables", []).append(
        {
            "from": "consumer unit",
            "to": named,
            "unit_id": named,
            "csa_mm2": "6",
            "ambient_c": 40,
            "grouped": 3,
            "capacity_a": 35,
        }
    )
    loads = content.setdefault("loads", {})
    loads["items"] = [
        *loads.get("items", ()),
        *({"name": f"invented {kind}", "w": 3_000, "kind": kind} for kind in get_args(LoadKind)),
    ]
    content["clamps"] = [
        {"id": "tails", "place": "grid", "serves": "import-limit", "direction": "towards-site"},
        *(
            {"id": f"of {unit['id']}", "serves": unit["id"], "phase": unit["phases"][0]}
            for unit in content["units"]
        ),
    ]
    content["overrides"] = [
        {"key": "voltage_rise.power_factor", "value": 950, "reason": "as set, invented"},
        {
            "key": "fault.network_single",
            "value": 6_000,
            "unit": "A",
            "reason": "as asked, invented",
        },
    ]
    return content
