"""What follows each procedure: what is sent, when, on which form, and whether to wait.

Sources: EREC G99 Issue 2, 6.2.2.2 (A3-3), 6.2.2.3 and 6.2.2.4 (A1-2, A3-2, ten working days) and
16.3.1 (28 days); EREC G98 Form B; the rest from operators' guidance (secondary) or from memory, as
the rulebook says for each.
"""

import datetime as dt
from typing import Any

import pytest

from connections.facts.decision import Period
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from tests.connections.rules.editions import book_of, written_under
from tests.connections.rules.local_books import book_with, value
from tests.site_files import ALL, ON, book, cells, decision, file, limit, read, site, unit

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
     [(BEFORE, "application", "A1-1", True, 45), (THEN, "notification", "", False, 15),
      (AFTER, "confirmation", "A3-1", False, 28)]),
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


# One operator (areas 10, 12 and 19) wants a programme 15 days before any module of Type A is
# commissioned: guidance on witness testing, version 2, secondary. Of others nothing was found.
@pytest.mark.parametrize(
    ("area", "days"),
    [("gb-10", 15), ("gb-12", 15), ("gb-19", 15), ("gb-14", None), ("gb-16", None)],
)
@pytest.mark.parametrize("rated_w", [20_000, 60_000])
def test_the_programme_goes_to_the_operator_that_asks_for_it(area, days, rated_w):
    made = decide(site(unit("a", rated_w, phases=ALL, type_tested="no"), phases=3), book(area))
    limits = [s.limit for s in write_decision(made).steps if s.when == THEN]
    assert limits == ([Period(days, "days", "before-commissioning")] if days else [])


# EREC G99 Issue 2 as found: A2-3 is titled for inverters, and goes with A2-4 where interface
# protection is proved on site; A2-1 or A2-2 are for synchronous units; an asynchronous machine has
# no form of its own, so an engineer decides. Above 50 kW the full form names its parts instead.
@pytest.mark.parametrize(
    ("kind", "tested", "rated_w", "form", "asked"),
    [
        ("inverter", "no", 20_000, "A2-3", False),
        ("inverter", "part", 20_000, "A2-3", False),
        ("inverter", "full", 45_000, None, False),
        ("synchronous", "no", 20_000, "A2-1 or A2-2", False),
        ("synchronous", "full", 20_000, None, False),
        ("asynchronous", "no", 20_000, None, True),
        ("asynchronous", "full", 20_000, None, False),
        ("inverter", "no", 60_000, None, False),
        ("asynchronous", "no", 60_000, None, False),
    ],
)
def test_the_test_form_goes_by_the_kind_of_unit(kind, tested, rated_w, form, asked):
    answer = decision(unit("a", rated_w, phases=ALL, kind=kind, type_tested=tested), phases=3)
    forms = [s.form for s in answer.steps if s.form.startswith("A2")]
    assert forms == ([form] if form else [])
    told = [(f.severity, f.subject) for f in answer.findings if f.id == "induction-test-form"]
    assert told == ([("decide", "a")] if asked else [])
    if form == "A2-3":
        assert any("form A2-4 where interface protection is proved" in s.says for s in answer.steps)
    if rated_w == 60_000:
        assert any("its parts 1 to 3" in s.says for s in answer.steps)


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


OLD: dict[str, Any] = {"status": "existing", "commissioned_on": "2021-05-01"}
NEW_CELLS = [{"unit_id": "a", "status": "proposed"}]


# Registered capacity is the inverter's, so a notice may do; EREC G99, section 6.1 (unread) may want
# new storage applied for. So one step asks and waits: never an application and a notice at once.
@pytest.mark.parametrize("part", ["arrays", "storage"])
def test_a_change_behind_an_inverter_that_stays_is_one_question(part):
    facts: dict[str, Any] = {part: NEW_CELLS}
    answer = decision(unit("a", **OLD), **facts)
    assert answer.procedure.key == "dc-side"
    [step] = answer.steps
    assert (step.when, step.what, step.wait) == ("before-work", "ask", True)
    assert "told" in step.says
    assert "applied for" in step.says


@pytest.mark.parametrize(
    ("units", "wanted"),
    [
        ([unit("a", 2000, **OLD), unit("b", 1000)], "g98-single"),
        ([unit("a", 2000, **OLD), unit("b", 1000, status="removed")], "g98-single"),
        ([unit("a", 2000, **OLD), unit("b", 1000, **OLD)], "dc-side"),
        ([unit("a", 2000)], "g98-single"),  # behind an inverter that comes with them
        ([unit("a", 2000, operating_mode="switched", **OLD)], "nothing-parallel"),
    ],
)
def test_only_a_change_by_itself_is_a_dc_side_change(units, wanted):
    answer = decision(*units, storage=NEW_CELLS)
    assert answer.procedure.key == wanted
    acts = {step.what for step in answer.steps}
    assert not {"application", "notification"} <= acts


def test_cells_behind_an_old_inverter_ask_for_the_network_and_the_type_test():
    [told] = [f for f in decision(unit("a", **OLD), storage=NEW_CELLS).findings
              if f.id == "dc-side-change"]  # fmt: skip
    assert {"supply.cutout_a", "units[0].standards"} <= set(told.facts)
    assert "cut-out" in told.sentence
    assert "covers storage" in told.sentence
    [panels] = [f for f in decision(unit("a", **OLD), arrays=NEW_CELLS).findings
                if f.id == "dc-side-change"]  # fmt: skip
    assert "cut-out" not in panels.sentence


def panels(*peaks: int, added: int | None) -> dict[str, Any]:
    there = [{"unit_id": "a", "peak_w": peak} for peak in peaks]
    return {"arrays": [*there, {"unit_id": "a", "peak_w": added, "status": "proposed"}]}


