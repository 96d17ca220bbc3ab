"""The procedure table of EREC G99 Issue 2, 6.2.2.1: every limit at, a watt below and a watt above.

At 230 V a phase: 16 A = 3680 W, 32 A = 7360 W, 60 A = 13,800 W; on three phases three times that.
The bounds of the short form (17 kW, 50 kW) are from operators' guidance (secondary), those of the
size classes from section 4. Where the text can be read two ways the strict reading is taken
("below" 32 A, 60 A, 17 kW and 50 kW), so that at the limit the procedure is already the next.
"""

import pytest

from tests.site_files import ALL, L1, L2, cells, limit, procedure, unit

# What varies, in watts: limit, then the procedures a watt below, at it, and a watt above.
WATTS = [
    # G98, footnote 4: 16 A a phase for one unit.
    ("g98 unit", lambda w: [unit("a", w)], {}, 3680, "g98-single", "g98-single", "sgi-3"),
    # 3000 W + 680 W = 3680 W = 16 A on L1.
    ("g98 sum", lambda w: [unit("a", 3000), cells("b", w)], {},
     680, "g98-single", "g98-single", "sgi-3"),
    # The cautious reading of a design capacity: the same 16 A.
    ("g98 design", lambda w: [unit("a", 3600, design_w=w, standard="G98", limited_by="maker")], {},
     3680, "g98-single", "g98-single", "sgi-1"),
    # Table, SGI-1: design at most 32 A, unit and sum at most 16 A.
    ("sgi-1 design", lambda w: [unit("a", 3600, design_w=w)], {},
     7360, "sgi-1", "sgi-1", "g99-short"),
    ("sgi-1 unit", lambda w: [unit("a", w, design_w=5000)], {}, 3680, "sgi-1", "sgi-1", "sgi-3"),
    ("sgi-1 sum", lambda w: [unit("a", 3000, design_w=5000), cells("b", w)], {},
     680, "sgi-1", "sgi-1", "sgi-3"),
    # Table, SGI-2, with a 16 A limit: unit at most 16 A, sums below 32 A.
    # 3680 + 1000 + w: at w = 2680 it is 7360 W = 32 A.
    ("sgi-2 sum", lambda w: [unit("a", 3680), unit("b", 1000), cells("c", w)],
     {"limits": limit(16_000)}, 2680, "sgi-2", "sgi-3", "sgi-3"),
    ("sgi-2 unit", lambda w: [unit("a", w), cells("b", 2000)],
     {"limits": limit(16_000)}, 3680, "sgi-2", "sgi-2", "sgi-3"),
    ("sgi-2 design", lambda w: [unit("a", 3000, design_w=w), cells("b", 3000)],
     {"limits": limit(16_000)}, 7360, "sgi-2", "sgi-2", "g99-short"),
    # Table, SGI-3, with a 32 A limit: unit and design at most 32 A, sums below 60 A.
    ("sgi-3 unit", lambda w: [unit("a", w)], {"limits": limit(32_000)},
     7360, "sgi-3", "sgi-3", "g99-short"),
    ("sgi-3 design", lambda w: [unit("a", 7000, design_w=w)], {"limits": limit(32_000)},
     7360, "sgi-3", "sgi-3", "g99-short"),
    # 7000 + 6800 = 13,800 W = 60 A.
    ("sgi-3 sum", lambda w: [unit("a", 7000), cells("b", w)], {"limits": limit(32_000)},
     6800, "sgi-3", "g99-short", "g99-short"),
    # Without a limit, sums of at most 32 A: 4000 + 3360 = 7360 W.
    ("sgi-3 waiver", lambda w: [unit("a", 4000), cells("b", w)], {},
     3360, "sgi-3", "sgi-3", "g99-short"),
    # The short form: below 17 kW on single-phase and split supplies, below 50 kW on three phases.
    ("short single", lambda w: [unit("a", w)], {}, 17_000, "g99-short", "g99-full-a", "g99-full-a"),
    ("short split", lambda w: [unit("a", 9000), unit("b", w, phases=L2)], {"phases": 2},
     8000, "g99-short", "g99-full-a", "g99-full-a"),
    ("short three", lambda w: [unit("a", w, phases=ALL)], {"phases": 3},
     50_000, "g99-short", "g99-full-a", "g99-full-a"),
    # Section 4: Type A below 1 MW, Type B below 10 MW.
    ("type a", lambda w: [unit("a", w, phases=ALL)], {"phases": 3},
     1_000_000, "g99-full-a", "g99-full-b", "g99-full-b"),
    ("type b", lambda w: [unit("a", w, phases=ALL)], {"phases": 3},
     10_000_000, "g99-full-b", "beyond", "beyond"),
]  # fmt: skip


@pytest.mark.parametrize("case", WATTS, ids=[case[0] for case in WATTS])
def test_limits_in_watts(case):
    _, units, facts, at, *wanted = case
    assert [procedure(*units(w), **facts) for w in (at - 1, at, at + 1)] == wanted


