"""The day planned for the work, beside the window of an application and the day of its answer.

EREC G99 Issue 2, 6.2.2.3 and 6.2.2.4: the planned day lies 10 working days to 3 months after the
application is sent, and the operator answers within 10 working days. Sent on Tuesday 24 November
2026: Wednesday is day 1, Tuesday 8 December day 10; three months on is 24 February 2027. Scotland
has St Andrew's Day, Monday 30 November, between, so day 10 is Wednesday 9 December.
"""

import pytest

from connections.rules.decide import Decided
from tests.connections.rules.local_books import decided_with, value
from tests.site_files import ALL, decided, unit

SMALL = 5000
"""Watts of one unit that is applied for as a small generation installation (`sgi-3`)."""
BEFORE, OUTSIDE = "planned-before-answer", "planned-outside-window"


def ids(answer: Decided) -> list[str]:
    return [found.id for found in answer.findings if found.id.startswith("planned-")]


def said(answer: Decided, id: str) -> tuple[str, str]:
    return next(found.words() for found in answer.findings if found.id == id)


@pytest.mark.parametrize(
    ("planned", "nation", "told"),
    [
        ("2026-11-23", "england", [BEFORE, OUTSIDE]),
        ("2026-12-07", "england", [BEFORE, OUTSIDE]),
        ("2026-12-08", "england", []),
        ("2026-12-08", "scotland", [BEFORE, OUTSIDE]),
        ("2026-12-09", "scotland", []),
        ("2027-02-24", "england", []),
        ("2027-02-25", "england", [OUTSIDE]),
    ],
)
def test_the_window_and_the_answer_of_a_small_installation(planned, nation, told):
    answer = decided(unit("a", SMALL), planned_on=planned, premises={"nation": nation})
    assert ids(answer) == told
    assert all(found.severity == "inform" for found in answer.findings if found.id in told)


def test_the_words_name_the_days():
    answer = decided(unit("a", SMALL), planned_on="2026-12-07")
    assert said(answer, BEFORE) == (
        "The work is planned for 7 December 2026, before the answer is due. Book nobody yet.",
        "Sent on 24 November 2026, the answer is due by 8 December 2026. No answer after its day "
        "is no agreement.",
    )
    assert said(answer, OUTSIDE) == (
        "The work is planned for 7 December 2026, before the days that the application wants it "
        "on: 10 working days to 3 months after it is sent.",
        "Sent on 24 November 2026, that is from 8 December 2026 to 24 February 2027.",
    )
    early = decided(unit("a", SMALL), planned_on="2026-11-23")
    assert "23 November 2026, before it is sent." in said(early, BEFORE)[0]
    late = decided(unit("a", SMALL), planned_on="2027-02-25")
    assert "25 February 2027, after the days" in said(late, OUTSIDE)[0]


def test_other_applications_have_an_answer_and_no_window():
    # 45 working days after 24 November 2026, without 25, 28 December and 1 January: 29 January
    # 2027 would be day 45 with 4 left in November, 21 in December, 20 in January.
    assert ids(decided(unit("a", 9000), planned_on="2027-01-28")) == [BEFORE]
    assert ids(decided(unit("a", 9000), planned_on="2027-01-29")) == []
    assert ids(decided(unit("a", 9000), planned_on="2027-06-01")) == []


def test_connect_and_notify_waits_for_no_answer():
    assert ids(decided(unit("a"), planned_on="2026-11-25")) == []


def test_no_day_and_no_new_plant_are_silent():
    assert ids(decided(unit("a", SMALL))) == []
    old = unit("a", SMALL, status="existing", commissioned_on="2021-05-01")
    assert ids(decided(old, planned_on="2026-11-25")) == []


@pytest.mark.parametrize("done", ["2026-12-01", "2026-12"])
def test_work_that_is_done_is_not_called_planned(done):
    units = [unit("a", 2990, commissioned_on=done), unit("b", 2990)]
    assert ids(decided(*units, planned_on="2026-12-01")) == []


def test_the_first_of_several_units_counts():
    units = [unit("a", 2990, planned_on="2027-01-11"), unit("b", 2990, planned_on="2026-12-01")]
    assert ids(decided(*units, planned_on="2027-02-01")) == [BEFORE, OUTSIDE]


def test_a_day_off_of_the_firm_moves_both():
    # An invented entry: Wednesday 2 December is no working day, so day 10 is 9 December.
    off = value("calendar.extra_days", "list", ["2026-12-02"])
    assert ids(decided_with(off, units=[unit("a", SMALL)], planned_on="2026-12-08")) == [
        BEFORE,
        OUTSIDE,
    ]


@pytest.mark.parametrize("watts", [SMALL, 9000, 60_000])
def test_silence_is_no_agreement(watts):
    # sgi-3, g99-short, g99-full-a: each waits for an answer that has its day.
    answer = decided(unit("a", watts, phases=ALL) if watts > 9000 else unit("a", watts),
                     phases=3 if watts > 9000 else 1)  # fmt: skip
    [application] = [step for step in answer.steps if step.wait]
    assert application.says.endswith("No answer after its day is not agreement.")
