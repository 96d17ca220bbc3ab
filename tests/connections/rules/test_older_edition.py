"""Great Britain before 10 March 2025: the route for micro-generation with storage, and its limits.

Conditions of the route (secondary): units fully type tested to EREC G98; at most 16 A of
micro-generation and 16 A of storage, so 32 A in all (7.36 kW on one phase); a limitation scheme
of 16 A; no island operation. 16 A x 230 V = 3680 W, 32 A x 230 V = 7360 W.
"""

import datetime as dt
from typing import Any

import pytest

from connections.assessing import Assessor
from connections.rulebook.checking.table import check_table
from tests.connections.rules.editions import book_of, decided_under, written_under
from tests.connections.rules.test_decision_vectors import VECTORS
from tests.site_files import ALL, L2, cells, decided, file, found, limit, read, unit

ON = dt.date(2024, 6, 3)
BOOK = book_of("england", ON)
SIXTEEN: dict[str, Any] = {"limits": limit(16_000)}

ROUTE = [
    # name, units, facts, phases, procedure
    ("3680 + 3680 W = 32 A, limit 16 A", [unit("a"), cells("b")], SIXTEEN, 1, "integrated"),
    ("2990 + 2990 W = 26 A, limit 16 A",
     [unit("a", 2990), cells("b", 2990)], SIXTEEN, 1, "integrated"),
    ("2000 + 1680 W = 16 A is micro-generation",
     [unit("a", 2000), cells("b", 1680)], SIXTEEN, 1, "g98-single"),
    ("2000 + 1681 W is above 16 A", [unit("a", 2000), cells("b", 1681)], SIXTEEN, 1, "integrated"),
    ("3681 W of PV", [unit("a", 3681, standard="G98"), cells("b")], SIXTEEN, 1, "g99-short"),
    ("3681 W of storage", [unit("a"), cells("b", 3681, standard="G98")], SIXTEEN, 1, "g99-short"),
    ("PV of 1840 + 1840 W, storage 3680 W",
     [unit("a", 1840), unit("b", 1840), cells("c")], SIXTEEN, 1, "integrated"),
    ("PV of 1840 + 1841 W, storage 3680 W",
     [unit("a", 1840), unit("b", 1841), cells("c")], SIXTEEN, 1, "g99-short"),
    ("limit 16.001 A", [unit("a"), cells("b")], {"limits": limit(16_001)}, 1, "g99-short"),
    ("limit 3680 W in all",
     [unit("a"), cells("b")], {"limits": limit(3680, "w_total")}, 1, "integrated"),
    ("limit 3681 W in all",
     [unit("a"), cells("b")], {"limits": limit(3681, "w_total")}, 1, "g99-short"),
    ("no limit", [unit("a"), cells("b")], {}, 1, "g99-short"),
    ("limit not type tested", [unit("a"), cells("b")],
     {"limits": limit(16_000, type_tested=False)}, 1, "g99-short"),
    ("can island", [unit("a"), cells("b", can_island=True)], SIXTEEN, 1, "g99-short"),
    ("tested to G99", [unit("a"), cells("b", standard="G99")], SIXTEEN, 1, "g99-short"),
    ("older PV to G83", [unit("a", status="existing", standard="G83",
                              commissioned_on="2015-06-01"), cells("b")], SIXTEEN, 1, "integrated"),
    ("three phases, 16 + 16 A on each",
     [unit("a", 11_040, phases=ALL), cells("b", 11_040, phases=ALL)], SIXTEEN, 3, "integrated"),
    ("16 + 16 A on L1, 16 A of PV on L2",
     [unit("a"), cells("b"), unit("c", phases=L2)], SIXTEEN, 3, "integrated"),
    ("a hybrid inverter of 3680 W", [unit("a", source="pv+storage")], {}, 1, "g98-single"),
    ("a hybrid inverter held to 3680 W of 5000 W: no design capacity is asked",
     [unit("a", design_w=5000, source="pv+storage", standard="G98")], {}, 1, "g98-single"),
]  # fmt: skip


@pytest.mark.parametrize("case", ROUTE, ids=[case[0] for case in ROUTE])
def test_the_route_at_its_limits(case: Any) -> None:
    _, units, facts, phases, wanted = case
    assert decided_under(BOOK, *units, phases=phases, **facts).procedure == wanted


# Bounds of the forms, as in the later edition: strictly below 17 kW and 50 kW, 1 MW and 10 MW.
SIZES = [
    (1, 16_999, "g99-short"),
    (1, 17_000, "g99-full-a"),
    (2, 16_999, "g99-short"),
    (3, 49_999, "g99-short"),
    (3, 50_000, "g99-full-a"),
    (3, 999_999, "g99-full-a"),
    (3, 1_000_000, "g99-full-b"),
    (3, 9_999_999, "g99-full-b"),
    (3, 10_000_000, "beyond"),
]


