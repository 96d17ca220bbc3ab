"""What follows each procedure: what is sent, when, on which form, and whether to wait.

Sources: EREC G99 Issue 2, 6.2.2.2 (A3-3), 6.2.2.3 and 6.2.2.4 (A1-2, A3-2, ten working days) and
16.3.1 (28 days); EREC G98 Form B; the rest from operators' guidance (secondary) or from memory, as
the rulebook says for each.
"""

from typing import Any

import pytest

from connections.facts.decision import Period
from tests.site_files import ALL, cells, decision, limit, unit

BEFORE, THEN, AFTER = "before-work", "before-energising", "after-commissioning"

STEPS = [
    ("g98-single", [unit("a")], {}, [(AFTER, "notification", "Form B", False, 28)]),
    ("g98-several", [unit("a")], {"nearby": {"premises": 1}},
     [(BEFORE, "application", "Form A", True, None), (AFTER, "notification", "Form B", False, 28)]),
    ("sgi-1", [unit("a", standard="G99")], {}, [(AFTER, "notification", "A3-3", False, 28)]),
    ("sgi-2", [unit("a", 2990), cells("b", 2990)], {"limits": limit(16_000)},
     [(BEFORE, "application", "A1-2", True, 10),
      (BEFORE, "application", "G100 Form A", False, None),
      (AFTER, "confirmation", "A3-2", False, 28),
      (AFTER, "confirmation", "G100 Form C", False, None)]),
    ("sgi-3", [unit("a", 5000)], {},
     [(BEFORE, "application", "A1-2", True, 10), (AFTER, "confirmation", "A3-2", False, 28)]),
    ("g99-short", [unit("a", 9000)], {},
     [(BEFORE, "application", "A1-1", True, 45), (AFTER, "confirmation", "A3-1", False, 28)]),
    ("g99-full-a", [unit("a", 60_000, phases=ALL)], {"phases": 3},
     [(BEFORE, "application", "Standard Application Form", True, 45),
      (THEN, "notification", "", False, 15), (AFTER, "confirmation", "A3-1", False, 28)]),
    ("g99-full-a", [unit("a", 60_000, phases=ALL)],
     {"phases": 3, "supply": {"voltage_level": "HV"}},
     [(BEFORE, "application", "Standard Application Form", True, 65),
      (THEN, "notification", "", False, 15), (AFTER, "confirmation", "A3-1", False, 28)]),
    ("g99-full-b", [unit("a", 1_000_000, phases=ALL)], {"phases": 3},
     [(BEFORE, "application", "Standard Application Form", True, 45),
      (THEN, "notification", "Power generating module document", True, 28),
      (AFTER, "confirmation", "Final operational notification", True, None)]),
    ("beyond", [unit("a", 10_000_000, phases=ALL)], {"phases": 3},
     [(BEFORE, "ask", "", True, None)]),
]  # fmt: skip


@pytest.mark.parametrize("case", STEPS, ids=[case[0] for case in STEPS])
def test_steps_of_each_procedure(case):
    key, units, facts, wanted = case
    answer = decision(*units, **facts)
    assert answer.procedure.key == key
    assert [
        (s.when, s.what, s.form, s.wait, s.limit.n if s.limit else None) for s in answer.steps
    ] == wanted
    assert all(step.sources and step.certainty and step.says.endswith(".") for step in answer.steps)


def test_periods_say_their_unit_and_what_they_run_from():
    application, confirmation = decision(unit("a", 5000)).steps
    assert application.limit == Period(10, "working-days", "submission")
    assert confirmation.limit == Period(28, "days", "commissioning")


def test_an_undetermined_site_has_no_steps():
    assert decision(unit("a", type_tested=None)).steps == ()


# A scheme that is not fully type tested adds its report before energising.
@pytest.mark.parametrize(
    ("tested", "forms"),
    [(True, ["G100 Form A", "G100 Form C"]),
     (False, ["G100 Form A", "G100 Form B", "G100 Form C"]),
     (None, ["G100 Form A", "G100 Form B", "G100 Form C"])],
)  # fmt: skip
def test_limitation_schemes_add_their_forms(tested, forms):
    answer = decision(unit("a", 9000), limits=limit(16_000, type_tested=tested))
    assert [step.form for step in answer.steps if "G100" in step.form] == forms


def test_a_change_on_the_dc_side_is_told_before_the_work():
    old = unit("a", status="existing", commissioned_on="2021-05-01")
    added: dict[str, Any] = {"storage": [{"unit_id": "a", "status": "proposed"}]}
    first = decision(old, **added).steps[0]
    assert (first.when, first.what, first.wait) == ("before-work", "notification", False)
    assert len(decision(old).steps) == len(decision(old, **added).steps) - 1


def test_another_supply_is_asked_for_before_the_first_step():
    wide = unit("a", 9000, phases=ALL)
    changed = decision(wide, phases=3, supply={"now_phases": 1}).steps
    same = decision(wide, phases=3, supply={"now_phases": 3}).steps
    assert "asked for the new supply" in changed[0].notes[-1]
    assert [step.says for step in changed] == [step.says for step in same]
    assert not any("new supply" in note for step in (*same, *changed[1:]) for note in step.notes)
