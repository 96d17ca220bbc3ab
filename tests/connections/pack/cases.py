"""Invented sites for the tests of packs, and packs made of them by the real rules."""

import copy
import datetime as dt
import json
from pathlib import Path
from typing import Any

from connections.facts.decision import Decision
from connections.facts.reading import read_site
from connections.facts.site import Site
from connections.facts.supply_number import check_digit
from connections.pack.build import build_annex, build_pack
from connections.pack.case import InstallerDeclaration
from connections.pack.content import Annex, Pack
from connections.rulebook.book import Rulebook
from connections.rulebook.load import load_books, resolve
from connections.rules.decide import decide
from connections.rules.writing import write_decision

ROOT = Path(__file__).parents[3]
ON = dt.date(2026, 11, 25)
SALT = "0123456789abcdef0123456789abcdef"
DECLARED = InstallerDeclaration("Bea Example", ON)
SUPPLY_NUMBER = "121234567890" + str(check_digit("121234567890"))

PARTIES: dict[str, Any] = {
    "customer": {
        "name": "Ada Example",
        "role": "owner",
        "address_lines": ["1 Example Lane", "Exampleton"],
        "email": "ada@example.org",
        "phone": "01632 960001",
    },
    "installer": {
        "name": "Example Fitters Ltd",
        "address_lines": ["Unit 4, Yard Street", "Exampleton"],
        "email": "office@example.org",
        "phone": "01632 960002",
        "registration": "EX-12345",
    },
    "owner_consent": True,
}
PREMISES: dict[str, Any] = {
    "name": "Example House",
    "address_lines": ["1 Example Lane", "Exampleton"],
    "postcode": "EX1 1AA",
    "nation": "england",
    "supply_numbers": [{"use": "import", "scheme": "gb13", "value": SUPPLY_NUMBER}],
    "licence_area": "gb-12",
    "metering": "whole-current",
    "easting": 530000,
    "northing": 180000,
    "grid": "osgb",
}


def _file(**more: Any) -> dict[str, Any]:
    return {
        "format": "site/1",
        "reference": "EX-001",
        "on_date": "2026-11-24",
        "parties": copy.deepcopy(PARTIES),
        "premises": copy.deepcopy(PREMISES),
        **more,
    }


def unit(unit_id: str, source: str = "pv", rated_w: int = 3680, **more: Any) -> dict[str, Any]:
    return {
        "id": unit_id,
        "source": source,
        "rated_w": rated_w,
        "phases": ["L1"],
        "status": "proposed",
        "maker": "Maker One",
        "model": f"M-{rated_w}",
        "type_tested": "full",
        "standard": "G98",
        "type_test_reference": f"EX/{unit_id}",
        "can_island": False,
        **more,
    }


_SUPPLY = {"phases": 1, "cutout_a": 80, "earthing": "TN-C-S", "looped": False}


def plain_file() -> dict[str, Any]:
    """One solar inverter of 3.68 kW, connected: a notification."""
    return _file(
        supply=dict(_SUPPLY),
        units=[unit("inv-1", status="existing", commissioned_on="2026-11-20", serials=["SN-0001"])],
        arrays=[
            {
                "unit_id": "inv-1",
                "peak_w": 4400,
                "panels": 11,
                "strings": 1,
                "tilt_deg": 35,
                "azimuth_deg": 180,
            }
        ],
        protection=[{"kind": "circuit-breaker", "serves": "inv-1", "rating_a": 20}],
        cables=[
            {
                "from": "board",
                "to": "inv-1",
                "length_mm": 12000,
                "csa_mm2": "4",
                "cores": 2,
                "material": "copper",
                "insulation": "PVC",
                "method": "C",
            }
        ],
    )


