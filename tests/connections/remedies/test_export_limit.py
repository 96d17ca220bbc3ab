"""Which export limit helps, and which does not.

Source: EREC G99 Issue 2, 6.2.2.3 (16 A a phase) and 6.2.2.4 (32 A a phase); the fuller account is
in the format of the site file, "What an export limit can do for the procedure".
"""

import json
from typing import Any

import pytest

from connections.facts.decision import Remedy
from connections.remedies.kinds.export_limit import export_candidates
from connections.remedies.search import search
from connections.rules.decide import decide
from tests.connections.rules.local_books import book_with, value
from tests.site_files import ALL, book, changed, file, limit, read, unit


def limits_for(content: dict[str, Any]) -> list[Remedy]:
    site = read(content)
    found = search(site, decide(site, book()), book()).remedies
    return [remedy for remedy in found if remedy.kind == "export-limit"]


def told(content: dict[str, Any]) -> list[tuple[Any, Any, str]]:
    """Value, basis and procedure of each export limit offered."""
    return [
        (remedy.change[0].to, remedy.change[1].to, remedy.procedure)
        for remedy in limits_for(content)
    ]


A16 = (16_000, "ma_per_phase")
A32 = (32_000, "ma_per_phase")

OFFERED = [
    # Above 16 and below 32 A, units at most 16 A: 16 A reaches `sgi-2`.
    ("26 A", file(unit("a", 2990), unit("b", 2990)), [(*A16, "sgi-2")]),
    ("26 A, 16 A already", file(unit("a", 2990), unit("b", 2990), limits=limit(16_000)), []),
    ("26 A, one unit above 16 A", file(unit("a", 3690), unit("b", 2290)), []),
    # Above 32 and below 60 A, units at most 32 A: 32 A reaches `sgi-3`.
    ("43.5 A", file(unit("a", 5000), unit("b", 5000)), [(*A32, "sgi-3")]),
    ("43.5 A on three phases",
     file(unit("a", 15_000, phases=ALL), unit("b", 15_000, phases=ALL), phases=3),
     [(*A32, "sgi-3")]),
    ("59.996 A", file(unit("a", 6900), unit("b", 6899)), [(*A32, "sgi-3")]),
    ("limit not type tested",
     file(unit("a", 5000), unit("b", 5000), limits=limit(16_000, type_tested=False)),
     [(*A32, "sgi-3")]),
    # A cap on installed capacity names no export limit: the clause's own is told, and no tighter.
    ("43.5 A, capacity capped",
     file(unit("a", 5000), unit("b", 5000),
          caps=[{"on": "installed", "value": 5000, "basis": "w_total"}]),
     [(*A32, "sgi-3")]),
    # From 60 A, or with a unit above 32 A, or not tested: nothing.
    ("60 A", file(unit("a", 6900), unit("b", 6900)), []),
    ("a unit above 32 A", file(unit("a", 7361)), []),
    ("not tested", file(unit("a", 5000, type_tested="no"), unit("b", 5000)), []),
    # Nothing is earlier than connect and notify, and 16 A or less never needs a limit.
    ("16 A", file(unit("a")), []),
    ("16 A by a larger design", file(unit("a", 3680, design_w=5000)), []),
    # Missing facts come first.
    ("undetermined", file(unit("a", 5000), unit("b", 5000, type_tested=None)), []),
]  # fmt: skip


@pytest.mark.parametrize("case", OFFERED, ids=[case[0] for case in OFFERED])
def test_limits_that_change_the_procedure(case):
    _, content, wanted = case
    assert told(content) == wanted


def cap(on: str, value: int, basis: str = "w_total") -> dict[str, Any]:
    return {"on": on, "value": value, "basis": basis, "from_operator_reference": "invented 7"}


CAPPED = [
    # A cap on export is answered in the unit that the operator wrote.
    ("5 kW", file(unit("a", 17_000), caps=[cap("export", 5000)]),
     [(5000, "w_total", "g99-full-a")]),
    ("20 A", file(unit("a", 17_000), caps=[cap("export", 20_000, "ma_per_phase")]),
     [(20_000, "ma_per_phase", "g99-full-a")]),
    ("5 kVA agreed", file(unit("a", 17_000), supply={"export_capacity_va": 5000}),
     [(5000, "va_total", "g99-full-a")]),
    ("no export at all", file(unit("a", 9000), supply={"export_capacity_va": 0}),
     [(0, "va_total", "g99-short")]),
    # A cap on installed capacity is not.
    ("installed", file(unit("a", 9000), caps=[cap("installed", 5000)]), []),
    # A cap that is kept needs none.
    ("kept", file(unit("a", 9000), caps=[cap("export", 9000)]), []),
]  # fmt: skip


