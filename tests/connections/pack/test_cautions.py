"""Cautions: the general ones always, the others where the facts call for them."""

from typing import Any

import pytest

from connections.pack.content import Points
from connections.pack.sections.cautions import CAUTIONS
from tests.connections.pack.cases import FILES, pack_of

GENERAL = {
    "operator-first", "competent", "live", "dual-supply", "one-way-devices", "cut-out-and-meter",
    "maximum-fault",
}  # fmt: skip
TITLES = {caution.title: caution.id for caution in CAUTIONS}


def shown(file: dict[str, Any]) -> set[str]:
    section = next(s for s in pack_of(file).technical.sections if s.key == "cautions")
    (points,) = section.blocks
    assert isinstance(points, Points)
    return {TITLES[point.title] for point in points.points}


def _bare() -> dict[str, Any]:
    file = FILES["plain"]()
    file["arrays"] = []
    file["units"][0]["source"] = "hydro"
    return file


def test_general_ones_stand_in_every_pack() -> None:
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