def application_file() -> dict[str, Any]:
    """Older solar with new storage beside it, and a limiter of 16 A: a short application."""
    return _file(
        supply={**_SUPPLY, "import_capacity_va": 18400},
        planned_on="2027-01-15",
        units=[
            unit(
                "pv-1",
                status="existing",
                standard="G83",
                commissioned_on="2015-06-01",
                type_test_reference=None,
            ),
            unit("bat-1", "storage", 3600, standard="G99", can_island=None, feeds_from="board-1"),
        ],
        arrays=[{"unit_id": "pv-1", "peak_w": 4000, "panels": 16, "tilt_deg": 30}],
        storage=[
            {
                "unit_id": "bat-1",
                "usable_wh": 9500,
                "charge_w": 3600,
                "discharge_w": 3600,
                "charges_from_grid": True,
                "exports": False,
            }
        ],
        limits={
            "export": {
                "value": 16000,
                "basis": "ma_per_phase",
                "type_tested": True,
                "type_test_reference": "EX/limiter",
                "response_ms": 5000,
                "fail_safe": True,
                "measured_at": "supply terminals",
                "ct_position": "meter tails",
                "controls": ["bat-1"],
            }
        },
        protection=[
            {"kind": "residual-current circuit-breaker", "serves": "bat-1", "rcd_type": "A"},
            {
                "kind": "interface protection",
                "serves": "pv-1",
                "settings": [
                    {"function": "overvoltage", "stage": 1, "value": 253000, "unit": "mV"}
                ],
            },
        ],
        loads={
            "assessed_demand_va": 9200,
            "measured": False,
            "items": [{"name": "charge point", "w": 7360, "phases": ["L1"]}],
        },
        caps=[
            {
                "on": "export",
                "value": 5000,
                "basis": "w_total",
                "from_operator_reference": "OP-77",
                "until": "2027-05-01",
            }
        ],
    )


def large_file() -> dict[str, Any]:
    """Twenty lines of units on three phases: a full application."""
    units = []
    for i in range(20):
        three = i >= 18
        units.append(
            unit(
                f"inv-{i + 1}",
                "pv" if i % 4 else "pv+storage",
                10000 if three else 2500,
                status="existing" if i < 6 else "proposed",
                phases=["L1", "L2", "L3"] if three else [("L1", "L2", "L3")[i % 3]],
                standard="G98" if i < 6 else "G99",
                design_w=12500 if three else 2500,
                limited_by="software" if three else "none",
                **({"commissioned_on": "2021-05-04"} if i < 6 else {}),
                **({"quantity": 2} if i == 9 else {}),
            )
        )
    return _file(
        supply={"phases": 3, "cutout_a": 100, "earthing": "TN-S", "looped": False},
        planned_on="2027-03-01",
        units=units,
        storage=[
            {"unit_id": u["id"], "usable_wh": 5000, "charge_w": 2500, "discharge_w": 2500}
            for u in units
            if u["source"] == "pv+storage"
        ],
    )


HOSTILE_ID = "<b>&\"'bat"


def hostile_file() -> dict[str, Any]:
    """The application with markup, other scripts, signs that no font has, and very long names."""
    file = application_file()
    file["reference"] = "<script>alert(1)</script> " + "R" * 170
    file["parties"]["customer"] = {
        "name": "<img src=http://example.org/x.png> שלום 🙂🔋 " + "N" * 150,
        "role": "\u202eturned round\u202c",
        "address_lines": ["<link rel=attachment href=file:///etc/passwd>", "مرحبا"],
        "email": "a" * 180 + "@example.org",
        "phone": "<0>",
    }
    file["units"][1] |= {
        "id": HOSTILE_ID,
        "maker": "W" * 100 + "<b>bold</b>",
        "model": "電池 🔋 {{ pack }} {% include 'x' %}",
    }
    file["storage"][0]["unit_id"] = file["protection"][0]["serves"] = HOSTILE_ID
    file["limits"]["export"]["controls"] = [HOSTILE_ID]
    return file


FILES = {
    "plain": plain_file,
    "application": application_file,
    "large": large_file,
    "hostile": hostile_file,
}


def decided(file: dict[str, Any]) -> tuple[Site, Decision, Rulebook]:
    """The site of a file, its decision and the rulebook that made it."""
    site = read_site(json.dumps(file))
    book = resolve(load_books(), on=site.on_date, area="gb-12", nation="england")
    return site, write_decision(decide(site, book)), book


def pack_of(file: dict[str, Any], **more: Any) -> Pack:
    """The pack of a file."""
    site, decision, book = decided(file)
    given: dict[str, Any] = {"reference": site.reference, "prepared_on": ON, "salt": SALT}
    return build_pack(site, decision, book, **(given | more))


def annex_of(file: dict[str, Any], **more: Any) -> Annex:
    """The annex of the pack of a file."""
    site, decision, book = decided(file)
    return build_annex(pack_of(file, **more), site, decision, book, salt=SALT, **_both(more))


def _both(more: dict[str, Any]) -> dict[str, Any]:
    return {key: more[key] for key in ("decisions", "kind", "subject") if key in more}
