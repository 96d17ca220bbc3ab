"""Demand after diversity: the household table of guides to BS 7671 (secondary), worked by hand."""

from math import nan

import pytest

from connections.electrical.demand import Diversity, after_diversity_a, headroom_a
from connections.electrical.electrical_errors import ElectricalError

COOKER = Diversity(0.30, first_a=10)
WITH_SOCKET = Diversity(0.30, first_a=10, extra_a=5)

CASES = [
    # amps, rule, what counts
    ([6], Diversity(0.66), 3.96),
    ([10_500 / 230], WITH_SOCKET, 25.696),  # 10 + 0.3 x 35.652 + 5
    ([7000 / 230], WITH_SOCKET, 21.130),  # 10 + 0.3 x 20.435 + 5
    ([30], COOKER, 16.0),  # 10 + 0.3 x 20
    ([32, 32], Diversity(0.40, largest=1), 44.8),  # 32 + 0.4 x 32
    ([9500 / 230], Diversity(0.25, largest=2), 41.304),
    ([40, 30, 20], Diversity(0.25, largest=2), 75.0),  # 40 + 30 + 0.25 x 20
    ([20, 40, 30], Diversity(0.25, largest=2), 75.0),  # whatever the order
    ([3000 / 230], Diversity(), 13.043),
    ([], Diversity(0.4, largest=1), 0.0),
]


@pytest.mark.parametrize(("amps", "rule", "counts"), CASES)
def test_what_counts(amps, rule, counts):
    assert after_diversity_a(amps, rule) == pytest.approx(counts, abs=5e-4)


def test_headroom():
    # 40 A and a heat pump of 3 kW (13.043 A).
    for cutout, room in ((100, 46.957), (80, 26.957), (60, 6.957)):
        assert headroom_a(cutout, 40 + 3000 / 230) == pytest.approx(room, abs=5e-4)
    assert headroom_a(60, 70) == -10


@pytest.mark.parametrize(("amps", "share"), [([-1], 0.5), ([nan], 0.5), ([1], 1.5), ([1], -0.1)])
def test_what_is_no_demand(amps, share):
    with pytest.raises(ElectricalError):
        after_diversity_a(amps, Diversity(share))
