"""Runs from the cut-out beside its fuse, and storage that is tapped from the tails."""

from decimal import Decimal
from typing import Any

import pytest

from tests.connections.rules.checks.checking import added, cable, check, checks
from tests.site_files import cells, file, unit

OWN_BOARD = {"id": "battery board", "rating_a": 63, "incoming_a": 40}


def tails(size: str, metres: float = 2, **facts: Any) -> dict[str, Any]:
    """Single-core tails from the meter to the consumer unit, clipped."""
    return {
        "from": "meter",
        "to": "consumer unit",
        "length_mm": int(metres * 1000),
        "csa_mm2": size,
        "material": "copper",
        "insulation": "thermoplastic",
        "cores": 1,
        "method": "C",
        **facts,
    }


def home(cutout: int | None, *cables: dict[str, Any], phases: int = 1, **facts: Any) -> Any:
    """5 kW of charging storage and a charge point of 7.36 kW."""
    loads = {"items": [{"name": "charge point", "w": 7360, "phases": ["L1"]}]}
    parts = [{"unit_id": "bat-1", "charge_w": 5000, "charges_from_grid": True}]
    return file(
        cells("bat-1", 5000),
        phases=phases,
        supply={"cutout_a": cutout},
        cables=list(cables),
        **({"loads": loads, "storage": parts} | facts),
    )


@pytest.mark.parametrize(
    # Clipped single-core cables at 70 °C carry 87, 114 and with three loaded 79 and 104 A (BS 7671
    # table 4D1A, read in a public extract). 25 mm² for 100 A and 16 mm² up to 80 A are usual.
    ("size", "cutout", "phases", "carries", "result"),
    [
        ("16", 100, 1, 87, "over"),
        ("16", 80, 1, 87, "keeps"),
        ("25", 100, 1, 114, "keeps"),
        ("25", 100, 3, 104, "keeps"),
        ("16", 80, 3, 79, "over"),
    ],
)
def test_tails_beside_the_fuse(size, cutout, phases, carries, result):
    content = home(cutout, tails(size), phases=phases)
    found = check(content, "run-from-cut-out")
    assert (found.value, found.limit) == (Decimal(cutout), Decimal(carries))
    assert found.result == result
    told = ("decide", "check-run-from-cut-out", "meter to consumer unit") in added(content)
    assert told is (result == "over")


def test_tails_that_are_not_told_in_full():
    # Clipped 87 A pass 80 A; in conduit 76 A, and in an insulating wall 61 A, do not.
    found = check(home(80, tails("16", method=None)), "run-from-cut-out")
    assert found.result == "missing"
    assert "80 A passes by C (87 A), fails by A (61 A) and B (76 A)" in found.needs[0]
    unknown = check(home(None, tails("16")), "run-from-cut-out")
    assert "the rating of the cut-out" in unknown.needs


def test_tails_that_are_not_among_the_cables_are_named_once():
    found = check(home(100, cable("bat-1")), "run-from-cut-out")
    assert found.result == "missing"
    assert found.needs == ("the cable from the supply terminals to the main board",)
    assert "run-from-cut-out" not in {one.id for one in checks(home(100))}


def test_a_switch_fuse_protects_the_tails():
    fuse = {"kind": "switch-fuse", "serves": "consumer unit", "rating_a": 80}
    found = check(home(100, tails("16"), protection=[fuse]), "run-from-cut-out")
    assert (found.value, found.result) == (Decimal(80), "keeps")


@pytest.mark.parametrize(
    # Common practice: from 3 m on a switch-fuse at the start.
    ("metres", "serves", "told"),
    [(3, "bat-1", False), (5, "bat-1", True), (5, "consumer unit", False), (5, "meter", False)],
)
def test_long_tails_ask_for_a_switch_fuse(metres, serves, told):
    device = {"kind": "switch-fuse", "serves": serves, "rating_a": 100}
    content = home(100, tails("25", metres), protection=[device])
    found = ("inform", "caution-long-tails", "meter to consumer unit")
    assert (found in added(content)) is told


