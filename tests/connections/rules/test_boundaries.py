"""Sites exactly at a limit that the published text can be read two ways at.

EREC G99 Issue 2: SGI-2 is "less than 32 A" in 6.2.2.3 and at most in the table; SGI-3 "less than
60 A" in 6.2.2.4 and at most in the table and the definition. The short form's 17 kW and 50 kW
differ between operators' pages (secondary). The strict reading is used and the other one told.
"""

import pytest

from connections.rulebook.checking.table import check_table
from tests.connections.rules.editions import written_under
from tests.connections.rules.local_books import book_with, value
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


# The quoted scope of EREC G98 Issue 2 leaves out plant for island operation; practice takes
# long-term parallel plant with a backup output as micro-generation. EREC G99 Issue 2, 6.2.2.2 to
# 6.2.2.4, says nothing of islands.
ISLANDS = [
    ("3.68 kW", [unit("a", can_island=True)], {}, "sgi-1", "g98-single"),
    ("not known", [unit("a", can_island=None)], {}, "sgi-1", "g98-single"),
    ("one of two", [unit("a", 1000), cells("b", 1000, can_island=True)], {}, "sgi-1", "g98-single"),
    ("near others", [unit("a", can_island=True)], {"nearby": {"premises": 1}},
     "sgi-1", "g98-several"),
    # No inverter is a small generation installation.
    ("a machine", [unit("a", can_island=True, kind="synchronous")], {}, "g99-short", "g98-single"),
    # EREC G98 is shut by either reading.
    ("tested to G99", [unit("a", 3600, standard="G99", can_island=True)], {}, "sgi-1", None),
    ("5 kW", [unit("a", 5000, can_island=True)], {}, "sgi-3", None),
    ("short-term parallel",
     [unit("a", can_island=True, operating_mode="short-term-parallel")], {}, "g99-short", None),
    ("cannot", [unit("a")], {}, "g98-single", None),
]  # fmt: skip


@pytest.mark.parametrize("case", ISLANDS, ids=[case[0] for case in ISLANDS])
def test_plant_that_can_run_as_an_island_is_read_both_ways(case):
    _, units, facts, strict, other = case
    answer = decision(*units, **facts)
    told = answer.procedure
    assert (told.key, told.boundary, told.other_reading) == (strict, other is not None, other)
    severities = [f.severity for f in answer.findings if f.id == "boundary"]
    assert severities == (["decide"] if other else [])
    if other:
        [finding] = [f for f in answer.findings if f.id == "boundary"]
        assert "run as an island" in finding.sentence
        assert finding.keys == ("g98.islanding_reading",)
        assert finding.margin is None


# A layer settles it: the other reading lets the plant in, "settled" keeps it out for good.
@pytest.mark.parametrize(("reading", "key"), [("inclusive", "g98-single"), ("settled", "sgi-1")])
def test_an_operator_can_settle_how_islands_are_read(reading, key):
    book = book_with(value("g98.islanding_reading", "text", reading))
    assert check_table(book).complete
    answer = written_under(book, unit("a", can_island=True))
    told = answer.procedure
    assert (told.key, told.boundary, told.other_reading) == (key, False, None)
    severities = {f.id: f.severity for f in answer.findings}
    assert "boundary" not in severities
    assert severities["can-island"] == "decide"


def test_an_operator_can_settle_a_limit_strictly():
    book = book_with(value("g99-short.reading", "text", "settled"))
    told = written_under(book, unit("a", 17_000)).procedure
    assert (told.key, told.boundary, told.other_reading) == ("g99-full-a", False, None)


def test_a_limit_and_an_island_at_once():
    # 32 A with a 16 A limit: `sgi-2` by the other reading; islands shut EREC G98 beside the sum.
    answer = decision(unit("a", can_island=True), cells("b"), limits=limit(16_000))
    assert (answer.procedure.key, answer.procedure.other_reading) == ("sgi-3", "sgi-2")