@pytest.mark.parametrize(("phases", "watts", "wanted"), SIZES)
def test_sizes(phases: int, watts: int, wanted: str) -> None:
    one = unit("a", watts, phases=ALL[:phases])
    assert decided_under(BOOK, one, phases=phases).procedure == wanted


# The vectors of test_decision_vectors.py on a day of this edition: no small generation
# installations, so what they were is micro-generation, integrated, or the short form.
BEFORE = {
    "1": "g98-single", "2": "g98-several", "3": "g99-short", "4": "integrated", "5": "g99-short",
    "6": "integrated", "7": "g99-short", "8": "g99-short", "9": "g99-short", "10": "g99-short",
    "11": "g99-short", "12": "g99-short", "13": "integrated", "14": "g99-short",
}  # fmt: skip


@pytest.mark.parametrize("vector", VECTORS, ids=[vector[0] for vector in VECTORS])
def test_the_decision_vectors_before_the_change(vector: Any) -> None:
    name, units, facts, l1_ma, _, _ = vector
    answer = written_under(BOOK, *units, **facts)
    assert answer.procedure.key == BEFORE[name.partition(":")[0]]
    assert answer.per_phase_ma["L1"] == l1_ma


@pytest.mark.parametrize(
    ("day", "key", "procedure"),
    [
        ("2019-04-27", "gb-2019", "integrated"),
        ("2025-03-09", "gb-2019", "integrated"),
        ("2025-03-10", "gb-2025", "sgi-2"),
    ],
)
def test_the_day_picks_the_edition(day: str, key: str, procedure: str) -> None:
    assessor = Assessor()
    content = file(unit("a", 2990), cells("b", 2990), **SIXTEEN)
    site = read({**content, "on_date": day})
    assert assessor.rulebook(site).key == key
    assert assessor.decide(site).decision.procedure.key == procedure


def test_the_table_is_whole() -> None:
    assert check_table(BOOK).complete


def test_what_is_sent() -> None:
    answer = written_under(BOOK, unit("a"), cells("b"), **SIXTEEN)
    assert [(s.when, s.what, s.form, s.wait) for s in answer.steps] == [
        ("before-work", "application", "", True),  # the form was not found
        ("before-work", "application", "G100 Form A", False),
        ("after-commissioning", "confirmation", "", False),
        ("after-commissioning", "confirmation", "G100 Form C", False),
    ]


def test_the_balance_limit_is_the_earlier_one_with_its_conflict_noted() -> None:
    # 3681 W on L1 beside nothing on L2 and L3: 16.004 A.
    one = unit("a", 3681, standard="G99")
    assert found(decided_under(BOOK, one, phases=3), "phases-out-of-balance") == [
        ("decide", "site")
    ]
    assert found(decided(one, phases=3), "phases-out-of-balance") == []
    value = BOOK.values["balance.limit"]
    assert (value.amount, value.certainty) == (16_000, "from memory")
    assert "A.5" in value.note
    # Exactly 16 A: no reading is held, so an engineer decides on the strict one.
    [told] = [f for f in decided_under(BOOK, unit(), phases=3).findings if "balance" in f.id]
    assert (told.id, told.severity, told.values["kept"]) == ("balance-at-limit", "decide", False)


def test_what_is_not_held_is_said_once() -> None:
    [told] = [f for f in decided_under(BOOK, unit()).findings if f.id == "rules-not-held"]
    assert told.severity == "inform"
    assert told.values["rules"] == ["the largest aggregate that a single-phase supply carries"]
    assert found(decided(unit()), "rules-not-held") == []


# Amounts that changed within the edition: EREC G100 Issue 1 until 30 April 2023, then Issue 2; the
# charging for connections on 1 April 2023 (secondary).
@pytest.mark.parametrize(
    ("day", "key", "amount"),
    [
        ("2023-04-30", "limitation.response_limit", 5_000),
        ("2023-05-01", "limitation.response_limit", 60_000),
        ("2023-04-30", "limitation.quantity", "active power"),
        ("2023-05-01", "limitation.quantity", "current"),
        ("2023-04-30", "limitation.cease_day_count", None),
        ("2023-05-01", "limitation.cease_day_count", 3),
        ("2023-03-31", "cost.generation_threshold", None),
        ("2023-04-01", "cost.generation_threshold", 200),
    ],
)
def test_dated_amounts(day: str, key: str, amount: object) -> None:
    value = book_of("wales", dt.date.fromisoformat(day)).values.get(key)
    assert (value.amount if value else None) == amount
