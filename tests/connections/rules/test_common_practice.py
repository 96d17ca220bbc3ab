"""Everyday sites with their sums. Common practice, no source."""

import pytest

from tests.site_files import cells, decision, limit, procedure, unit

MICRO = unit("micro", 350, quantity=10)  # 10 x 350 W = 3.5 kW


def test_separate_inverters_are_8_5_kw_to_the_network():
    answer = decision(cells("bat", 5000), MICRO)
    assert answer.total_w == 8500
    assert answer.per_phase_ma == {"L1": 36_957}  # 8500 / 230 = 36.9565 A
    assert answer.per_phase_exact == {"L1": (850_000, 23)}
    assert answer.procedure.key == "g99-short"


def test_a_32_a_limiter_brings_them_to_a_small_installation():
    answer = decision(cells("bat", 5000), MICRO, limits=limit(32_000))
    assert answer.procedure.key == "sgi-3"
    assert answer.total_w == 8500  # the limit is not a smaller machine
    assert answer.export_per_phase_ma == {"L1": 32_000}
    assert answer.export_w == 7360


def test_one_shared_inverter_is_5_kw():
    answer = decision(
        unit("shared", 5000, source="pv+storage"),
        arrays=[{"unit_id": "shared", "peak_w": 3500}],
        storage=[{"unit_id": "shared", "usable_wh": 10_000}],
    )
    assert answer.total_w == 5000
    assert answer.per_phase_ma == {"L1": 21_739}  # 5000 / 230 = 21.739 A
    assert answer.per_phase_exact == {"L1": (500_000, 23)}
    assert answer.procedure.key == "sgi-3"


# What an export limit can do for the procedure: without one, with one of 16 A, with one of 32 A.
LIMITS = [
    # Above 16 and below 32 A, units at most 16 A: 16 A reaches `sgi-2`, without it `sgi-3` holds.
    ("17 A", [unit("a", 2000), cells("b", 1910)], "sgi-3", "sgi-2", "sgi-3"),
    ("31.9 A", [unit("a", 3680), cells("b", 3650)], "sgi-3", "sgi-2", "sgi-3"),
    # Above 32 and below 60 A, units at most 32 A: 32 A reaches `sgi-3`, and so does a tighter one.
    ("33 A", [unit("a", 3680), cells("b", 3910)], "g99-short", "sgi-3", "sgi-3"),
    ("59.9 A", [unit("a", 6900), cells("b", 6890)], "g99-short", "sgi-3", "sgi-3"),
    # From 60 A, or with a unit above 32 A: no limit changes the procedure.
    ("60.1 A", [unit("a", 6900), cells("b", 6930)], "g99-short", "g99-short", "g99-short"),
    ("a unit of 32.1 A", [unit("a", 7390)], "g99-short", "g99-short", "g99-short"),
    # Two 5 kW inverters with a 32 A limit are `sgi-3`, one of 10 kW is 43.5 A and `g99-short`.
    ("two of 5 kW", [unit("a", 5000), cells("b", 5000)], "g99-short", "sgi-3", "sgi-3"),
    ("one of 10 kW", [unit("a", 10_000, source="pv+storage")],
     "g99-short", "g99-short", "g99-short"),
]  # fmt: skip


@pytest.mark.parametrize("case", LIMITS, ids=[case[0] for case in LIMITS])
def test_what_an_export_limit_can_do(case):
    _, units, without, at_16, at_32 = case
    assert procedure(*units) == without
    assert procedure(*units, limits=limit(16_000)) == at_16
    assert procedure(*units, limits=limit(32_000)) == at_32


# 4.6 kW of storage with its own inverter beside 10 x 345 W = 3.45 kW of micro-inverters.
def test_the_example_of_4_6_kw_beside_micro_inverters():
    separate = cells("bat", 4600), unit("micro", 345, quantity=10)
    answer = decision(*separate)
    assert answer.total_w == 8050
    assert answer.per_phase_ma == {"L1": 35_000}  # 8050 / 230 = 35
    assert answer.procedure.key == "g99-short"
    assert decision(*separate, limits=limit(32_000)).procedure.key == "sgi-3"
    shared = decision(unit("shared", 4600, source="pv+storage"))
    assert shared.per_phase_ma == {"L1": 20_000}
    assert shared.procedure.key == "sgi-3"
    assert shared.steps[0].what == "application"
    smaller = decision(unit("shared", 3680, source="pv+storage"))
    assert smaller.procedure.key == "g98-single"
    assert [step.what for step in smaller.steps] == ["notification"]
