"""Limitation schemes beside plant that is only notified.

EREC G100 was not read. Operators' guidance and common practice: a limit that the operator relies on
is described before the work and reported on Form C after it, on Form B too where it is not fully
type tested; a voluntary zero export limit is reported only where the operator wants that; load
management that nobody relies on is no scheme.
"""

from typing import Any

import pytest

from tests.connections.rules.local_books import cap, decided_with, value
from tests.site_files import decided, limit, unit

TESTED = {"value": 60_000, "basis": "ma_per_phase", "type_tested": True}
IMPORT = {"import": TESTED}
DESCRIBED, REPORT, FORM_C = "G100 Form A", "G100 Form B", "G100 Form C"
VOLUNTARY = value("limitation.form_c_for", "list", ["relied-on", "voluntary"])


def papers(answer: Any) -> list[tuple[str, str]]:
    return [(step.when, step.form) for step in answer.steps if "G100" in step.form]


BEFORE, THEN, AFTER = "before-work", "before-energising", "after-commissioning"


@pytest.mark.parametrize(("standard", "key"), [("G98", "g98-single"), ("G99", "sgi-1")])
def test_an_import_limit_is_described_before_and_reported_after(standard, key):
    answer = decided(unit(standard=standard), limits=IMPORT)
    assert answer.procedure == key
    assert papers(answer) == [(BEFORE, DESCRIBED), (AFTER, FORM_C)]
    assert not any(step.wait for step in answer.steps)


def test_a_scheme_that_is_not_type_tested_adds_its_report():
    answer = decided(unit(), limits={"import": {**TESTED, "type_tested": False}})
    assert papers(answer) == [(BEFORE, DESCRIBED), (THEN, REPORT), (AFTER, FORM_C)]


@pytest.mark.parametrize("tested", [True, False, None])
def test_a_voluntary_export_limit_needs_papers_only_where_the_operator_asks(tested):
    zero = limit(0, type_tested=tested)
    assert papers(decided(unit(), limits=zero)) == []
    asked = decided_with(VOLUNTARY, units=[unit()], limits=zero)
    assert papers(asked) == [(AFTER, FORM_C)]


@pytest.mark.parametrize(
    "facts",
    [
        {"supply": {"export_capacity_va": 3000}},
        {"caps": [{"on": "export", "value": 3000, "basis": "w_total"}]},
    ],
)
def test_an_export_limit_that_answers_the_operator_is_relied_on(facts):
    answer = decided(unit(), limits=limit(2500, "w_total"), **facts)
    assert papers(answer) == [(BEFORE, DESCRIBED), (AFTER, FORM_C)]


def test_so_is_one_that_answers_a_cap_of_the_place():
    here = {"premises": {"feeder": "North 7"}}
    facts = {"limits": limit(2500, "w_total")}
    there = decided_with(cap("3 kW"), units=[unit()], **facts)
    assert papers(there) == []
    answer = decided_with(cap("3 kW"), units=[unit()], **facts, **here)
    assert papers(answer) == [(BEFORE, DESCRIBED), (AFTER, FORM_C)]


def test_load_management_alone_is_no_scheme():
    charger = {"name": "charge point", "w": 7360, "controllable": True}
    answer = decided(unit(), loads={"assessed_demand_va": 9200, "items": [charger]})
    assert answer.case.facts["limit_use"] == "none"
    assert papers(answer) == []
    assert not [found.id for found in answer.findings if found.id.startswith("limit")]


def test_plant_that_is_applied_for_keeps_its_papers():
    answer = decided(unit("a", 9000), limits=limit(16_000))
    assert papers(answer) == [(BEFORE, DESCRIBED), (AFTER, FORM_C)]
