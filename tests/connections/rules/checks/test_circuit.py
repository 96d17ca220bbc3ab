"""Design currents, devices, cables and boards; arithmetic beside each."""

from decimal import Decimal
from typing import Any

import pytest

from tests.connections.rules.checks.checking import BOARD, added, cable, check, checks
from tests.site_files import ALL, cells, file, unit


def breaker(of: str, rating_a: int | None, **facts: Any) -> dict[str, Any]:
    return {"kind": "circuit-breaker", "serves": of, "rating_a": rating_a, **facts}


PF = {"key": "voltage_rise.power_factor", "value": 950, "reason": "asked by the operator"}

CURRENTS = [
    # unit, phases, amps of one unit (S / 230, S / (root 3 x 400), or as declared)
    (unit(rated_w=3680), 1, "16.000"),
    (unit(rated_w=5000), 1, "21.739"),
    (unit(rated_w=17_000, phases=ALL), 3, "24.537"),
    (unit(rated_w=50_000, phases=ALL), 3, "72.169"),
    (unit(rated_w=3680, rated_ma=16_700), 1, "16.700"),
    (unit(rated_w=3680, rated_va=4000), 1, "17.391"),
    (unit(rated_w=3496, q_var=-1149), 1, "16.000"),
]


@pytest.mark.parametrize(("plant", "phases", "amps"), CURRENTS)
def test_design_current(plant, phases, amps):
    found = check(file(plant, phases=phases), "design-current")
    assert (found.value, found.result) == (Decimal(amps), "listed")


def test_the_trap_of_the_power_factor():
    # 3.68 kW kept at 0.95 is 3.8737 kVA and 16.842 A, past the 16 A that the procedure counts.
    found = check(file(unit(), overrides=[PF]), "design-current")
    assert found.value == Decimal("16.842")
    assert "the design current is higher" in " ".join(found.workings)
    assert "16.000 A (230 V, unity power factor)" in " ".join(found.workings)


@pytest.mark.parametrize(
    ("rating_a", "result"), [(20, "keeps"), (16, "close"), (13, "over"), (None, "missing")]
)
def test_the_device_carries_the_design_current(rating_a, result):
    content = file(protection=[breaker("inv-1", rating_a)])
    assert check(content, "device-current").result == result


def test_a_quarter_more_is_a_caution_alone():
    content = file(unit(rated_w=4000), protection=[breaker("inv-1", 20)])  # 17.391 x 1.25 = 21.74
    assert ("inform", "caution-device-choice", "inv-1") in added(content)
    usual = file(protection=[breaker("inv-1", 20)])  # 16 x 1.25 = 20, at the figure
    assert "caution-device-choice" not in {id for _, id, _ in added(usual)}


ARMOURED = "thermoplastic 70 C, armoured"
CAPACITIES: list[tuple[dict[str, Any], str]] = [
    # cable, amps that it carries
    ({"size": "6", "insulation": ARMOURED}, "49"),  # clipped
    ({"size": "6", "insulation": "XLPE 90 C, SWA"}, "49"),  # the terminals are good for 70
    ({"size": "6", "insulation": "thermoplastic, flat"}, "47"),
    ({"size": "6", "insulation": "thermoplastic", "method": "C, twin and earth"}, "47"),
    ({"size": "6", "insulation": "thermoplastic, unarmoured"}, "46"),
    ({"size": "6", "cores": 1}, "47"),
    ({"size": "6", "cores": 1, "method": "B"}, "41"),
    ({"size": "6", "cores": 2}, "46"),  # 47 if flat, 46 or 49 if not: the least
    ({"size": "6", "method": "101"}, "27"),
    ({"size": "6", "method": "Method 103"}, "23.5"),
    ({"size": "6", "insulation": ARMOURED, "ambient_c": 40}, "42.435"),  # x root((70 - 40) / 40)
    ({"size": "6", "insulation": ARMOURED, "grouped": 2}, "39.2"),  # x 0.80
    ({"size": "6", "capacity_a": 35}, "35"),  # the designer's own
    ({"size": "4", "method": "D"}, "37"),
]


