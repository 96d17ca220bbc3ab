"""Other premises of the same firm near by: 500 m and 28 days (operators' guidance, secondary)."""

import pytest

from connections.rules.decide import decide
from tests.site_files import book, cells, decided, decision, found, limit, site, unit

HELD = unit("a", 3680, design_w=5000, limited_by="maker")  # `sgi-1`


def test_the_rulebook_says_where_the_text_is_silent():
    assert book().words("neighbours.silent") == ("sgi-1",)


def test_several_premises_under_g98_are_applied_for_first():
    answer = decision(unit("a"), nearby={"premises": 1})
    assert answer.procedure.key == "g98-several"
    assert (answer.procedure.boundary, answer.procedure.other_reading) == (False, None)
    first = answer.steps[0]
    assert (first.when, first.what, first.form, first.wait) == (
        "before-work", "application", "Form A", True,
    )  # fmt: skip


@pytest.mark.parametrize("premises", [1, 2, None])
def test_sgi_1_stays_and_the_operator_is_asked_first(premises):
    answer = decision(HELD, nearby={"premises": premises})
    told = answer.procedure
    assert (told.key, told.boundary, told.other_reading) == ("sgi-1", True, None)
    first = answer.steps[0]
    assert (first.when, first.what, first.wait) == ("before-work", "ask", True)
    assert [step.form for step in answer.steps] == ["", "A3-3"]


def test_sgi_1_alone_asks_nobody():
    answer = decision(HELD)
    assert (answer.procedure.key, answer.procedure.boundary) == ("sgi-1", False)
    assert [(step.when, step.what) for step in answer.steps] == [
        ("after-commissioning", "notification")
    ]


# The other procedures are applied for in any case: neighbours are told and change nothing.
@pytest.mark.parametrize(
    ("units", "facts", "key"),
    [
        ([unit("a", 2990), cells("b", 2990)], {"limits": limit(16_000)}, "sgi-2"),
        ([unit("a", 5000)], {}, "sgi-3"),
        ([unit("a", 9000)], {}, "g99-short"),
    ],
)
def test_other_procedures_only_tell(units, facts, key):
    alone, near = (decided(*units, nearby={"premises": n}, **facts) for n in (0, 3))
    assert (alone.procedure, near.procedure) == (key, key)
    assert not near.case.boundary
    assert (found(alone, "neighbours"), found(near, "neighbours")) == ([], [("decide", "site")])
    assert alone.steps == near.steps


def test_the_finding_says_how_near_and_how_soon():
    answer = decided(unit("a"), nearby={"premises": 2})
    told = next(f for f in answer.findings if f.id == "neighbours")
    assert (told.values["premises"], told.values["metres"], told.values["days"]) == (2, 500, 28)


@pytest.mark.parametrize(("area", "told"), [("gb-15", True), ("gb-23", True), ("gb-12", False)])
@pytest.mark.parametrize("premises", [1, None])
def test_where_the_operator_takes_something_in_place_of_the_distance(area, told, premises):
    # One operator's guidance for North East England and Yorkshire (secondary).
    answer = decide(site(unit("a"), nearby={"premises": premises}), book(area))
    [about] = [each for each in answer.findings if each.id == "neighbours"]
    proxy = "This operator takes the same partial postcode in place of the distance."
    assert (proxy in about.words()[1]) is told
    assert ("nearby.proxy" in about.keys) is told
