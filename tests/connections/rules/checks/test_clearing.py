"""Faults on circuits: cables withstand them, devices open in time; arithmetic beside each."""

from decimal import Decimal
from typing import Any

import pytest

from connections.facts.devices import breaker_type
from connections.facts.site import Protection
from tests.connections.rules.checks.checking import BOARD, added, cable, check, checks
from tests.site_files import file, unit

MEASURED = {"prospective_fault_a": 1500, "fault_measured": True}


def device(kind: str = "MCB type B", rating_a: int = 20, **facts: Any) -> dict[str, Any]:
    return {"kind": kind, "serves": "inv-1", "rating_a": rating_a, **facts}


@pytest.mark.parametrize(
    ("kind", "type_"),
    [
        ("MCB type B", "B"), ("circuit-breaker C20", "C"), ("B 16 circuit breaker", "B"),
        ("MCB, curve D", "D"), ("RCBO B32 type A", "B"), ("RCBO type C", "C"),
        # The type of an RCBO's residual current may be B, and a fuse has none.
        ("RCBO type B", None), ("circuit-breaker", None), ("MCB type B C20", None),
    ],
)  # fmt: skip
def test_the_type_of_a_circuit_breaker(kind, type_):
    assert breaker_type(Protection(kind=kind)) == type_


@pytest.mark.parametrize(
    ("kind", "stated", "type_"),
    [
        ("circuit-breaker", "C", "C"), ("RCBO type B", "B", "B"), ("RCBO", None, None),
        # Said in two ways it is not known.
        ("MCB type B", "C", None),
    ],
)  # fmt: skip
def test_a_type_that_is_stated(kind, stated, type_):
    assert breaker_type(Protection(kind=kind, breaker_type=stated)) == type_


def test_a_cable_within_its_device_s_reach_is_deemed_protected():
    # 20 A through 6 mm² that carries 46 A or more, 6 kA where 1.5 kA flow: nothing more is asked,
    # not even the type of the breaker. The old 0.1 s at 1.5 kA wanted 4.125 mm².
    content = file(
        cables=[cable(size="4")],
        protection=[device("circuit-breaker", breaking_a=6000)],
        supply=MEASURED,
    )
    found = check(content, "cable-withstand")
    assert (found.result, found.needs) == ("keeps", ())
    assert any("435.1" in line for line in found.workings)


def test_where_it_is_not_both_ends_of_the_cable_count():
    # The breaking capacity is not known. At 1519 A a class 3 breaker B20 lets 18,000 A²s through,
    # and at the far end no more: root(18,000) / 115 = 1.1667 mm².
    content = file(cables=[cable(size="4")], protection=[device()], supply=MEASURED)
    found = check(content, "cable-withstand")
    assert (found.value, found.limit, found.result) == (Decimal("1.167"), Decimal(4), "keeps")
    # C32 for 10 kA at 7 kA: 110,000 A²s, 2.884 mm², above 2.5 mm².
    seven = {"prospective_fault_a": 7000, "fault_measured": True}
    thin = file(
        cables=[cable(size="2.5", metres=10)],
        protection=[device("MCB C32", 32, breaking_a=10_000)],
        supply=seven,
    )
    found = check(thin, "cable-withstand")
    assert (found.value, found.result) == (Decimal("2.885"), "over")
    assert ("decide", "check-cable-withstand", found.subject) in added(thin)


@pytest.mark.parametrize(
    ("devices", "supply", "needs"),
    [
        ([], MEASURED, "the protective device of inv-1"),
        # 509 A at the far end; D of 32 A opens at once from 640 A on.
        ([device("circuit-breaker", 32)], MEASURED, "the type of the circuit-breaker of inv-1"),
        # 16 kA are declared, and the table ends at 10 kA.
        ([device()], {}, "the prospective fault current, measured"),
        # 0.95 x 230 V / (0.690 + 0.276) ohm are 226 A: C of 32 A may take its time.
        (
            [device("MCB C32", 32)], {"line_neutral_uohm": 690_000, **MEASURED},
            "how long the MCB C32 of inv-1 takes at 226 A",
        ),
        ([device("fuse", 33)], MEASURED, "the gates of a fuse of 33 A"),
    ],
)  # fmt: skip
def test_what_the_fault_of_a_cable_needs(devices, supply, needs):
    content = file(cables=[cable(size="4")], protection=devices, supply=supply)
    found = check(content, "cable-withstand")
    assert found.result == "missing"
    assert any(said.startswith(needs) for said in found.needs), found.needs


def test_a_fuse_by_its_gates():
    # 32 A at 1519 A and at 509 A, both above the gate of 350 A: root(12,250) / 115 = 0.9625 mm².
    content = file(cables=[cable(size="4")], protection=[device("fuse", 32)], supply=MEASURED)
    assert check(content, "cable-withstand").value == Decimal("0.963")


