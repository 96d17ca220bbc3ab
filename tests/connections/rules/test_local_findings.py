"""Caps on export by place, extra conditions, and what an operator wants for a step."""

from typing import Any

import pytest

from connections.rules.writing import write_decision
from tests.connections.rules.local_books import book_with, cap, condition, decided_with, value
from tests.site_files import ALL, cells, decided, found, limit, unit

# On L1: 3680 + 3680 = 7360 W, at 230 V 32 A.
TWO = (unit("a", 3680), cells("b", 3680))
# 3 x 5000 W = 15 kW in all, 5 kW or 500000/23 mA = 21.739 A a phase.
THREE = (unit("a", 15_000, phases=ALL),)
AT_NORTH: dict[str, Any] = {"premises": {"feeder": "north  7", "licence_area": "gb-12"}}


def told(answer):
    """Severity and margin of each finding on a local cap."""
    return [
        (f.severity, f.margin, f.margin_unit) for f in answer.findings if f.id == "local-export-cap"
    ]


@pytest.mark.parametrize(
    ("table", "wanted"),
    [
        (cap("7.36 kW"), []),  # exactly at it is not above it
        (cap("7.359 kW"), [("stops", -1, "W")]),
        (cap("5 kW"), [("stops", -2360, "W")]),  # 7360 - 5000
        (cap("7.36 kVA", "VA"), []),
        (cap("7.3 kVA", "VA"), [("stops", -60, "VA")]),
        (cap("32 A", "mA", "phase"), []),
        (cap("31.999 A", "mA", "phase"), [("stops", -1, "mA")]),
        (cap("7 kW", "W", "phase"), [("stops", -360, "W")]),
    ],
)
def test_at_below_and_above_a_cap_on_one_phase(table, wanted):
    assert told(decided_with(table, units=TWO, **AT_NORTH)) == wanted


@pytest.mark.parametrize(
    ("table", "wanted"),
    [
        (cap("15 kW"), []),
        (cap("14 kW"), [("stops", -1000, "W")]),
        (cap("5 kW", "W", "phase"), []),
        (cap("4.999 kW", "W", "phase"), [("stops", -1, "W")]),
        (cap("21.74 A", "mA", "phase"), []),
        # 21739.13 mA against 21,739: 0.13 mA over, shown as 1.
        (cap("21.739 A", "mA", "phase"), [("stops", -1, "mA")]),
    ],
)
def test_on_three_phases(table, wanted):
    assert told(decided_with(table, units=THREE, phases=3, **AT_NORTH)) == wanted


def test_a_limitation_scheme_answers_it():
    assert (
        told(decided_with(cap("5 kW"), units=TWO, limits=limit(5000, "w_total"), **AT_NORTH)) == []
    )
    untested = limit(5000, "w_total", type_tested=False)
    assert told(decided_with(cap("5 kW"), units=TWO, limits=untested, **AT_NORTH))


@pytest.mark.parametrize(
    ("certainty", "severity"),
    [
        ("local", "stops"),
        ("secondary", "stops"),
        ("common practice", "decide"),
        ("from memory", "decide"),
    ],
)
def test_what_nobody_has_in_writing_stops_nothing(certainty, severity):
    answer = decided_with(cap("5 kW", certainty=certainty), units=TWO, **AT_NORTH)
    assert [each[0] for each in told(answer)] == [severity]


SECTOR = cap("5 kW", postcode_sectors=["EX1 1"])


@pytest.mark.parametrize(
    ("table", "premises", "wanted"),
    [
        (SECTOR, {"postcode": "EX1 1AA"}, ["local-export-cap"]),
        (SECTOR, {"postcode": "ex11aa"}, ["local-export-cap"]),
        (SECTOR, {"postcode": "EX1 2AA"}, []),
        (SECTOR, {"postcode": "EX11 1AA"}, []),
        (SECTOR, {}, ["cap-place-not-known"]),
        (SECTOR, {"postcode": "EX1"}, ["cap-place-not-known"]),
        (cap("5 kW"), {"feeder": "South 7"}, []),
        (cap("5 kW"), {"feeder": None}, ["cap-place-not-known"]),
        (cap("5 kW"), {"postcode": "EX1 1AA"}, ["cap-place-not-known"]),
        # What the site is below, or exactly at, is no matter, wherever it is.
        (cap("8 kW"), {}, []),
        (cap("7.36 kW"), {}, []),
        # One cap of a feeder and a sector is one finding, whatever of the two is known.
        (
            cap("5 kW", feeders=["North 7"], postcode_sectors=["EX1 1"]),
            {"feeder": "North 7"},
            ["local-export-cap"],
        ),
        (
            cap("5 kW", feeders=["North 7"], postcode_sectors=["EX1 1"]),
            {"feeder": "North 7", "postcode": "EX1 1AA"},
            ["local-export-cap"],
        ),
        (cap("5 kW", everywhere=True), {}, ["local-export-cap"]),
        # The feeder is another one, and the sector decides.
        (
            cap("5 kW", feeders=["North 7"], postcode_sectors=["EX1 1"]),
            {"feeder": "South 7", "postcode": "EX1 1AA"},
            ["local-export-cap"],
        ),
    ],
)
def test_whose_cap_it_is(table, premises, wanted):
    answer = decided_with(table, units=TWO, premises=premises)
    ids = {"local-export-cap", "cap-place-not-known"}
    assert [f.id for f in answer.findings if f.id in ids] == wanted


