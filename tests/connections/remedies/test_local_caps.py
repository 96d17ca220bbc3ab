"""An export limit that answers a cap of the site's place, in the cap's own unit."""

import pytest

from connections.remedies.search import search
from connections.rules.decide import decide
from tests.connections.rules.local_books import book_with, cap
from tests.site_files import cells, site, unit

TWO = (unit("a", 3680), cells("b", 3680))  # 7.36 kW on L1


@pytest.mark.parametrize(
    ("table", "wanted"),
    [
        (cap("5 kW"), (5000, "w_total")),
        (cap("5 kVA", "VA"), (5000, "va_total")),
        (cap("20 A", "mA", "phase"), (20_000, "ma_per_phase")),
        # 4.6 kW a phase is 20 A at 230 V.
        (cap("4.6 kW", "W", "phase"), (20_000, "ma_per_phase")),
    ],
)
def test_the_cap_of_the_place_is_tried(table, wanted):
    book = book_with(table)
    made = site(*TWO, premises={"feeder": "North 7"})
    found = search(made, decide(made, book), book).remedies
    clearing = [
        (remedy.change[0].to, remedy.change[1].to)
        for remedy in found
        if remedy.kind == "export-limit" and "local-export-cap" in remedy.clears
    ]
    assert wanted in clearing


def test_a_cap_of_another_place_is_not():
    book = book_with(cap("5 kW"))
    made = site(*TWO, premises={"feeder": "South 7"})
    told = [remedy.change[0].to for remedy in search(made, decide(made, book), book).remedies]
    assert 5000 not in told