def test_a_run_to_a_board_is_held_beside_the_device_of_the_board():
    # C32 lets 22,000 A²s through at 1519 A: root(22,000) / 115 = 1.2898 mm². B20 of the unit is
    # behind the board, and so no help to the run ahead of it.
    runs = [cable("garage board", unit_id=None, size="2.5"), cable() | {"from": "garage board"}]
    serving = {**device("MCB C32", 32), "serves": "garage board"}
    content = file(
        unit(feeds_from="garage board"), cables=runs, protection=[device()], supply=MEASURED
    )
    run = f"{BOARD} to garage board"
    lacks = check(content, "cable-withstand", run)
    assert lacks.needs == ("the protective device of garage board",)
    content["protection"].append(serving)
    assert check(content, "cable-withstand", run).value == Decimal("1.29")
    # Two units behind the board change nothing in this.
    content["units"].append(unit("inv-2", feeds_from="garage board"))
    content["cables"].append(cable("inv-2") | {"from": "garage board"})
    content["protection"].append(device(serves="inv-2"))
    assert check(content, "cable-withstand", run).result == "keeps"


@pytest.mark.parametrize(
    # The On-Site Guide has 19.51 mohm/m for 2.5 and 1.5 mm² at 20 °C, 1.20 times as much at 70 °C,
    # and 1.37 ohm for B32 (from memory): (1.3656 - 0.35) / (0.01951 x 1.1965) = 43.5 m. With
    # 2.5 mm² back, (1.3656 - 0.35) / (2 x 0.00741 x 1.1965) = 57.3 m.
    ("metres", "result"),
    [(43, "keeps"), (44, "missing"), (57, "missing"), (58, "over")],
)
def test_how_far_a_device_opens_in_time(metres, result):
    supply = {"earthing": "TN-C-S", "loop_impedance_uohm": 350_000, "loop_measured": True}
    content = file(
        cables=[cable(size="2.5", metres=metres)], protection=[device(rating_a=32)], supply=supply
    )
    found = check(content, "disconnection")
    assert found.result == result
    assert (found.limit, found.bound) in ((Decimal(160), "at least"), (None, "at most"))
    if result == "missing":
        assert found.needs[0].startswith("the size of the protective conductor (at worst")
    # 1.5 mm² as stated: 43.5 m and no more; 2.5 mm²: 57.3 m.
    for size, most in (("1.5", 43), ("2.5 mm²", 57)):
        own = content | {"cables": [content["cables"][0] | {"protective_mm2": size}]}
        assert check(own, "disconnection").result == ("keeps" if metres <= most else "over")
    # The same loop as a declared one proves that the device opens, never that it does not.
    declared = content | {"supply": content["supply"] | {"loop_measured": False}}
    assert check(declared, "disconnection").result == ("keeps" if result == "keeps" else "missing")
    # A residual-current device opens wherever the other does not.
    rcd = {"kind": "RCD", "serves": "consumer unit", "trip_ma": 30}
    content["protection"].append(rcd)
    assert check(content, "disconnection").result == "keeps"


def test_disconnection_where_little_is_known():
    run: dict[str, Any] = {"cables": [cable()], "protection": [device()]}
    # 0.8 ohm at most of TN-S; 25 m of 6 and 2.5 mm² at 70 °C (3.08 + 7.41) x 1.1965 x 0.025 =
    # 0.31378 + j0.004, 0.31381 ohm: 218.5 V / 1.11381 ohm = 196.174 A, and B20 wants 100.
    tn_s = check(file(**run, supply={"earthing": "TN-S"}), "disconnection")
    assert (tn_s.value, tn_s.result) == (Decimal("196.173"), "keeps")
    unknown = check(file(**run), "disconnection")
    assert unknown.needs == ("the loop impedance of the supply",)
    # On TT a residual-current device opens, which has its own checks.
    tt = file(**run, supply={"earthing": "TT"})
    assert "disconnection" not in {one.id for one in checks(tt)}


def test_an_island_is_opened_by_residual_current():
    plant = unit(can_island=True)
    run: dict[str, Any] = {"cables": [cable()], "protection": [device()]}
    # 1.2 x 16 A: no over-current device need open on 19.2 A.
    found = check(file(plant, **run), "disconnection", "inv-1 as an island")
    assert found.needs == (
        "the residual-current device of the circuits that inv-1 feeds as an island",
    )
    assert any("at most 19.2 A" in line for line in found.workings)
    run["protection"].append({"kind": "RCBO", "serves": "backup board", "trip_ma": 30})
    assert check(file(plant, **run), "disconnection", "inv-1 as an island").result == "keeps"
    assert "inv-1 as an island" not in {one.subject for one in checks(file(**run))}
