"""Ireland: micro- and mini-generation by amps of apparent power; all else names what is missing.

Limits (secondary): micro up to 25 A on a single-phase supply and 16 A a phase on a three-phase one,
mini up to 72 A a phase, small scale up to 200 kVA. At 230 V: 25 A = 5750 VA, 16 A = 3680 VA on each
of three phases (11,040 VA), 72 A = 16,560 VA a phase (49,680 VA on three). Forms (secondary): NC6
before fitting, NC7 for mini (inverters only), NC8 for small scale, NC5 for synchronous machines.
"""

import datetime as dt
from typing import Any

import pytest

from connections.assessing import Assessor
from connections.rulebook.checking.table import check_table
from tests.connections.rules.editions import book_of, certified, decided_under, written_under
from tests.site_files import ALL, L2, file, found, read

BOOK = book_of("ireland", dt.date(2026, 11, 24), "ie-1")


def va(rated_va: int, id: str = "a", **facts: Any) -> dict[str, Any]:
    """A unit of an apparent power, its registered capacity a tenth less."""
    return certified(id, rated_va * 9 // 10, rated_va=rated_va, **facts)


LIMITS = [
    # name, units, phases, procedure or the outcome that names what is missing
    ("25 A", [va(5750)], 1, "micro-inform"),
    ("25 A and 1 VA", [va(5751)], 1, "mini-apply"),
    ("3000 + 2750 VA", [va(3000), va(2750, "b")], 1, "micro-inform"),
    ("3000 + 2751 VA", [va(3000), va(2751, "b")], 1, "mini-apply"),
    ("72 A", [va(16_560)], 1, "mini-apply"),
    ("72 A and 1 VA", [va(16_561)], 1, "missing-small-scale"),
    ("16 A on each phase", [va(11_040, phases=ALL)], 3, "micro-inform"),
    ("16 A on each phase and 3 VA", [va(11_043, phases=ALL)], 3, "mini-apply"),
    ("16 A on one of three", [va(3680, phases=L2)], 3, "micro-inform"),
    ("16 A and 1 VA on one of three", [va(3681, phases=L2)], 3, "mini-apply"),
    ("72 A on each phase", [va(49_680, phases=ALL)], 3, "mini-apply"),
    ("72 A on each phase and 3 VA", [va(49_683, phases=ALL)], 3, "small-scale-apply"),
    ("200 kVA", [va(200_000, phases=ALL)], 3, "small-scale-apply"),
    ("a synchronous machine", [va(40_000, phases=ALL, kind="synchronous")], 3, "small-scale-apply"),
    ("the same on one phase", [va(6000, kind="synchronous")], 1, "missing-standing"),
    ("200 kVA and 1 VA", [va(200_001, phases=ALL)], 3, "missing-larger"),
    ("split supply", [va(3000)], 2, "missing-split"),
    ("another certificate", [va(3000, standard="G98")], 1, "missing-standing"),
    ("not tested", [va(3000, type_tested="no")], 1, "missing-standing"),
    ("can island", [va(3000, can_island=True)], 1, "missing-standing"),
]  # fmt: skip


@pytest.mark.parametrize("case", LIMITS, ids=[case[0] for case in LIMITS])
def test_limits(case: Any) -> None:
    _, units, phases, wanted = case
    answer = decided_under(BOOK, *units, phases=phases)
    missing = [f.values["missing"] for f in answer.findings if f.id == "rule-missing"]
    if wanted.startswith("missing-"):
        assert answer.procedure == "undetermined"
        assert missing == [next(o.missing for o in BOOK.outcomes if o.key == wanted)]
    else:
        assert (answer.procedure, missing) == (wanted, [])


def test_a_real_power_is_never_taken_for_an_apparent_one() -> None:
    # 5000 W may be 5000 VA (micro) or far more: the apparent power is asked for.
    answer = written_under(BOOK, certified("a", 5000))
    assert answer.procedure.key == "undetermined"
    assert answer.possible == (
        "micro-inform",
        "mini-apply",
        "missing-small-scale",
        "missing-larger",
    )
    assert answer.unknown == ("units[0].rated_va",)
    [told] = [f for f in answer.findings if f.id == "undetermined"]
    assert told.sentence == "Cannot tell the procedure: needs the apparent power of a."


def test_an_apparent_power_is_at_least_the_real_one() -> None:
    # 5751 W is more than 25 A whatever the power factor, so micro is no longer possible.
    answer = written_under(BOOK, certified("a", 5751))
    assert answer.possible == ("mini-apply", "missing-small-scale", "missing-larger")


@pytest.mark.parametrize(("rated_ma", "wanted"), [(25_000, "micro-inform"), (25_001, "mini-apply")])
def test_a_declared_current_is_taken_with_a_word(rated_ma: int, wanted: str) -> None:
    answer = decided_under(BOOK, certified("a", 5000, rated_ma=rated_ma))
    assert answer.procedure == wanted
    assert found(answer, "ma-for-va") == [("inform", "a")]
    assert found(decided_under(BOOK, va(5000)), "ma-for-va") == []


def test_an_apparent_power_below_the_real_one_is_told() -> None:
    wrong = certified("a", 5000, rated_va=4999)
    assert found(decided_under(BOOK, wrong), "apparent-below-rated") == [("decide", "a")]
    right = certified("a", 5000, rated_va=5000)
    assert found(decided_under(BOOK, right), "apparent-below-rated") == []


def test_micro_generation_is_told_of_before_fitting() -> None:
    steps = written_under(BOOK, va(5000)).steps
    assert [(s.when, s.what, s.wait, s.form) for s in steps] == [
        ("before-work", "notification", False, "NC6"),
        ("before-work", "ask", True, ""),
    ]


def test_mini_generation_is_answered_within_twelve_weeks() -> None:
    [step] = written_under(BOOK, va(6000)).steps
    assert step.limit is not None
    assert (step.what, step.wait, step.limit.n, step.limit.unit) == (
        "application", True, 84, "days",
    )  # fmt: skip
    assert step.form == "NC7"
    assert BOOK.whole("mini.fee") == 97_785  # cents of a euro


@pytest.mark.parametrize(
    ("units", "forms"),
    [
        # Above 72 A a phase, 49,680 VA in all, the operator studies harmonics too.
        ([va(49_683, phases=ALL)], ["NC8", ""]),
        ([va(40_000, phases=ALL, kind="synchronous")], ["NC5"]),
        ([va(49_683, phases=ALL, kind="synchronous")], ["NC5", ""]),
    ],
)
def test_forms_of_small_scale_generation(units: list[Any], forms: list[str]) -> None:
    steps = written_under(BOOK, *units, phases=3).steps
    assert [(s.when, s.form) for s in steps] == [("before-work", form) for form in forms]
    assert all("harmonics" in s.says for s in steps[1:])


@pytest.mark.parametrize(("export", "stops"), [(6000, []), (6001, [("stops", "supply")])])
def test_export_capacity_within_import_capacity(export: int, stops: list[Any]) -> None:
    agreed = {"export_capacity_va": export, "import_capacity_va": 6000}
    answer = decided_under(BOOK, va(3000), supply=agreed)
    assert found(answer, "export-above-import") == stops


def test_the_table_is_whole_and_no_settings_ship() -> None:
    assert check_table(BOOK).complete
    assert BOOK.settings == ()


def test_the_nation_finds_its_one_area() -> None:
    assessor = Assessor()
    number = {"use": "import", "scheme": "ie11", "value": "10123456789"}
    premises = {"nation": "ireland", "supply_numbers": [number], "grid": "irish"}
    site = read(file(va(3000), premises=premises))
    assert (assessor.rulebook(site).key, assessor.rulebook(site).area) == ("ie-2023", "ie-1")
    assert assessor.decide(site).decision.procedure.key == "micro-inform"
