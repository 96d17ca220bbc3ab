"""Made-up sites with known answers, one for each way through the table.

Inferred from the clauses of EREC G99 Issue 2 (6.2.2.1 to 6.2.2.4, 7.5.3, 7.6.1); amps are rounded
in the names, the facts are in watts (16 A = 3680 W, 13 A = 2990 W, 21.7 A = 5000 W).
"""

from typing import Any

import pytest

from tests.site_files import ALL, cells, decision, found, limit, unit
from tests.site_files import decided as decided_on

OLD: dict[str, Any] = {"status": "existing", "standard": "G83", "commissioned_on": "2015-06-01"}

VECTORS = [
    # name, units, facts, L1 in mA, procedure, other reading at the exact limit
    ("1: PV 16 A", [unit("a")], {}, 16_000, "g98-single", None),
    ("2: one of several", [unit("a")], {"nearby": {"premises": 1}}, 16_000, "g98-several", None),
    ("3: shared 16 A, design 21.7 A",
     [unit("a", 3680, design_w=5000, source="pv+storage", limited_by="maker")], {},
     16_000, "sgi-1", None),
    ("4: 13 A + 13 A, limit 16 A", [unit("a", 2990), cells("b", 2990)],
     {"limits": limit(16_000)}, 26_000, "sgi-2", None),
    ("5: 13 A + 13 A", [unit("a", 2990), cells("b", 2990)], {}, 26_000, "sgi-3", None),
    ("6: 16 A + 16 A, limit 16 A", [unit("a"), cells("b")],
     {"limits": limit(16_000)}, 32_000, "sgi-3", "sgi-2"),
    ("7: 21.7 A + 21.7 A, limit 32 A", [unit("a", 5000), cells("b", 5000)],
     {"limits": limit(32_000)}, 43_478, "sgi-3", None),  # 10,000 / 230
    ("8: the same, limit 16 A", [unit("a", 5000), cells("b", 5000)],
     {"limits": limit(16_000)}, 43_478, "sgi-3", None),
    ("9: 30 A + 30 A, limit 32 A", [unit("a", 6900), cells("b", 6900)],
     {"limits": limit(32_000)}, 60_000, "g99-short", "sgi-3"),
    ("10: shared 43.5 A, limit 16 A", [unit("a", 10_000, source="pv+storage")],
     {"limits": limit(16_000)}, 43_478, "g99-short", None),
    ("11: shared 21.7 A on three phases",
     [unit("a", 15_000, source="pv+storage", phases=ALL)], {"phases": 3},
     21_739, "sgi-3", None),  # 15,000 / 690
    ("12: 10 A, not type tested", [unit("a", 2300, type_tested="no")], {},
     10_000, "g99-short", None),
    ("13: older 16 A + storage 16 A, limit 16 A", [unit("a", **OLD), cells("b")],
     {"limits": limit(16_000)}, 32_000, "sgi-3", "sgi-2"),
    ("14: 15 kW on one phase of three", [unit("a", 15_000)], {"phases": 3},
     65_217, "g99-short", None),  # 15,000 / 230
]  # fmt: skip


@pytest.mark.parametrize("vector", VECTORS, ids=[vector[0] for vector in VECTORS])
def test_decision_vectors(vector):
    _, units, facts, l1_ma, key, other = vector
    answer = decision(*units, **facts)
    assert answer.procedure.key == key
    assert answer.per_phase_ma["L1"] == l1_ma
    assert (answer.procedure.boundary, answer.procedure.other_reading) == (other is not None, other)
    assert answer.possible == (key,)
    assert answer.unknown == ()


def test_vector_8_a_tighter_limit_is_told():
    units = unit("a", 5000), cells("b", 5000)
    tighter = decided_on(*units, limits=limit(16_000))
    assert found(tighter, "tighter-limit") == [("inform", "export-limit")]
    assert found(decided_on(*units, limits=limit(32_000)), "tighter-limit") == []


def test_vector_12_an_untested_unit_adds_its_test_form():
    """In area gb-12 the operator's guidance on witnessing (V2, May 2019) also wants a programme 15
    days before every Type A is commissioned, for which it names no form."""
    answer = decision(unit("a", 2300, type_tested="no"))
    assert [step.form for step in answer.steps] == ["A1-1", "A2-3", "", "A3-1"]
    machine = unit("a", 2300, type_tested="no", kind="synchronous")
    assert [step.form for step in decision(machine).steps] == ["A1-1", "A2-1 or A2-2", "", "A3-1"]
    tested = decision(unit("a", 8000))
    assert [step.form for step in tested.steps] == ["A1-1", "", "A3-1"]


def test_vector_14_is_out_of_balance():
    answer = decided_on(unit("a", 15_000), phases=3)
    assert found(answer, "phases-out-of-balance") == [("decide", "site")]
    told = next(f for f in answer.findings if f.id == "phases-out-of-balance")
    assert told.values["difference_ma"] == 65_217
    assert told.margin is not None
    assert told.margin < 32_000 - 65_217 + 1