@pytest.mark.parametrize(("facts", "carries"), CAPACITIES)
def test_what_a_cable_carries(facts, carries):
    content = file(cables=[cable(**facts)], protection=[breaker("inv-1", 20)])
    found = check(content, "cable-capacity")
    assert found.value == 20
    assert float(found.limit or 0) == pytest.approx(float(carries), abs=1e-3)
    assert found.result == "keeps"


def test_a_device_above_the_cable_is_told():
    content = file(cables=[cable(size="2.5")], protection=[breaker("inv-1", 32)])
    found = check(content, "cable-capacity")
    assert (found.value, found.limit, found.result) == (Decimal(32), Decimal(28), "over")
    assert ("decide", "check-cable-capacity", f"{BOARD} to inv-1") in added(content)


def laid(rating_a: int, **facts: Any) -> Any:
    content = file(cables=[cable(**facts)], protection=[breaker("inv-1", rating_a)])
    return check(content, "cable-capacity")


def test_which_is_it_is_asked_only_where_it_matters():
    # Flat, 6 mm²: C 47 A, 100 34 A, 103 23.5 A (BS 7671 table 4D5, from memory).
    flat = {"size": "6", "insulation": "thermoplastic, flat", "method": None}
    found = laid(32, **flat)
    assert found.result == "missing"
    assert found.needs == (
        f"how the cable {BOARD} to inv-1 is laid, and of which kind it is: 32 A passes by A "
        "(32 A), C (47 A), 100 (34 A) and 102 (35 A), fails by 101 (27 A) and 103 (23.5 A): "
        "which is it?",
    )
    assert laid(20, **flat).result == "keeps"
    assert laid(50, **flat).result == "over"


def test_the_kind_is_asked_where_it_matters():
    # Clipped, 6 mm²: armoured 49 A, flat 47 A, unarmoured 46 A.
    found = laid(47, size="6", cores=2)
    assert found.result == "missing"
    assert "passes as flat twin and earth by C (47 A); as armoured by C (49 A)" in found.needs[0]
    assert "fails as unarmoured by C (46 A)" in found.needs[0]
    assert laid(46, size="6", cores=2).result == "keeps"
    assert laid(50, size="6", cores=2).result == "over"


def test_a_loft_says_up_to_which_temperature_it_holds():
    # 16 A in 21 A at 30 °C: 70 - 40 x (16 / 21)^2 = 46.8 °C.
    found = laid(16, size="2.5", method="100")
    assert "this holds up to 47 °C" in " ".join(found.workings)
    warm = laid(16, size="2.5", method="100", ambient_c=50)
    assert warm.result == "over"  # 21 x root(20 / 40) = 14.849 A


def test_units_that_share_a_cable_add_at_one_voltage():
    # 11.04 kW on three phases and 3.68 kW on one: 16 A and 16 A at 230 V on L1.
    parts = [
        {"from": "main", "to": "garage", "length_mm": 20_000, "csa_mm2": "6", "cores": 4}
        | {"insulation": ARMOURED, "material": "copper", "method": "C"},
        cable("a", board="garage"),
        cable("b", board="garage"),
    ]
    for one in parts[1:]:
        one["from"] = one.pop("board")
    content = file(
        unit("a", 11_040, phases=ALL, feeds_from="garage"),
        unit("b", 3680, feeds_from="garage"),
        phases=3,
        cables=parts,
    )
    assert check(content, "cable-capacity", "main to garage").value == Decimal("32.000")


@pytest.mark.parametrize(
    ("facts", "needs"),
    [
        ({"size": "2.5", "method": None}, "is laid"),
        ({"insulation": None}, "the insulation"),
        ({"size": "7"}, "no resistance is known for 7 mm²"),
        ({"material": "steel"}, '"steel" is not known'),
        ({"grouped": 20}, "the factor for 20 circuits"),
        ({"ambient_c": 70}, "leaves nothing to carry"),
        ({"material": "aluminium", "size": "16"}, "no table is held for aluminium"),
    ],
)
def test_what_a_cable_needs(facts, needs):
    content = file(cables=[cable(metres=5, **facts)], supply={"prospective_fault_a": 500})
    found = [
        one
        for one in (check(content, "cable-capacity"), check(content, "voltage-rise"))
        if one.result == "missing"
    ]
    assert any(needs in words for one in found for words in one.needs)
    assert [s for s, _, _ in added(content) if s == "decide"] == []


