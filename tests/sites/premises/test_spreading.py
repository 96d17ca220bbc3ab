"""Units spread over the phases of a supply, with what sits behind them."""

import pytest

from sites.premises.forms.sheet import Sheet
from sites.premises.forms.spreading import share, share_lines, spread

THREE = ("L1", "L2", "L3")


@pytest.mark.parametrize(
    ("quantity", "phases", "placed"),
    [
        (11, THREE, [("L1", 4), ("L2", 4), ("L3", 3)]),
        (3, THREE, [("L1", 1), ("L2", 1), ("L3", 1)]),
        (2, THREE, [("L1", 1), ("L2", 1)]),
        (5, ("L1", "L2"), [("L1", 3), ("L2", 2)]),
    ],
)
def test_as_even_as_can_be(quantity, phases, placed):
    assert spread(quantity, phases) == placed
    assert sum(count for _phase, count in placed) == quantity


@pytest.mark.parametrize(
    ("total", "weights", "parts"),
    [
        (4730, [4, 4, 3], [1720, 1720, 1290]),  # 430 W a panel
        (100, [1, 1, 1], [34, 33, 33]),
        (0, [1, 2], [0, 0]),
        (None, [1, 2], [None, None]),
    ],
)
def test_amounts_are_shared_and_add_up(total, weights, parts):
    assert share(total, weights) == parts
    assert total is None or sum(part or 0 for part in parts) == total


def test_serial_numbers_are_dealt_out_in_order():
    assert share_lines("a\nb\nc\nd", [2, 1]) == ["a\nb", "c\nd"]


def typed(**boxes: str) -> dict[str, list[str]]:
    return {name.replace("__", "-"): [text] for name, text in boxes.items()}


MICRO = {
    "case__reference": "R",
    "supply__phases": "3",
    "proposed-units__TOTAL_FORMS": "1",
    "proposed-units__0__source": "pv",
    "proposed-units__0__quantity": "11",
    "proposed-units__0__rated_w": "0.35",
    "proposed-units__0__phases": "spread",
    "proposed-units__0__serials": "\n".join(f"S{i}" for i in range(1, 12)),
    "proposed-arrays__TOTAL_FORMS": "1",
    "proposed-arrays__0__peak_w": "4.73",
    "proposed-arrays__0__panels": "11",
    "proposed-protection__TOTAL_FORMS": "1",
    "proposed-protection__0__kind": "isolator",
    "proposed-protection__0__serves": "PV-1",
    "proposed-cables__TOTAL_FORMS": "1",
    "proposed-cables__0__from_board": "main",
    "proposed-cables__0__to_board": "roof",
    "proposed-cables__0__unit_id": "pv-1",
}


def test_a_spread_row_becomes_a_line_for_each_phase():
    sheet = Sheet(typed(**MICRO))
    assert sheet.faults() == []
    rows = sheet.rows.proposed
    assert [(u.label, u.phases, u.quantity) for u in rows.units] == [
        ("pv-1-L1", "L1", 4),
        ("pv-1-L2", "L2", 4),
        ("pv-1-L3", "L3", 3),
    ]
    assert [u.serials.split("\n") for u in rows.units][2] == ["S9", "S10", "S11"]
    assert [(a.unit_id, a.peak_w, a.panels) for a in rows.arrays] == [
        ("pv-1-L1", 1720, 4),
        ("pv-1-L2", 1720, 4),
        ("pv-1-L3", 1290, 3),
    ]
    assert [d.serves for d in rows.protection] == ["pv-1-L1", "pv-1-L2", "pv-1-L3"]
    assert [c.unit_id for c in rows.cables] == ["pv-1-L1", "pv-1-L2", "pv-1-L3"]
    keys = [row.key for row in (*rows.units, *rows.arrays, *rows.protection, *rows.cables)]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"supply__phases": "1"}, "nothing to spread"),
        ({"supply__phases": ""}, "how many phases"),
        ({"proposed-units__0__quantity": "1"}, "one unit can't be spread"),
        ({"proposed-units__0__quantity": ""}, "one unit can't be spread"),
        ({"proposed-units__0__label": "x" * 60}, "too long"),
        ({"proposed-arrays__0__strings": "1; 11; 1"}, "pv-1 is spread over the phases"),
    ],
)
def test_what_cannot_be_spread(changes, says):
    faults = Sheet(typed(**{**MICRO, **changes})).faults()
    assert any(says in fault.message for fault in faults), faults
