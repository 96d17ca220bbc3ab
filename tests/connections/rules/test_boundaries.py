"""Sites exactly at a limit that the published text can be read two ways at.

EREC G99 Issue 2: SGI-2 is "less than 32 A" in 6.2.2.3 and at most in the table; SGI-3 "less than
60 A" in 6.2.2.4 and at most in the table and the definition. The short form's 17 kW and 50 kW
differ between operators' pages (secondary). The strict reading is used and the other one told.
"""

import pytest

from tests.site_files import ALL, L2, cells, decided, decision, found, limit, unit

AT_A_LIMIT = [
    # 3680 + 3680 = 7360 W = 32 A.
    ("32 A with 16 A", [unit("a"), cells("b")], {"limits": limit(16_000)}, "sgi-3", "sgi-2"),
    # 6900 + 6900 = 13,800 W = 60 A.
    ("60 A with 32 A", [unit("a", 6900), cells("b", 6900)], {"limits": limit(32_000)},
     "g99-short", "sgi-3"),
    ("60 A on three phases", [unit("a", 20_700, phases=ALL), cells("b", 20_700, phases=ALL)],
     {"phases": 3, "limits": limit(32_000)}, "g99-short", "sgi-3"),
    ("17 kW", [unit("a", 17_000)], {}, "g99-full-a", "g99-short"),
    ("17 kW split", [unit("a", 8500), unit("b", 8500, phases=L2)], {"phases": 2},
     "g99-full-a", "g99-short"),
    ("50 kW", [unit("a", 50_000, phases=ALL)], {"phases": 3}, "g99-full-a", "g99-short"),
]  # fmt: skip


@pytest.mark.parametrize("case", AT_A_LIMIT, ids=[case[0] for case in AT_A_LIMIT])
def test_at_the_limit_both_readings_are_told(case):
    _, units, facts, strict, other = case
    answer = decision(*units, **facts)
    told = answer.procedure
    assert (told.key, told.boundary, told.other_reading) == (strict, True, other)
    finding = next(f for f in answer.findings if f.id == "boundary")
    assert (finding.severity, finding.margin) == ("decide", 0)
    assert finding.keys


# Nowhere else: at the limit where the other reading gives the same procedure, or beside the limit.
NO_BOUNDARY = [
    # 32 A without a limit, or with one above 16 A: `sgi-3` either way.
    ("32 A without a limit", [unit("a"), cells("b")], {}, "sgi-3"),
    ("32 A with 16.001 A", [unit("a"), cells("b")], {"limits": limit(16_001)}, "sgi-3"),
    ("32 A, limit not tested", [unit("a"), cells("b")],
     {"limits": limit(16_000, type_tested=False)}, "sgi-3"),
    # 32 A with a unit above 16 A: `sgi-2` is shut anyway.
    ("32 A with a larger unit", [unit("a", 4000), cells("b", 3360)], {"limits": limit(16_000)},
     "sgi-3"),
    # 60 A without a limit of 32 A, with a unit above 32 A, or not type tested.
    ("60 A without a limit", [unit("a", 6900), cells("b", 6900)], {}, "g99-short"),
    ("60 A with a larger unit", [unit("a", 8000), cells("b", 5800)], {"limits": limit(32_000)},
     "g99-short"),
    ("60 A not tested", [unit("a", 6900, type_tested="no"), cells("b", 6900)],
     {"limits": limit(32_000)}, "g99-short"),
    # 17 kW and 50 kW: a high-voltage supply has the full form in any case.
    ("17 kW at high voltage", [unit("a", 17_000)], {"supply": {"voltage_level": "HV"}},
     "g99-full-a"),
    ("17 kW on three phases", [unit("a", 17_000)], {"phases": 3}, "g99-short"),
    ("50 kW split", [unit("a", 25_000), unit("b", 25_000, phases=L2)], {"phases": 2}, "g99-full-a"),
    # The published text says at most 16 A everywhere, so there is one reading.
    ("16 A", [unit("a")], {}, "g98-single"),
    ("a watt above 32 A", [unit("a"), cells("b"), unit("c", 1)], {"limits": limit(16_000)},
     "sgi-3"),
    ("a watt below 17 kW", [unit("a", 16_999)], {}, "g99-short"),
    ("a watt above 17 kW", [unit("a", 17_001)], {}, "g99-full-a"),
    # Size classes are "less than" in section 4: one reading.
    ("1 MW", [unit("a", 1_000_000, phases=ALL)], {"phases": 3}, "g99-full-b"),
]  # fmt: skip


@pytest.mark.parametrize("case", NO_BOUNDARY, ids=[case[0] for case in NO_BOUNDARY])
def test_where_the_reading_changes_nothing_there_is_no_boundary(case):
    _, units, facts, key = case
    told = decision(*units, **facts).procedure
    assert (told.key, told.boundary, told.other_reading) == (key, False, None)
    assert found(decided(*units, **facts), "boundary") == []


def test_two_readings_at_once():
    # Split: 7 + 6.8 kW = 13.8 kW = 60 A on L1, and 3.2 kW on L2, 17 kW in all. With a 32 A limit
    # reading both limits as included gives `sgi-3`; without one, 17 kW included gives `g99-short`.
    units = unit("a", 7000), cells("b", 6800), unit("c", 3200, phases=L2)
    limited = decision(*units, phases=2, limits=limit(32_000)).procedure
    assert (limited.key, limited.other_reading) == ("g99-full-a", "sgi-3")
    open_end = decision(*units, phases=2).procedure
    assert (open_end.key, open_end.other_reading) == ("g99-full-a", "g99-short")


def test_an_open_fact_does_not_hide_the_other_reading():
    # 60 A with a 32 A limit: `g99-short` whatever the standing, and `sgi-3` by the other reading
    # if the unit of unknown standing turns out to be tested.
    units = unit("a", 6900, type_tested=None), cells("b", 6900)
    told = decision(*units, limits=limit(32_000)).procedure
    assert (told.key, told.boundary, told.other_reading) == ("g99-short", True, "sgi-3")


def test_a_site_that_is_not_determined_has_no_boundary():
    told = decision(unit("a", 17_000), cells("b", None)).procedure
    assert (told.key, told.boundary, told.other_reading) == ("undetermined", False, None)
