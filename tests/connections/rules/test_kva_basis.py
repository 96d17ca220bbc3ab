"""A rulebook on a kVA basis, the sample of an invented country: every limit at and beside it.

Told only: at most 4.6 kVA on each phase and 10 kVA in all; applied for: below 30 kVA; phases at
most 4.6 kVA apart (below it for several technologies together); 5 kVA of export on a phase.
"""

from typing import Any

import pytest

from connections.remedies.search import search
from connections.rulebook.checking.table import check_table
from tests.connections.rules.editions import certified, decided_under, kva_book, written_under
from tests.site_files import ALL, L1, L2, L3, file, found, limit, read

BOOK = kva_book()


def va(rated_va: int | None, id: str = "a", phases: list[str] = L1, **facts: Any) -> dict[str, Any]:
    """A unit of an apparent power, and of half as much registered capacity."""
    return certified(id, (rated_va or 2000) // 2, rated_va=rated_va, phases=phases, **facts)


TABLE = [
    # name, units, procedure
    ("4600 VA on one phase", [va(4600)], "tell"),
    ("4601 VA on one phase", [va(4601)], "apply"),
    ("2300 + 2300 VA on one phase", [va(2300), va(2300, "b")], "tell"),
    ("2300 + 2301 VA on one phase", [va(2300), va(2301, "b")], "apply"),
    ("two units of 2300 VA in a line", [va(2300, quantity=2)], "tell"),
    ("10,000 VA on three phases: 3333 1/3 on each", [va(10_000, phases=ALL)], "tell"),
    ("10,001 VA on three phases", [va(10_001, phases=ALL)], "apply"),
    ("4600 + 4600 + 800 VA", [va(4600), va(4600, "b", L2), va(800, "c", L3)], "tell"),
    ("4600 + 4600 + 801 VA", [va(4600), va(4600, "b", L2), va(801, "c", L3)], "apply"),
    ("29,999 VA", [va(29_999, phases=ALL)], "apply"),
    ("30,000 VA: the strict reading", [va(30_000, phases=ALL)], "undetermined"),
    ("another standard", [va(2000, standard="G98")], "apply"),
]  # fmt: skip


@pytest.mark.parametrize("case", TABLE, ids=[case[0] for case in TABLE])
def test_the_table(case: Any) -> None:
    _, units, wanted = case
    assert decided_under(BOOK, *units, phases=3).procedure == wanted


def test_real_power_does_not_decide() -> None:
    # 4600 VA of 4600 W or of 1 W: the same; 4601 W alone is above 4.6 kVA whatever its VA.
    for watts in (1, 2000, 4600):
        assert decided_under(BOOK, certified("a", watts, rated_va=4600)).procedure == "tell"
    open_va = written_under(BOOK, certified("a", 4600))
    assert open_va.possible == ("tell", "apply", "missing-large")
    above = written_under(BOOK, certified("a", 4601))
    assert above.possible == ("apply", "missing-large")


def test_comparisons_are_told_in_kva() -> None:
    answer = written_under(BOOK, va(4600), phases=3)
    phase = next(c for c in answer.procedure.because if c.fact == "largest_phase_va")
    assert (phase.value, phase.limit, phase.unit, phase.margin) == (4600, 4600, "VA", 0)
    assert "4.6 kVA, at most 4.6 kVA" in phase.says
    total = next(c for c in answer.trace if c.fact == "total_va")
    assert (total.value, total.limit, total.margin) == (4600, 10_000, 5400)


BALANCE = [
    # name, units, the finding and what is left to the limit in VA
    ("4600 VA, one technology", [va(4600)], ("balance-at-limit", 0)),
    ("4599 VA", [va(4599)], None),
    ("4601 VA", [va(4601)], ("phases-out-of-balance", -1)),
    ("4600 on L1, 4600 on L2, nothing on L3", [va(4600), va(4600, "b", L2)],
     ("balance-at-limit", 0)),
    ("5000 against 400 on each other phase",
     [va(5000), va(400, "b", L2), va(400, "c", L3)], ("balance-at-limit", 0)),
    ("5001 against 400 on each other phase",
     [va(5001), va(400, "b", L2), va(400, "c", L3)], ("phases-out-of-balance", -1)),
    ("2300 of PV and 2300 of storage", [va(2300), va(2300, "b", source="storage")],
     ("balance-at-limit", 0)),
    ("a three-phase unit", [va(9000, phases=ALL)], None),
]  # fmt: skip


@pytest.mark.parametrize("case", BALANCE, ids=[case[0] for case in BALANCE])
def test_unbalance_in_kva(case: Any) -> None:
    _, units, wanted = case
    answer = decided_under(BOOK, *units, phases=3)
    told = [f for f in answer.findings if f.id in ("balance-at-limit", "phases-out-of-balance")]
    assert [(f.id, f.margin) for f in told] == ([wanted] if wanted else [])
    assert all(f.margin_unit == "VA" for f in told)


def test_unbalance_in_words() -> None:
    answer = written_under(BOOK, va(4700), phases=3)
    [told] = [f for f in answer.findings if f.id == "phases-out-of-balance"]
    assert told.sentence == "The phases can be 4.7 kVA apart; the limit is 4.6 kVA."
    assert "L1 is 4.7 kVA above L2" in told.workings
    # Several technologies together at the limit: the strict reading.
    both = written_under(BOOK, va(2300), va(2300, "b", source="storage"), phases=3)
    [at_limit] = [f for f in both.findings if f.id == "balance-at-limit"]
    assert "exactly 4.6 kVA apart" in at_limit.sentence
    assert at_limit.values["kept"] is False


def test_unbalance_needs_every_apparent_power() -> None:
    answer = decided_under(BOOK, va(2000), certified("b", 100, phases=L2), phases=3)
    assert found(answer, "balance-not-known") == [("inform", "site")]


EXPORT = [
    # name, units, limits, the finding and what is left to the limit in VA
    ("5000 VA", [va(5000)], {}, None),
    ("5001 VA", [va(5001)], {}, ("export-above-phase-limit", -1)),
    ("15,000 VA on three phases", [va(15_000, phases=ALL)], {}, None),
    ("15,003 VA on three phases", [va(15_003, phases=ALL)], {}, ("export-above-phase-limit", -1)),
    # 21.739 A x 230 V = 4999.97 VA, 21.740 A = 5000.2 VA.
    ("9000 VA held to 21.739 A", [va(9000)], limit(21_739), None),
    ("9000 VA held to 21.740 A", [va(9000)], limit(21_740), ("export-above-phase-limit", -1)),
    ("9000 VA held to 5000 VA in all", [va(9000)],
     limit(15_000, "va_total", nets_phases=False), None),
]  # fmt: skip


@pytest.mark.parametrize("case", EXPORT, ids=[case[0] for case in EXPORT])
def test_export_of_a_phase(case: Any) -> None:
    _, units, limits, wanted = case
    answer = decided_under(BOOK, *units, phases=3, **({"limits": limits} if limits else {}))
    told = [f for f in answer.findings if f.id == "export-above-phase-limit"]
    assert [(f.id, f.margin) for f in told] == ([wanted] if wanted else [])
    assert all((f.severity, f.margin_unit) == ("stops", "VA") for f in told)


def test_export_that_can_not_be_told() -> None:
    answer = decided_under(BOOK, certified("a", 3000), phases=3)
    assert found(answer, "export-phase-not-known") == [("decide", "export")]
    # More real power than the limit is more apparent power too.
    above = decided_under(BOOK, certified("a", 5001), phases=3)
    assert found(above, "export-above-phase-limit") == [("stops", "export")]


def test_a_limitation_scheme_answers_the_limit_of_a_phase() -> None:
    site = read(file(va(9000, phases=L1), va(9000, "b", L2), va(9000, "c", L3), phases=3))
    decided = decided_under(BOOK, va(9000), va(9000, "b", L2), va(9000, "c", L3), phases=3)
    assert ("export-above-phase-limit", "export") in decided.stops
    told = [r for r in search(site, decided, BOOK).remedies if r.kind == "export-limit"]
    # 5 kVA / 230 V = 21.739 A, rounded down.
    values = [c.to for r in told for c in r.change if c.path == "limits.export.value"]
    assert values == [21_739]
    assert all("export-above-phase-limit" in r.clears for r in told)


def test_the_table_is_whole() -> None:
    assert check_table(BOOK).complete
