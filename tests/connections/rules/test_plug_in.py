"""Plug-in kits, from 27 August 2026 in Great Britain.

The definition inserted by SI 2026/848 (at most 800 W, no storage), the interim product
specification 2.0, 4.1 (800 VA, 3.5 A; panels of at most 2,000 W, 4 of them, 2 in series; above
960 W somebody looks at the wiring), and the accounts of EREC G98 Issue 2 Amendment 1 (one kit, 16 A
a phase together with wired plant, above that EREC G99). 16 A x 230 V = 3680 W: 800 W leave 2880 W.
"""

import datetime as dt
from typing import Any

import pytest

from connections.assessing import decide_without_words
from connections.facts.decision import Decision, Period
from connections.rules.decide import Decided
from tests.connections.rules.editions import book_of, decided_under
from tests.site_files import ALL, L2, ON, book, cells, decided, decision, found, site, unit

THERE: dict[str, Any] = {"status": "existing", "commissioned_on": "2026-09-01"}
OLD: dict[str, Any] = {"status": "existing", "commissioned_on": "2021-05-01"}
TWO_PANELS = [{"unit_id": "kit", "peak_w": 900, "panels": 2}]


def kit(id: str = "kit", rated_w: int = 800, **facts: Any) -> dict[str, Any]:
    return unit(id, rated_w, **{"plugged_in": True, **facts})


def panels(peak_w: int | None = 900, number: int | None = 2, **facts: Any) -> dict[str, Any]:
    return {"arrays": [{"unit_id": "kit", "peak_w": peak_w, "panels": number, **facts}]}


def why(answer: Decided, id: str = "kit") -> list[str]:
    """The reasons for which a kit is refused."""
    [told] = [f.values["why"] for f in answer.findings
              if (f.id, f.subject) == ("plug-in-refused", id)] or [[]]  # fmt: skip
    assert isinstance(told, list)
    return told


TAKEN = [
    ("alone", [kit()], {}),
    ("by its standard", [kit(plugged_in=None, standard="G98 plug-in")], {}),
    ("left out, by its standard",
     [{k: v for k, v in kit(standard="G98 plug-in").items() if k != "plugged_in"}], {}),
    ("800 VA", [kit(rated_va=800)], {}),
    ("beside 2880 W of wired plant: 16 A", [unit("a", 2880, **OLD), kit()], {}),
    ("beside 3680 W on another phase", [unit("a", 3680, phases=L2, **OLD), kit()], {"phases": 3}),
    ("beside untested wired plant", [unit("a", 2000, type_tested="no", **OLD), kit()], {}),
    ("beside a kit that goes", [kit("old", status="removed"), kit()], {}),
    ("with cells that go", [kit()],
     {"storage": [{"unit_id": "kit", "status": "removed"}]}),
    ("2 kWp, 4 panels in two strings", [kit()], panels(2000, 4, strings=2)),
]  # fmt: skip


@pytest.mark.parametrize("case", TAKEN, ids=[case[0] for case in TAKEN])
def test_one_kit_is_notified_by_the_customer(case: Any) -> None:
    _, units, facts = case
    answer = decided(*units, **facts)
    assert answer.procedure == "plug-in"
    assert why(answer) == []
    [step] = answer.steps
    assert (step.when, step.what, step.wait) == ("after-commissioning", "notification", False)
    # Form B of EREC G98 within 28 days.
    assert step.limit == Period(28, "days", "commissioning")
    assert "disconnected" in step.says


