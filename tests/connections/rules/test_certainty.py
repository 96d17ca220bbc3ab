"""How sure the values are: one line for the whole, and a line for a value that mattered."""

import datetime as dt
from typing import Any

import pytest

from connections.rulebook.book import Reading
from connections.rulebook.verifying import name_of, with_readings
from connections.rules.decide import Decided, decide
from tests.site_files import ALL, book, decided, file, found, read, unit

UNSURE = ("secondary", "from memory")


def told(answer: Decided) -> dict[str, bool]:
    """Values with a line of their own: whether each made the choice."""
    return {
        f.subject: bool(f.values["chose"]) for f in answer.findings if f.id == "uncertain-value"
    }


def summary(answer: Decided) -> dict[str, Any]:
    [finding] = [f for f in answer.findings if f.id == "uncertain-values"]
    return dict(finding.values)


@pytest.mark.parametrize("units", [[unit()], [unit("a", 5000)], [unit("a", 9000)]])
def test_one_line_counts_them(units):
    answer = decided(*units)
    assert found(answer, "uncertain-values") == [("inform", "rulebook")]
    values = summary(answer)
    assert values["n"] == len(values["list"]) == len(set(values["list"]))
    assert 0 < values["n"] <= values["m"]
    for key in values["list"]:
        assert book().values[key].certainty in UNSURE


# The number of premises is secondary; it alone takes this site out of `g98-single`.
def test_a_value_that_made_the_choice_has_its_own_line():
    assert told(decided(unit("a"), nearby={"premises": 3})) == {"nearby.several_from": True}
    assert told(decided(unit("a"))) == {}


def test_a_value_that_failed_beside_another_did_not_make_it():
    assert "nearby.several_from" not in told(decided(unit("a", 5000), nearby={"premises": 3}))


# The short form's 17 kW is secondary: 5 % of it is 850 W.
@pytest.mark.parametrize(
    ("watts", "near"), [(16_149, False), (16_150, True), (17_000, True), (17_850, True),
                        (17_851, False)]
)  # fmt: skip
def test_a_value_within_5_percent_has_its_own_line(watts, near):
    key = "g99-short.single_limit"
    lines = told(decided(unit("a", watts)))
    if watts < 17_000:
        assert (key in lines) is near
    else:  # it failed alone, so it made the choice as well
        assert lines[key] is True


def test_a_value_that_the_firm_has_read_is_uncertain_no_more():
    """The 17 kW of the short form is secondary; read by the firm it has no line and is not counted.
    Nothing else of the decision changes."""
    key = "g99-short.single_limit"
    plain = book()
    verified = with_readings(
        plain, {name_of(plain, plain.values[key]): Reading("Wren Example", dt.date(2026, 11, 30))}
    )
    site = read(file(unit("a", 17_000)))
    before, after = decide(site, plain), decide(site, verified)
    assert key in told(before)
    assert key not in told(after)
    assert summary(after)["n"] == summary(before)["n"] - 1
    assert key not in summary(after)["list"]
    assert verified.digest == plain.digest
    rest = [
        [f for f in answer.findings if not f.id.startswith("uncertain-")]
        for answer in (before, after)
    ]
    assert rest[0] == rest[1]
    assert (before.procedure, before.steps) == (after.procedure, after.steps)
    # The same rulebook without readings says again what its files say.
    assert key in told(decide(site, plain))


def test_published_values_have_no_line_however_near():
    # 16 A exactly, of 16 A published.
    assert told(decided(unit("a", 3680))) == {}
    assert told(decided(unit("a", 7360, phases=ALL), phases=3)) == {}