def test_the_largest_fault_is_never_taken_from_a_loop():
    supply = {"earthing": "TN-C-S", "loop_impedance_uohm": 350_000}
    content = file(cables=[cable()], protection=[breaker("inv-1", 20)], supply=supply)
    assert check(content, "fault-level").result == "missing"
    assert ("assumed", "16000 A") in {
        (one.origin, one.value) for one in check(content, "cable-withstand").inputs
    }


@pytest.mark.parametrize(
    # 100 A and one or two sources of 16 A: 116 and 132 A (551.7.2, secondary).
    ("sources", "rating_a", "total", "result"),
    [(1, 116, 116, "keeps"), (1, 115, 116, "over"), (2, 132, 132, "keeps"), (2, 125, 132, "over")],
)
def test_a_board_fed_from_two_sides(sources, rating_a, total, result):
    names = [f"a{n}" for n in range(sources)]
    content = file(
        *(unit(name, 3000) for name in names),
        protection=[breaker(name, 16) for name in names],
        boards=[{"id": "consumer unit", "rating_a": rating_a, "incoming_a": 100}],
    )
    found = check(content, "board-sum")
    assert (found.value, found.result) == (total, result)


def test_the_cut_out_stands_for_the_incoming_device_of_the_main_board_alone():
    board = {"id": "main board", "rating_a": 125}
    devices = [breaker("inv-1", 16)]
    content = file(boards=[board], protection=devices, supply={"cutout_a": 100})
    assert check(content, "board-sum").value == 116
    other = file(
        unit(feeds_from="garage"),
        boards=[board | {"id": "garage"}],
        protection=devices,
        supply={"cutout_a": 100},
    )
    assert "the incoming device of the board garage" in check(other, "board-sum").needs


def test_the_drop_while_storage_charges():
    plant = cells("bat-1", 3680)
    parts = [{"unit_id": "bat-1", "charge_w": 3680, "charges_from_grid": True}]
    found = check(file(plant, cables=[cable("bat-1")], storage=parts), "charging-drop")
    # V2 = (V + sqrt(V^2 - 4 P R)) / 2 with R 0.184261: 227.013 V, a drop of 1.2987 %.
    exact = 230 - (230 + (230**2 - 4 * 3680 * 0.184261) ** 0.5) / 2
    assert float(found.value or 0) == pytest.approx(exact / 230 * 100, abs=2e-3)
    idle = [parts[0] | {"charges_from_grid": False}]
    content = file(plant, cables=[cable("bat-1")], storage=idle)
    assert "charging-drop" not in {one.id for one in checks(content)}


@pytest.mark.parametrize(
    # A run of 6 mm² (armoured, 49 A) to a garage board: what feeds the board counts, and not the
    # 20 A of the unit behind it.
    ("facts", "through", "result"),
    [
        ({}, "16.000", "keeps"),
        ({"protection": [breaker("inv-1", 20), breaker("garage", 63)]}, "63", "over"),
        ({"protection": [breaker("inv-1", 20), breaker("garage", 40)]}, "40", "keeps"),
        ({"boards": [{"id": "garage", "incoming_a": 63}]}, "63", "over"),
    ],
)
def test_a_run_to_a_board_carries_what_feeds_the_board(facts, through, result):
    run = cable(insulation=ARMOURED) | {"from": "main board", "to": "garage", "unit_id": None}
    content = file(
        unit(feeds_from="garage"),
        **(
            {"cables": [run, cable() | {"from": "garage"}], "protection": [breaker("inv-1", 20)]}
            | facts
        ),
    )
    found = check(content, "cable-capacity", "main board to garage")
    assert (found.value, found.result) == (Decimal(through), result)
