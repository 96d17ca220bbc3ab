"""How far phases can be driven apart: annex A.5 of EREC G99 Issue 2, and every subset tried."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from connections.electrical.balance import Worst, aspect_groups, worst_alone, worst_together

# Source: EREC G99 Issue 2, annex A.5; kW on L1, L2 and L3. Alone is the worst of each technology
# at full output with the others at nothing, together the worst of two or more.
A5 = [
    # PV alone 7.5 - 3 = 4.5, heat and power alone 6 - 0; together [4.5, 9, 7.5]: 9 - 4.5 = 4.5.
    ("in balance", {"pv": (4.5, 3, 7.5), "chp": (0, 6, 0)}, 6.0, 4.5),
    # Together [10.5, 3, 7.5]: 7.5 kW, which is 32.6 A at 230 V.
    ("out of balance together", {"pv": (4.5, 3, 7.5), "chp": (6, 0, 0)}, 6.0, 7.5),
    # East alone [6, 6, 5] and west alone [6, 6, 5]: 1; together [12, 12, 10]: 2.
    ("east and west alike", {"east": (6, 6, 5), "west": (6, 6, 5)}, 1, 2),
    # East alone [12, 5, 0]: 12; west alone [0, 5, 12]: 12; together [12, 10, 12]: 2.
    ("east and west apart", {"east": (12, 5, 0), "west": (0, 5, 12)}, 12, 2),
]


def alone_of(technologies) -> Worst:
    worst = worst_alone(technologies)
    assert worst is not None
    return worst


def together_of(technologies) -> Worst:
    worst = worst_together(technologies)
    assert worst is not None
    return worst


@pytest.mark.parametrize(("name", "kw", "alone", "together"), A5, ids=[case[0] for case in A5])
def test_the_cases_of_annex_a5(name, kw, alone, together):
    watts = {tech: tuple(int(x * 1000) for x in spread) for tech, spread in kw.items()}
    assert alone_of(watts).difference == alone * 1000
    assert together_of(watts).difference == together * 1000


def test_the_worst_names_what_runs_and_where():
    worst = together_of({"pv": (4500, 3000, 7500), "chp": (6000, 0, 0)})
    assert (worst.running, worst.high, worst.low) == (("chp", "pv"), 0, 1)  # 10.5 on L1, 3 on L2
    alone = alone_of({"pv": (4500, 3000, 7500)})
    assert (alone.running, alone.high, alone.low) == (("pv",), 2, 1)


def test_nothing_has_no_worst():
    assert worst_alone({}) is None
    assert worst_together({}) is None
    assert worst_together({"pv": (1, 2, 3)}) is None


def every_subset(technologies, fewest, most):
    """The largest difference over sets of technologies, by trying each of them."""
    return max(
        max(total) - min(total)
        for size in range(fewest, most + 1)
        for chosen in combinations(technologies, size)
        for total in [tuple(sum(technologies[name][i] for name in chosen) for i in range(3))]
    )


spreads = st.tuples(*[st.integers(0, 20)] * 3)
sites = st.dictionaries(st.sampled_from("abcde"), spreads, min_size=1)


@given(sites)
def test_no_set_of_technologies_is_worse(technologies):
    assert alone_of(technologies).difference == every_subset(technologies, 1, 1)
    if len(technologies) > 1:
        worst = together_of(technologies)
        assert worst.difference == every_subset(technologies, 2, len(technologies))
        running = [technologies[name] for name in worst.running]
        assert len(running) >= 2
        assert sum(s[worst.high] - s[worst.low] for s in running) == worst.difference


# Aspects within 45 degrees are one: this project's choice, no source gives a number.
@pytest.mark.parametrize(
    ("azimuths", "groups"),
    [
        ([], []),
        ([180], [[180]]),
        ([180, 180], [[180]]),
        ([90, 270], [[90], [270]]),
        ([135, 180], [[135, 180]]),  # 45 apart
        ([134, 180], [[134], [180]]),  # 46 apart
        ([340, 20], [[340, 20]]),  # 40 apart, over north
        ([0, 359], [[359, 0]]),
        ([0, 360], [[0, 360]]),  # the same way
        ([170, 200, 230], [[170, 200], [230]]),  # 60 from end to end
    ],
)
def test_aspects_are_grouped(azimuths, groups):
    found = aspect_groups(azimuths)
    assert set(found) == set(azimuths)
    by_first: dict[int, set[int]] = {}
    for azimuth, first in found.items():
        by_first.setdefault(first, set()).add(azimuth)
    assert sorted(map(sorted, by_first.values())) == sorted(map(sorted, groups))


@given(st.lists(st.integers(0, 359), max_size=12))
def test_no_group_is_wider_than_45_degrees(azimuths):
    found = aspect_groups(azimuths)
    for azimuth, first in found.items():
        assert (azimuth - first) % 360 <= 45
    assert aspect_groups(azimuths[::-1]) == found