REFUSED = [
    ("two on a line", [kit(rated_w=400, quantity=2)], {}, ["two"]),
    ("two lines", [kit(rated_w=400), kit("b", 400)], {}, ["two"]),
    ("one there, one to come", [kit("old", 400, **THERE), kit(rated_w=400)], {}, ["two"]),
    ("cells", [kit()], {"storage": [{"unit_id": "kit"}]}, ["cells"]),
    ("storage as a kit", [kit(source="storage")], {}, ["cells"]),
    ("panels and storage", [kit(source="pv+storage")], {}, ["cells"]),
    ("wind", [kit(source="wind")], {}, ["not-pv"]),
    ("801 W", [kit(rated_w=801)], {}, ["too-large"]),
    ("801 VA", [kit(rated_va=801)], {}, ["too-large"]),
    ("beside 2881 W of wired plant", [unit("a", 2881, **OLD), kit()], {}, ["sum"]),
    # 4 kW on a phase is 17.391 A, whichever phase the kit is on.
    ("beside 4 kW on another phase", [unit("a", 4000, phases=L2, **OLD), kit()], {"phases": 3},
     ["sum"]),
    ("a full 16 A is there", [unit("a", 3680, **OLD), kit()], {}, ["sum"]),
    ("with wired plant", [unit("a", 1000), kit()], {}, ["together"]),
    ("high voltage", [kit()], {"supply": {"voltage_level": "HV"}}, ["high-voltage"]),
    ("two of 1.2 kW with cells", [kit(rated_w=1200, quantity=2)],
     {"storage": [{"unit_id": "kit"}]}, ["two", "cells", "too-large"]),
]  # fmt: skip


@pytest.mark.parametrize("case", REFUSED, ids=[case[0] for case in REFUSED])
def test_any_other_kit_stops_the_site(case: Any) -> None:
    _, units, facts, reasons = case
    answer = decided(*units, **facts)
    assert answer.procedure != "plug-in"
    assert why(answer) == reasons
    assert ("plug-in-refused", "kit") in answer.stops


@pytest.mark.parametrize(
    ("facts", "reasons"),
    [
        (panels(2001, 4, strings=2), ["panels"]),
        (panels(2000, 5, strings=5), ["panels"]),
        (panels(900, 3, strings=1), ["strings"]),
        # Three panels in two strings: one string has two of them.
        (panels(900, 3, strings=2), []),
        ({"arrays": [{"unit_id": "kit", "peak_w": 1001, "panels": 2}] * 2}, ["panels"]),
    ],
)
def test_its_panels_stop_it_whatever_the_outcome(facts: Any, reasons: list[str]) -> None:
    answer = decided(kit(), **facts)
    assert answer.procedure == "plug-in"
    assert why(answer) == reasons


def test_a_declared_current_above_its_ceiling_stops_it() -> None:
    assert why(decided(kit(rated_ma=3500))) == []
    assert why(decided(kit(rated_ma=3501))) == ["too-large"]


@pytest.mark.parametrize(
    ("nation", "on", "reasons"),
    [
        ("england", dt.date(2026, 8, 26), ["too-early"]),
        ("england", dt.date(2026, 8, 27), []),
        ("scotland", dt.date(2026, 8, 27), []),
        ("england", dt.date(2024, 6, 1), ["too-early"]),
        ("northern_ireland", ON, ["elsewhere"]),
        ("ireland", ON, ["elsewhere"]),
    ],
)
def test_the_day_and_the_nation_decide(nation: str, on: dt.date, reasons: list[str]) -> None:
    answer = decided_under(book_of(nation, on), kit(rated_va=800, phases=["L1"]))
    assert why(answer) == reasons
    assert (answer.procedure == "plug-in") is (not reasons)


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        (panels(960, 2), False),
        (panels(961, 2), True),
        (panels(None, 2), True),
        (panels(900, None), True),
        (panels(900, 3), True),  # how many are in series is not known
        (panels(900, 3, strings=3), False),
        ({}, True),
    ],
)
def test_panels_that_are_not_known_or_large_need_a_decision(facts: Any, told: bool) -> None:
    answer = decided(kit(), **facts)
    assert found(answer, "plug-in-panels") == ([("decide", "kit")] if told else [])


def test_not_known_counts_as_a_kit_with_a_decision() -> None:
    answer = decided(kit(plugged_in=None), arrays=TWO_PANELS)
    assert answer.procedure == "plug-in"
    assert found(answer, "plug-in-not-known") == [("decide", "kit")]
    assert found(decided(kit(), arrays=TWO_PANELS), "plug-in-not-known") == []
    assert decided(kit(plugged_in=False)).procedure == "g98-single"


def beside(answer: Decision) -> str:
    return next((f.sentence for f in answer.findings if f.id == "plug-in-beside"), "")