# Registered capacity: the lesser of inverter and panels. 3.68 kW and 3 kWp: 3 kW. With 500 Wp more
# 3.5 kW; with 1 kWp more the inverter's 3.68 kW. 4 kWp held nothing down.
@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (panels(1000, 2000, added=500), "may rise from 3 kW to 3.5 kW"),
        (panels(1000, 2000, added=1000), "may rise from 3 kW to 3.68 kW"),
        (panels(4000, added=1000), None),
        (panels(3000, added=None), None),
        (panels(added=1000), None),  # what was there is not known
    ],
)
def test_panels_raise_a_capacity_that_they_held_down(parts, words):
    told = [f for f in decision(unit("a", **OLD), **parts).findings if f.id == "dc-side-capacity"]
    assert [words in f.sentence for f in told] == ([True] if words else [])


def test_plant_that_all_goes_is_told_and_nothing_else():
    answer = decision(unit("a", status="removed"), unit("b", operating_mode="switched"))
    assert answer.procedure.key == "nothing-parallel"
    [step] = answer.steps
    assert (step.when, step.what, step.wait) == (AFTER, "decommission", False)
    # An operator's older page: within 28 days.
    assert step.limit == Period(28, "days", "taking-out")
    assert "Form D" in step.form


@pytest.mark.parametrize(("rated_w", "first"), [(3000, "notification"), (5000, "application")])
def test_one_message_tells_of_the_new_plant_and_of_what_it_replaces(rated_w, first):
    answer = decision(unit("old", 3000, status="removed"), unit("new", rated_w))
    assert answer.steps[0].what == first
    assert "which plant is taken out: old." in answer.steps[0].notes[-1]
    assert not any("taken out" in note for step in answer.steps[1:] for note in step.notes)
    assert all(step.what != "decommission" for step in answer.steps)
    same = decision(unit("new", rated_w)).steps
    assert not any("taken out" in note for step in same for note in step.notes)


@pytest.mark.parametrize(
    ("nation", "on"),
    [("england", dt.date(2024, 6, 1)), ("northern_ireland", ON), ("ireland", ON)],
)
def test_every_edition_knows_plant_that_goes_and_a_change_behind_what_stays(nation, on):
    book = book_of(nation, on)
    gone = written_under(book, unit("a", 30_000, status="removed"))
    assert gone.procedure.key == "nothing-parallel"
    assert [(s.what, s.wait) for s in gone.steps] == [("decommission", False)]
    behind = written_under(book, unit("a", 30_000, **OLD), storage=NEW_CELLS)
    assert behind.procedure.key == "dc-side"
    assert [(s.what, s.wait) for s in behind.steps] == [("ask", True)]


def test_an_operator_can_want_a_form_for_what_is_replaced():
    asks = book_with(value("operator.decommissioning_form", "yes-no", True))
    site = read(file(unit("old", 3000, status="removed"), unit("new", 3000)))
    steps = write_decision(decide(site, asks)).steps
    assert [(s.what, s.limit.n if s.limit else None) for s in steps] == [
        ("notification", 28), ("decommission", 28),
    ]  # fmt: skip
    alone = write_decision(decide(read(file(unit("new", 3000))), asks)).steps
    assert [s.what for s in alone] == ["notification"]


def test_another_supply_is_asked_for_before_the_first_step():
    wide = unit("a", 9000, phases=ALL)
    changed = decision(wide, phases=3, supply={"now_phases": 1}).steps
    same = decision(wide, phases=3, supply={"now_phases": 3}).steps
    assert "asked for the new supply" in changed[0].notes[-1]
    assert [step.says for step in changed] == [step.says for step in same]
    assert not any("new supply" in note for step in (*same, *changed[1:]) for note in step.notes)


@pytest.mark.parametrize(
    ("units", "facts", "told"),
    [
        # An offer is made for plant above the small installations; those get an answer.
        ([unit("a", 9000)], {}, True),
        ([unit("a", 60_000, phases=ALL)], {"phases": 3}, True),
        ([unit("a", 60_000, phases=ALL)],
         {"phases": 3, "supply": {"voltage_level": "HV"}}, True),
        ([unit("a", 5000)], {}, False),
        ([unit("a")], {}, False),
    ],
)  # fmt: skip
def test_how_long_an_offer_stands(units, facts, told):
    # 90 days: guidance of one operator (secondary); the offer itself counts.
    note = "An offer stands for 90 days, unless it names another time."
    notes = [each for step in decision(*units, **facts).steps for each in step.notes]
    assert notes.count(note) == told


def test_what_a_limitation_scheme_is_described_by_and_tested_for():
    answer = decision(unit("a", 9000), limits=limit(16_000))
    notes = {step.form: " ".join(step.notes) for step in answer.steps}
    assert "It tells: purpose: export or import; limit for each phase" in notes["G100 Form A"]
    assert "It reports these tests: limits confirmed;" in notes["G100 Form C"]


@pytest.mark.parametrize("kind", ["inverter", "synchronous", "asynchronous"])
def test_which_test_form_serves_an_asynchronous_unit_is_to_be_decided(kind):
    """No form is titled for an induction set; A2-3 is titled for inverters (its first page)."""
    answer = decision(unit("a", 15000, phases=ALL, kind=kind, type_tested="no"), phases=3)
    told = next(f for f in answer.findings if f.id == "not-type-tested")
    assert told.severity == "decide"
    assert ("A2-3" in told.workings) is (kind == "asynchronous")
    assert ("units[0].kind" in told.facts) is (kind == "asynchronous")