def test_a_run_from_a_connector_block_is_behind_the_same_fuse():
    parts = [
        tails("25", to="connector block"),
        tails("16", to="battery board") | {"from": "connector block"},
        tails("25") | {"from": "connector block"},
        cable("bat-1") | {"from": "battery board"},
    ]
    content = home(100, *parts)
    content["units"][0]["feeds_from"] = "battery board"
    found = {c.subject: c for c in checks(content) if c.id == "run-from-cut-out"}
    assert {subject: one.result for subject, one in found.items()} == {
        "meter to connector block": "keeps",
        "connector block to battery board": "over",
        "connector block to consumer unit": "keeps",
    }
    # The incoming device of 40 A lets less through than the fuse.
    told = check(
        content | {"boards": [OWN_BOARD]}, "run-from-cut-out", "connector block to battery board"
    )
    assert (told.value, told.result) == (Decimal(40), "keeps")
    # One way leads from the terminals to each place, whichever end of a cable comes first.
    other_way = [one | {"from": one["to"], "to": one["from"]} for one in parts]
    turned = home(100, *other_way) | {"units": content["units"]}
    assert len([c for c in checks(turned) if c.id == "run-from-cut-out"]) == 3
    rises = [check(each, "voltage-rise") for each in (content, turned)]
    assert rises[0].value == rises[1].value is not None


def test_a_unit_straight_from_the_meter_needs_its_device():
    run = cable("bat-1") | {"from": "meter"}
    found = check(home(100, run), "run-from-cut-out", "meter to bat-1")
    assert "the protective device of bat-1" in found.needs
    breaker = {"kind": "circuit-breaker", "serves": "bat-1", "rating_a": 25}
    content = home(100, run, protection=[breaker])
    assert "meter to bat-1" not in {
        one.subject for one in checks(content) if one.id == "run-from-cut-out"
    }
    assert check(content, "cable-capacity").value == 25


DEVICES = [
    {"kind": "circuit-breaker", "serves": "pv-1", "rating_a": 20},
    {"kind": "circuit-breaker", "serves": "bat-1", "rating_a": 32},
]


def tapped(tap: str | None, feeds_from: str | None) -> dict[str, Any]:
    return file(
        unit("pv-1", 3680, feeds_from="consumer unit"),
        cells("bat-1", 5000) | {"feeds_from": feeds_from},
        supply={"cutout_a": 80},
        storage=[{"unit_id": "bat-1", "tap": tap}],
        protection=DEVICES,
        boards=[{"id": "consumer unit", "rating_a": 125}, OWN_BOARD],
    )


@pytest.mark.parametrize(
    # 80 A and the device of every source that the board is fed from (551.7.2, secondary).
    ("tap", "feeds_from", "main", "own"),
    [
        (None, "consumer unit", 132, None),
        ("consumer-unit", None, 132, None),
        ("consumer-unit", "battery board", 132, 72),
        (None, "battery board", 100, 72),
        ("service-connectors", "battery board", 100, 72),
    ],
)
def test_board_sums_follow_the_tap(tap, feeds_from, main, own):
    found = {c.subject: c.value for c in checks(tapped(tap, feeds_from)) if c.id == "board-sum"}
    assert found == {"consumer unit": main} | ({"battery board": own} if own else {})


def test_a_tap_at_the_tails_needs_a_board_of_its_own():
    found = {
        c.subject: c for c in checks(tapped("service-connectors", None)) if c.id == "board-sum"
    }
    assert found["consumer unit"].value == 100
    [words] = found["bat-1"].needs
    assert words == "the board of its own that bat-1 feeds, behind the connector block"


def test_the_main_board_does_not_carry_what_is_tapped_ahead_of_it():
    # 3.68 and 5 kW at 230 V: 16 and 21.739 A.
    beside = check(tapped("service-connectors", "battery board"), "service-board")
    assert beside.value == Decimal("16.000")
    through = check(tapped("consumer-unit", "battery board"), "service-board")
    assert through.value == Decimal("37.740")