# The same on three phases: 16 A = 11,040 W, 32 A = 22,080 W, 60 A = 41,400 W.
THREE = [
    ("g98 unit", lambda w: [unit("a", w, phases=ALL)], {},
     11_040, "g98-single", "g98-single", "sgi-3"),
    ("sgi-1 design", lambda w: [unit("a", 11_000, phases=ALL, design_w=w)], {},
     22_080, "sgi-1", "sgi-1", "g99-short"),
    # 11,040 + 11,040 = 22,080 W = 32 A a phase.
    ("sgi-2 sum", lambda w: [unit("a", 11_040, phases=ALL), cells("b", w, phases=ALL)],
     {"limits": limit(16_000)}, 11_040, "sgi-2", "sgi-3", "sgi-3"),
    ("sgi-3 unit", lambda w: [unit("a", w, phases=ALL)], {}, 22_080, "sgi-3", "sgi-3", "g99-short"),
    # 21,000 + 20,400 = 41,400 W = 60 A a phase.
    ("sgi-3 sum", lambda w: [unit("a", 21_000, phases=ALL), cells("b", w, phases=ALL)],
     {"limits": limit(32_000)}, 20_400, "sgi-3", "g99-short", "g99-short"),
]  # fmt: skip


@pytest.mark.parametrize("case", THREE, ids=[case[0] for case in THREE])
def test_limits_in_watts_on_three_phases(case):
    _, units, facts, at, *wanted = case
    assert [procedure(*units(w), phases=3, **facts) for w in (at - 1, at, at + 1)] == wanted


# One phase of three over a limit is enough: 3 x 3680 W spread evenly is 16 A, a watt more is not.
@pytest.mark.parametrize(("last", "wanted"), [(3680, "g98-single"), (3681, "sgi-3")])
def test_the_fullest_phase_decides(last, wanted):
    units = [unit("a", 3680), unit("b", 3680, phases=["L2"]), unit("c", last, phases=["L3"])]
    assert procedure(*units, phases=3) == wanted


# Export limits in mA, as the table names them: at most 16 A and at most 32 A.
MILLIAMPS = [
    # 2 x 2990 W = 5980 W = 26 A.
    ("sgi-2", [unit("a", 2990), cells("b", 2990)], 16_000, "sgi-2", "sgi-2", "sgi-3"),
    # 2 x 5000 W = 10,000 W = 43.478 A.
    ("sgi-3", [unit("a", 5000), cells("b", 5000)], 32_000, "sgi-3", "sgi-3", "g99-short"),
]


@pytest.mark.parametrize("case", MILLIAMPS, ids=[case[0] for case in MILLIAMPS])
def test_limits_in_milliamps(case):
    _, units, at, *wanted = case
    assert [procedure(*units, limits=limit(ma)) for ma in (at - 1, at, at + 1)] == wanted


# The column of type tests: what each procedure takes.
STANDING = [
    ("full", "G98", "g98-single"),
    ("full", "G99", "sgi-1"),
    ("full", "G83", "g99-short"),  # older standards only for plant that is there
    ("full", "G59", "g99-short"),
    ("full", "EN 50549-1", "g99-short"),
    ("part", "G98", "g99-short"),
    ("no", "G98", "g99-short"),
    ("part", "G99", "g99-short"),
]


@pytest.mark.parametrize(("tested", "standard", "wanted"), STANDING)
def test_standing(tested, standard, wanted):
    assert procedure(unit("a", 3000, type_tested=tested, standard=standard)) == wanted


# Footnotes 11 to 13: plant of before 27 April 2019 stays on G83 or G59.
EARLIER = [
    ("existing", "2019-04-26", "G83", "g98-single"),
    ("existing", "2019-04-27", "G83", "g99-short"),
    ("existing", "2019-04-26", "G59", "sgi-1"),
    ("existing", "2019-04-27", "G59", "g99-short"),
    ("existing", "2019-04-26", "G98", "g98-single"),
    ("existing", "2019-04-27", "G99", "sgi-1"),
]


@pytest.mark.parametrize(("status", "day", "standard", "wanted"), EARLIER)
def test_older_plant(status, day, standard, wanted):
    older = unit("a", 3000, status=status, commissioned_on=day, standard=standard)
    assert procedure(older) == wanted


@pytest.mark.parametrize("standard", ["G83", "G83/2", "EREC G83 Issue 2", "g83/1-1", "G 83"])
def test_standards_as_they_are_written(standard):
    older = unit("a", 3000, status="existing", commissioned_on="2015-06-01", standard=standard)
    assert procedure(older) == "g98-single"


@pytest.mark.parametrize("standard", ["G98/1-7", "EREC G98 Issue 2", "G98/NI"])
def test_issues_of_g98(standard):
    assert procedure(unit("a", 3000, standard=standard)) == "g98-single"


@pytest.mark.parametrize("standard", ["G981", "GG", "98", "none"])
def test_other_words_are_another_standard(standard):
    assert procedure(unit("a", 3000, standard=standard)) == "g99-short"


# The column of premises.
@pytest.mark.parametrize(
    ("premises", "wanted"), [(0, "g98-single"), (1, "g98-several"), (9, "g98-several")]
)
def test_premises(premises, wanted):
    assert procedure(unit(), nearby={"premises": premises}) == wanted


def test_phases_of_a_split_supply_are_summed_apart():
    # 16 A on L1 and 16 A on L2: each phase keeps the limit.
    assert procedure(unit("a"), unit("b", phases=L2), phases=2) == "g98-single"
    assert procedure(unit("a"), unit("b", phases=L1), phases=2) == "sgi-3"
    # One unit over both phases: 7360 W is 16 A on each.
    assert procedure(unit("a", 7360, phases=["L1", "L2"]), phases=2) == "g98-single"
    assert procedure(unit("a", 7361, phases=["L1", "L2"]), phases=2) == "sgi-3"
