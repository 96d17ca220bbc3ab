"""What is different between two decisions on one site, and what is not."""

from typing import Any

from connections.rules.comparing.decisions import changes_between
from connections.rules.decide import decide
from tests.connections.rules.local_books import book_with, cap, value
from tests.site_files import book, cells, limit, site, unit

TWO = (unit("a", 3680), cells("b", 3680))  # 7360 W, 32 A on L1


def between(*tables, units=TWO, **facts):
    made = site(*units, **facts)
    return changes_between(decide(made, book()), decide(made, book_with(*tables)))


def test_the_same_rules_change_nothing():
    assert between() == ()
    assert between(value("offer.validity", "days", "30 days")) == ()


def test_another_procedure_brings_other_steps():
    told = between(value("sgi-2.sum_reading", "text", "inclusive"), limits=limit(16_000))
    assert told[0].sentence == (
        "Procedure: Short application: small generation installation with a 16 A export limit "
        "instead of Short application: small generation installation below 60 A (read the other "
        "way: Short application: small generation installation with a 16 A export limit)."
    )
    gone = [change.about for change in told if change.kind == "finding" and change.how == "gone"]
    assert "boundary" in gone


def test_a_finding_that_is_added_and_one_that_is_gone():
    here: dict[str, Any] = {"premises": {"feeder": "North 7"}}
    made = site(*TWO, **here)
    plain, capped = decide(made, book()), decide(made, book_with(cap("5 kW")))
    (added,) = changes_between(plain, capped)
    (gone,) = changes_between(capped, plain)
    assert (added.kind, added.about, added.how, added.before) == (
        "finding", "local-export-cap", "added", "",
    )  # fmt: skip
    assert added.sentence == (
        "New finding: Stops the application. The export figure of 7.36 kW in all is above the "
        "cap of 5 kW for this feeder."
    )
    assert (gone.how, gone.after) == ("gone", "")
    assert gone.sentence.startswith("No longer a finding: Stops the application.")


def test_another_severity():
    looped = {"supply": {"looped": True}}
    (change,) = between(value("operator.looped_service", "text", "refused"), **looped)
    assert (change.how, change.before, change.after) == (
        "changed", "needs an engineer's decision", "stops the application",
    )  # fmt: skip
    assert change.sentence.startswith(
        "Stops the application instead of needs an engineer's decision: The service is looped"
    )


def test_a_step_that_says_more():
    told = between(value("operator.submission_address", "text", "a@operator.example"))
    assert {change.kind for change in told} == {"step"}
    assert all("Send it to a@operator.example" in change.after for change in told)
    assert all("Send it to" not in change.before for change in told)


def test_another_time_limit_of_a_step():
    # The edition gives the operator 10 working days for this answer.
    (change,) = between(value("time.sgi_answer", "working-days", "5 working days"))
    assert (change.kind, change.about, change.how) == ("step", "application", "changed")
    assert "5 working days" in change.after
    assert "10 working days" in change.before


def test_the_export_figure():
    made = site(*TWO)
    limited = site(*TWO, limits=limit(5000, "w_total"))
    told = changes_between(decide(made, book()), decide(limited, book()))
    (export,) = (change for change in told if change.kind == "export")
    assert export.sentence == "Export figure: 5 kW instead of 7.36 kW."


def test_what_can_not_be_told():
    unknown = site(unit("a", None))
    known = site(unit("a", 3680))
    told = changes_between(decide(known, book()), decide(unknown, book()))
    assert told[0].kind == "procedure"
    assert told[0].after.startswith("cannot tell yet (")
