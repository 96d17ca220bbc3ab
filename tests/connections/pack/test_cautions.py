"""Cautions: the general ones always, the others where the facts call for them."""

import json
import re
from typing import Any

import msgspec
import pytest

from connections.pack.content import Points
from connections.pack.sections.cautions import CAUTIONS
from tests.connections.pack.cases import FILES, annex_of
from tests.connections.pack.demo_packs import annex_of as demo_annex
from tests.connections.pack.demo_packs import pack_of as demo_pack
from tests.connections.pack.demo_packs import plain_of

GENERAL = {
    "operator-first", "competent", "live", "dual-supply", "one-way-devices", "cut-out-and-meter",
    "maximum-fault",
}  # fmt: skip
TITLES = {caution.title: caution.id for caution in CAUTIONS}


def shown(file: dict[str, Any]) -> set[str]:
    section = next(s for s in annex_of(file).technical.sections if s.key == "cautions")
    (points,) = section.blocks
    assert isinstance(points, Points)
    return {TITLES[point.title] for point in points.points}


def _bare() -> dict[str, Any]:
    file = FILES["plain"]()
    file["arrays"] = []
    file["units"][0]["source"] = "hydro"
    return file


def test_general_ones_stand_in_every_annex() -> None:
    assert shown(_bare()) == GENERAL


@pytest.mark.parametrize(
    ("change", "more"),
    [
        ({"source": "pv"}, {"dc-daylight"}),
        ({"source": "storage"}, {"stored-energy", "storage-place"}),
        ({"source": "pv+storage"}, {"dc-daylight", "stored-energy", "storage-place"}),
        ({"source": "vehicle"}, {"stored-energy"}),
        ({"can_island": True}, {"islanded-earthing"}),
        ({"can_island": None}, {"islanded-earthing"}),
        ({"status": "removed", "can_island": True}, set()),
    ],
)
def test_the_facts_call_for_more(change: dict[str, Any], more: set[str]) -> None:
    file = _bare()
    file["units"][0] |= change
    assert shown(file) == GENERAL | more


def test_a_limit_wants_its_scheme_proved() -> None:
    file = _bare() | {"limits": {"import": {"value": 60000, "basis": "ma_per_phase"}}}
    assert shown(file) == GENERAL | {"scheme-proved"}


def test_each_names_a_source_or_that_there_is_none_and_a_known_certainty() -> None:
    for caution in CAUTIONS:
        assert caution.source
        assert caution.certainty in ("secondary", "common practice", "from memory")
        assert caution.text.endswith(".")


def test_texts_say_what_must_be_said() -> None:
    texts = {caution.id: caution.text for caution in CAUTIONS}
    assert "electrode of its own" in texts["islanded-earthing"]
    assert "only while islanded" in texts["islanded-earthing"]
    assert "never worked out from the maximum loop impedance" in texts["maximum-fault"]
    assert "not broken" in texts["cut-out-and-meter"]
    assert next(c for c in CAUTIONS if c.id == "storage-place").certainty == "from memory"


@pytest.mark.parametrize(
    ("on", "cited"),
    [
        # Amendment 4 of 15 April 2026 stands alone from 15 October 2026; between, either is cited.
        ("2026-04-14", "BS 7671:2018+A3:2024"),
        ("2026-04-15", "BS 7671:2018+A3:2024 or BS 7671:2018+A4:2026"),
        ("2026-10-14", "BS 7671:2018+A3:2024 or BS 7671:2018+A4:2026"),
        ("2026-10-15", "BS 7671:2018+A4:2026"),
        ("2024-07-30", "BS 7671:2018+A2:2022"),
    ],
)
def test_the_wiring_rules_are_those_of_the_sites_day(on: str, cited: str) -> None:
    plain = {**plain_of("05"), "on_date": on}
    sections = [*demo_pack(plain).technical.sections, *demo_annex(plain).technical.sections]
    printed = json.dumps(msgspec.to_builtins(sections), ensure_ascii=False)
    assert f"{cited}, regulation 530.3.201" in printed
    assert f"and {cited} ask" in printed
    named = set(re.findall(r"BS 7671:2018(?:\+A\d:\d{4})?", printed))
    assert named == set(cited.split(" or "))
