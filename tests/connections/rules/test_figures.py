"""Modules, facilities and aggregates of EREC G99 Issue 2, figures 4.2 to 4.4, 4.6, 4.7 and A.4.2.

Figure 4.5 (75 MW) is larger than is prepared here.
"""

import pytest

from connections.rules.decide import Decided
from tests.site_files import ALL, cells, decided, decision, found, procedure, unit

OLD_DAY, NEW_DAY = "2022-08-31", "2022-09-01"


def modules(answer: Decided) -> list[tuple[str, int | None, str | None]]:
    return [(module.kind, module.w, module.size_class) for module in answer.modules]


def test_figure_4_2_three_inverters_are_one_module():
    # 3 x 2 kW of inverters at one connection point: one power park module of 6 kW, Type A.
    answer = decision(unit("a", 2000, quantity=3), phases=3)
    assert [(m.kind, m.w, m.size_class) for m in answer.modules] == [("power-park", 6000, "A")]
    assert answer.facility_w == 6000


def test_figure_4_3_synchronous_units_are_modules_of_their_own():
    # 3 x 400 kW synchronous: three modules of Type A, a facility of 1.2 MW.
    sets = unit("gen", 400_000, kind="synchronous", source="chp", phases=ALL, quantity=3,
                type_tested="no")  # fmt: skip
    answer = decided(sets, phases=3)
    assert modules(answer) == [("synchronous", 400_000, "A")] * 3
    assert decision(sets, phases=3).facility_w == 1_200_000
    assert answer.procedure == "g99-full-a"  # the largest module is below 1 MW


def test_figure_4_3_the_same_on_lines_of_their_own():
    sets = [unit(name, 400_000, kind="synchronous", phases=ALL, type_tested="no") for name in "abc"]
    answer = decided(*sets, phases=3)
    assert [module.units for module in answer.modules] == [("a",), ("b",), ("c",)]
    assert answer.procedure == "g99-full-a"


def test_figure_4_4_inverters_and_asynchronous_units_are_one_module():
    # 400 kW of inverters + 2 x 400 kW asynchronous = 1.2 MW: one module of Type B.
    mixed = [
        unit("pv", 400_000, phases=ALL, type_tested="no"),
        unit("wind", 400_000, kind="asynchronous", source="wind", phases=ALL, quantity=2,
             type_tested="no"),
    ]  # fmt: skip
    answer = decided(*mixed, phases=3)
    assert modules(answer) == [("power-park", 1_200_000, "B")]
    assert answer.procedure == "g99-full-b"


def test_figure_4_6_a_shared_inverter_counts_once():
    # Panels and cells behind one inverter of 3.68 kW: 3.68 kW, whatever stands behind it.
    answer = decision(
        unit("a", 3680, source="pv+storage"),
        arrays=[{"unit_id": "a", "peak_w": 6000}],
        storage=[{"unit_id": "a", "usable_wh": 10_000, "discharge_w": 5000}],
    )
    assert answer.total_w == 3680
    assert answer.per_phase_ma == {"L1": 16_000}
    assert answer.procedure.key == "g98-single"


def test_figure_4_7_separate_inverters_add():
    # 3.68 kW of PV + 3.68 kW of storage = 7.36 kW = 32 A.
    answer = decision(unit("a", 3680), cells("b", 3680))
    assert answer.total_w == 7360
    assert answer.per_phase_ma == {"L1": 32_000}
    assert answer.procedure.key == "sgi-3"


# Annex A.4.2.4.1 and figure A.4.2: 60 kW of PV and 30 kW of storage with its own inverter.
@pytest.mark.parametrize(
    ("day", "module", "outside"),
    [(OLD_DAY, 60_000, [("inform", "b")]), (NEW_DAY, 90_000, []), (None, 90_000, [])],
)
def test_figure_a_4_2_older_storage_stands_outside_the_module(day, module, outside):
    units = (
        unit("a", 60_000, phases=ALL, type_tested="no"),
        cells("b", 30_000, phases=ALL, type_tested="no", status="existing", commissioned_on=day),
    )
    answer = decided(*units, phases=3)
    assert modules(answer) == [("power-park", module, "A")]
    assert decision(*units, phases=3).facility_w == 90_000
    assert found(answer, "storage-outside-module") == outside


def test_older_storage_can_keep_a_site_in_its_class():
    # 990 kW + 20 kW: 1010 kW in one module is Type B, 990 kW beside it is Type A.
    pv = unit("a", 990_000, phases=ALL, type_tested="no")
    for day, wanted in ((OLD_DAY, "g99-full-a"), (NEW_DAY, "g99-full-b")):
        battery = cells("b", 20_000, phases=ALL, type_tested="no", status="existing",
                        commissioned_on=day)  # fmt: skip
        assert procedure(pv, battery, phases=3) == wanted


def test_older_storage_behind_panels_inverter_is_no_separate_storage():
    battery = cells("b", 30_000, phases=ALL, type_tested="no", status="existing",
                    commissioned_on=OLD_DAY)  # fmt: skip
    pv = unit("a", 60_000, phases=ALL, type_tested="no")
    answer = decided(pv, battery, phases=3, arrays=[{"unit_id": "b", "peak_w": 20_000}])
    assert modules(answer) == [("power-park", 90_000, "A")]


# Section 4: 0.8 kW, 1 MW, 10 MW and 50 MW, each from the limit on.
@pytest.mark.parametrize(
    ("watts", "size_class"),
    [
        (799, "below A"),
        (800, "A"),
        (999_999, "A"),
        (1_000_000, "B"),
        (9_999_999, "B"),
        (10_000_000, "C"),
        (49_999_999, "C"),
        (50_000_000, "D"),
    ],
)
def test_size_classes(watts, size_class):
    assert modules(decided(unit("a", watts, phases=ALL), phases=3))[0][2] == size_class


def test_a_capacity_that_is_not_known_leaves_the_module_open():
    assert modules(decided(unit("a", None), cells("b", 3000))) == [("power-park", None, None)]


def test_removed_and_switched_plant_is_in_no_module():
    answer = decided(
        unit("a", 3680),
        unit("b", 3680, status="removed"),
        unit("c", 3680, operating_mode="switched"),
    )
    assert [module.units for module in answer.modules] == [("a",)]
    assert found(answer, "switched-only") == [("inform", "c")]
    assert answer.procedure == "g98-single"