def test_the_words_and_the_source():
    answer = write_decision(decided_with(cap("5 kW"), units=TWO, **AT_NORTH))
    (finding,) = (f for f in answer.findings if f.id == "local-export-cap")
    assert finding.sentence == (
        "The export figure of 7.36 kW in all is above the cap of 5 kW for this feeder."
    )
    assert "2.36 kW too much" in finding.workings
    assert finding.sources == ("Letter (invented)",)
    assert "premises.feeder" in finding.facts


def basis(answer, id="local-export-cap"):
    return next(f.basis for f in write_decision(answer).findings if f.id == id)


def test_an_agreement_counts_while_cap_and_facts_are_the_same():
    first = basis(decided_with(cap("5 kW"), units=TWO, **AT_NORTH))
    assert basis(decided_with(cap("5 kW", says="In other words."), units=TWO, **AT_NORTH)) == first
    assert basis(decided_with(cap("4 kW"), units=TWO, **AT_NORTH)) != first
    assert basis(decided_with(cap("5 kW"), units=(unit("a", 7000),), **AT_NORTH)) != first


def test_the_basis_tells_no_more_of_a_postcode_than_its_sector():
    answers = [
        decided_with(SECTOR, units=TWO, premises={"postcode": postcode})
        for postcode in ("EX1 1AA", "EX1 1ZZ")
    ]
    assert basis(answers[0]) == basis(answers[1])


ABOVE_16 = {"fact": "largest_phase_sum", "above": "g98.sum_limit"}


@pytest.mark.parametrize(
    ("table", "units", "wanted"),
    [
        (condition(ABOVE_16), TWO, [("decide", "condition drawing")]),
        (condition(ABOVE_16), (unit("a", 3680),), []),  # exactly 16 A
        (condition(), (unit("a", 1000),), [("decide", "condition drawing")]),
        (condition(ABOVE_16, severity="stops"), TWO, [("stops", "condition drawing")]),
        (condition(ABOVE_16, severity="inform"), TWO, [("inform", "condition drawing")]),
        (condition(ABOVE_16, {"fact": "islanding", "is": "yes"}), TWO, []),
        # A capacity is missing: it may be asked, and can't stop by itself.
        (
            condition(ABOVE_16, severity="stops"),
            (unit("a", None),),
            [("decide", "condition drawing")],
        ),
    ],
)
def test_a_condition_where_its_conditions_hold(table, units, wanted):
    assert found(decided_with(table, units=units), "local-condition") == wanted


def test_the_words_of_a_condition():
    table = condition(ABOVE_16, attachments=["the drawing", "a photograph"])
    answer = write_decision(decided_with(table, units=TWO))
    (finding,) = (f for f in answer.findings if f.id == "local-condition")
    assert finding.sentence == (
        "The operator wants a drawing. Send it. Send with it: the drawing and a photograph."
    )
    assert finding.keys == ("g98.sum_limit",)
    assert finding.sources[-1] == "Letter (invented)"
    may = write_decision(decided_with(table, units=(unit("a", None),)))
    (finding,) = (f for f in may.findings if f.id == "local-condition")
    assert finding.sentence.startswith("It can't be told yet whether this is asked here:")


@pytest.mark.parametrize(
    ("rule", "severity"),
    [("ask", "decide"), ("accepted", "inform"), ("refused", "stops"), ("not stated", "decide")],
)
def test_the_operators_rule_on_a_looped_service(rule, severity):
    table = value("operator.looped_service", "text", rule)
    answer = decided_with(table, units=TWO, supply={"looped": True})
    assert found(answer, "looped-service") == [(severity, "supply")]


def test_without_a_rule_a_looped_service_is_asked_about_as_ever():
    answer = decided(*TWO, supply={"looped": True})
    assert found(answer, "looped-service") == [("decide", "supply")]
    assert next(f.keys for f in answer.findings if f.id == "looped-service") == ()


def steps_with(*tables):
    return decided_with(*tables, units=TWO).steps


def test_what_an_operator_wants_stands_with_the_steps():
    plain = steps_with()
    assert [step.notes for step in plain] == [()] * len(plain)
    told = steps_with(
        value("operator.submission_address", "text", "connections@operator.example"),
        value("operator.own_form", "text", "Form X1 (invented)"),
        value("operator.notice", "text", "five working days"),
        value("operator.witness", "text", "above 50 kW."),
    )
    notes = {step.what: step.notes for step in told}
    assert notes["application"] == (
        "Send it to connections@operator.example.",
        "The network operator's own form: Form X1 (invented).",
        "Notice that the network operator wants: five working days.",
        "Witness tests: above 50 kW.",
    )
    assert all("Letter (invented)" in step.sources for step in told if step.notes)


def test_a_local_reading_at_32_a_changes_the_procedure():
    # 16 + 16 A with a limit of 16 A: exactly 32 A, which read strictly is not sgi-2.
    capped: dict[str, Any] = {"limits": limit(16_000)}
    assert decided(*TWO, **capped).procedure == "sgi-3"
    table = value("sgi-2.sum_reading", "text", "inclusive")
    assert decided_with(table, units=TWO, **capped).procedure == "sgi-2"


def test_a_rulebook_without_entries_looks_at_no_place():
    assert book_with().caps == () == book_with().conditions
    assert told(decided(*TWO, **AT_NORTH)) == []