@pytest.mark.parametrize("case", CAPPED, ids=[case[0] for case in CAPPED])
def test_limits_that_answer_a_cap(case):
    _, content, wanted = case
    offered = told(content)
    for entry in wanted:
        assert entry in offered
    if not wanted:
        assert offered == []


def test_a_cap_and_an_earlier_procedure_at_once():
    # 43.5 A capped to 5 kW of export: 5 kW is 21.7 A, at most 32 A, so `sgi-3` as well.
    content = file(unit("a", 5000), unit("b", 5000), caps=[cap("export", 5000)])
    first = limits_for(content)[0]
    assert (first.change[0].to, first.procedure) == (5000, "sgi-3")
    assert first.clears == ("export-above-cap",)


def test_two_caps_are_both_answered():
    # 5 kW from one answer and 4 kW from a later one: the limit of 4 kW answers both, and a remedy
    # that leaves one of them standing must not hide it.
    content = file(unit("a", 9000), caps=[cap("export", 5000), cap("export", 4000)])
    assert 4000 in [value for value, _, _ in told(content)]
    for remedy in limits_for(content):
        after = decide(read(changed(content, remedy.change)), book())
        if remedy.change[0].to == 4000:
            assert after.stops == frozenset()
        assert not set(remedy.clears) & {name for name, _ in after.stops}


def test_a_limit_keeps_the_aggregate_and_says_so():
    [remedy] = limits_for(file(unit("a", 5000), unit("b", 5000)))
    assert "32 A a phase" in remedy.sentence
    assert "The aggregate stays as it is" in remedy.sentence
    assert remedy.takes_out == ()
    # 60 A less 43.478 A; the bound itself is outside, so what is left is never rounded up.
    assert (remedy.margin, remedy.margin_unit) == (60_000 - 43_478 - 1, "mA")


@pytest.mark.parametrize(
    "content",
    [
        *(case[1] for case in OFFERED),
        *(case[1] for case in CAPPED),
        # A scheme is there already, in another basis, netting its phases.
        file(unit("a", 15_000, phases=ALL), unit("b", 15_000, phases=ALL), phases=3,
             limits=limit(30_000, "w_total", nets_phases=True), caps=[cap("export", 18_000)]),
        file(unit("a", 5000), unit("b", 5000), limits={"export": None}),
        file(unit("a", 5000), unit("b", 5000), limits=None),
    ],
    ids=json.dumps,
)  # fmt: skip
def test_the_changes_give_what_is_promised(content):
    before = decide(read(content), book())
    for remedy in limits_for(content):
        after = decide(read(changed(content, remedy.change)), book())
        assert after.procedure == remedy.procedure
        assert not after.stops - before.stops
        assert after.case.sums == before.case.sums


@pytest.mark.parametrize(("unit_of_it", "amount"), [("W", "5 kW"), ("VA", "5 kVA")])
def test_a_limit_of_one_phase_in_watts_is_kept(unit_of_it, amount):
    # 5 kW / 230 V = 21.739 13 A: 21.739 A are 4,999.97 W, 21.740 A would be 5,000.2 W.
    held = book_with(value("export.phase_limit", unit_of_it, amount))
    tried = [ma for ma, basis in export_candidates(read(file(unit("a", 9000))), held)]
    assert 21_739 in tried
    assert 21_740 not in tried


def test_a_cap_in_amps_is_of_the_phases_that_were_there():
    # 16 A were said of one phase: 16 x 230 = 3680 W in all, on three phases as well.
    content = file(
        unit("a", 9000, phases=ALL),
        phases=3,
        supply={"now_phases": 1},
        caps=[cap("export", 16_000, "ma_per_phase")],
    )
    tried = export_candidates(read(content), book())
    assert (3680, "w_total") in tried
    assert (11_040, "w_total") not in tried


def test_of_two_limits_that_reach_the_same_one_is_told():
    # 5 kW and 4.5 kW were answered; 4.5 kW answers both. 16 A and 32 A a phase reach no more.
    content = file(unit("a", 9000), caps=[cap("export", 5000), cap("export", 4500)])
    reached = [(r.procedure, r.clears) for r in limits_for(content)]
    assert len(reached) == len(set(reached))