# 800 W are 3.4783 A, 2880 W 12.5217 A: 16 A. At the kit's 3.5 A: 16.0217 A.
def test_wired_plant_beside_a_kit_at_exactly_16_amps() -> None:
    answer = decision(kit("old", **THERE), unit("a", 2880))
    assert answer.procedure.key == "g98-single"
    assert answer.per_phase_exact["L1"] == (16_000, 1)
    assert "16 A on L1 would be 16.02 A" in beside(answer)
    assert [f.severity for f in answer.findings if f.id == "plug-in-beside"] == ["decide"]


# One watt more is above 16 A: EREC G99, where units of at most 32 A without a limit are `sgi-3`.
def test_above_16_amps_beside_a_kit_is_g99_with_the_kit_as_tested() -> None:
    answer = decision(kit("old", **THERE), unit("a", 2881))
    assert answer.procedure.key == "sgi-3"
    assert "old is a plug-in kit" in beside(answer)


@pytest.mark.parametrize(
    "facts",
    [
        {"type_tested": None, "standard": None},
        {"type_tested": "no", "standard": "other"},
        {"type_tested": "part"},
        {"plugged_in": None, "type_tested": "no"},
    ],
)
def test_a_kit_that_is_there_counts_as_fully_type_tested(facts: dict[str, Any]) -> None:
    answer = decided(kit("old", **{**THERE, **facts}), unit("a", 2880))
    assert answer.procedure == "g98-single"
    assert answer.case.possible.unknown == ()
    assert found(answer, "not-type-tested") == []
    # A unit of the same kind that is wired does not.
    wired = decided(kit("old", **{**THERE, **facts, "plugged_in": False}), unit("a", 2880))
    assert wired.procedure != "g98-single"


def test_a_battery_on_a_plug_is_no_kit_that_counts_as_tested() -> None:
    plugged = cells("bat", 700, plugged_in=True, type_tested="no", **THERE)
    assert decided(plugged, unit("a", 1000)).procedure == "g99-short"


def test_nothing_is_said_beside_a_kit_without_wired_plant_to_come() -> None:
    assert beside(decision(kit("old", **THERE), unit("a", 2880, **OLD))) == ""
    assert beside(decision(unit("a", 2880))) == ""


def test_cells_behind_a_kit_that_is_there_stop_the_site() -> None:
    answer = decided(
        kit(**THERE), storage=[{"unit_id": "kit", "status": "proposed"}], arrays=TWO_PANELS
    )
    assert answer.procedure == "dc-side"
    assert why(answer) == ["cells"]
    # Cells that were there before are the past's, and nothing is proposed.
    assert why(decided(kit(**THERE), storage=[{"unit_id": "kit"}])) == []


@pytest.mark.parametrize(
    ("when", "told"),
    [("2026-08-26", True), ("2026-08-27", False), ("2026-08", True), ("2026-09", False)],
)
def test_a_kit_from_before_the_rules_needs_a_decision(when: str, told: bool) -> None:
    answer = decided(kit("old", status="existing", commissioned_on=when), unit("a", 1000))
    assert found(answer, "plug-in-early") == ([("decide", "old")] if told else [])


def test_what_is_open_is_asked_for() -> None:
    answer = decision(kit(rated_w=0))
    assert answer.procedure.key == "undetermined"
    assert answer.possible[:2] == ("plug-in", "g98-single")
    assert answer.unknown == ("units[0].rated_w",)
    many = decision(kit(rated_w=400, quantity=None))
    assert many.possible[0] == "plug-in"
    assert many.unknown == ("units[0].quantity",)


def test_a_kit_on_three_phases_is_looked_at_on_each() -> None:
    answer = decided(kit(phases=ALL), unit("a", 3681, phases=L2, **OLD), phases=3)
    assert why(answer) == ["sum"]


def test_a_kit_that_is_plugged_in_stays_a_new_kit_until_it_is_notified():
    """The notice comes within 28 days after commissioning: the date is known by then."""
    made = site(kit(commissioned_on="2026-11-20"), **panels())
    answer = decide_without_words(made, book(), {"kit": "2026-11-20"})
    assert answer.procedure == "plug-in"
    assert answer.case.site.units[0].status != "existing"
    wired = decide_without_words(site(unit("a", 3000)), book(), {"a": "2026-11-20"})
    assert (wired.procedure, wired.case.site.units[0].status) == ("g98-single", "existing")
