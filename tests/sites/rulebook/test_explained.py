"""How a case was decided: facts, comparisons with margin and bar, values with their layer."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from sites.looks.writing.local_entries import add_entry
from tests.sites.making import home, island, make_premises
from tests.sites.rulebook.making import reading


def page_of(client, case):
    return client.get(reverse("case-explained", args=[case.key]))


def test_comparisons_with_their_margin(client, office, words):
    """2 x 3600 W / 230 V = 31.3043 A on L1: 15.3043 A over the 16 A of connect and notify, and
    margins never flatter."""
    answer = page_of(client, make_premises())
    said = words(answer)
    assert "Short application: small generation installation below 60 A: row" in said
    assert "31.304 A is not at most 16 A, 15.305 A too much. Fails." in said
    assert "L1: pv-1 3600 W + bat-1 3600 W = 7200 W, 31.304 A at 230 V" in said
    assert "the registered capacity of pv-1: 3.6 kW" in said
    page = answer.content.decode()
    # 16000 / 31304 of 216 steps is 110.4.
    assert 'aria-label="31.304 A beside a limit of 16 A"' in page
    assert 'x1="110.5"' in page
    key = reverse("rulebook-value", args=["g98.sum_limit"])
    assert f'href="{key}?where=gb-12&amp;on=2026-11-24"' in page


def test_every_row_up_to_the_one_that_settles(client, office):
    told = page_of(client, make_premises()).context["told"]
    assert [row.settles for row in told.rows] == [False] * (len(told.rows) - 1) + [True]
    assert all(row.against for row in told.rows[:-1])
    assert not told.rows[-1].against


def test_the_layer_that_won_and_what_lies_beneath(client, engineer, words):
    """With exactly 32 A let in, the strict reading of the edition lies beneath."""
    add_entry(area="gb-12", entry=reading(), reason="The operator wrote.", by=engineer)
    said = words(page_of(client, make_premises()))
    values = said[said.index("Values that took part") :]
    row = values[values.index("sgi-2.sum_reading") :]
    assert row.index("inclusive") < row.index("Local entries for London (gb-12)")
    assert "in place of strict from Great Britain, connection rules of 2025" in row


def test_steps_and_findings(client, office, words):
    said = words(page_of(client, make_premises(**island())))
    steps = said[said.index("Steps Apply") : said.index("Findings Needs")]
    assert "time.sgi_answer" in steps
    assert "Not needed here" in steps
    assert "Needs an engineer's decision" in said


def test_undetermined_names_the_facts_in_words(client, office, words):
    units = home()["units"]
    units[1]["rated_w"] = None
    said = words(page_of(client, make_premises(units=units)))
    lead = said[said.index("How this was decided Not yet determined") :].partition("Under which")[0]
    assert "the registered capacity of bat-1" in lead
    assert "units[" not in lead
    assert "Can't be told." in said


def test_a_rule_that_is_not_held(client, office, words):
    """18 kW or more on one phase is above the 17 kW of Northern Ireland; that rule is not held."""
    units = [{**unit, "standard": "G98/NI", "rated_w": 9000} for unit in home()["units"]]
    premises = {"nation": "northern_ireland", "address_lines": ["1 Reedcutter Row"]}
    said = words(page_of(client, make_premises(premises=premises, units=units)))
    assert "this rulebook does not hold the rule on generation larger than small-scale" in said
    assert "EREC G98/NI and EREC G99/NI" in said


def test_what_can_not_be_decided_says_why(client, office, words):
    case = make_premises(on_date="1999-01-01")
    answer = page_of(client, case)
    assert answer.status_code == 200
    assert "Nothing can be decided yet." in words(answer)
    assert "Under which rulebook" not in words(answer)


@pytest.mark.parametrize("name", ["premises", "case-review"])
def test_pages_of_the_line_lead_there(client, engineer, name):
    case = make_premises()
    key = case.premises.key if name == "premises" else case.key
    page = client.get(reverse(name, args=[key])).content.decode()
    assert (
        f'<a href="{reverse("case-explained", args=[case.key])}">How this was decided</a>' in page
    )


def test_names_are_shown_and_not_run(client, office):
    case = make_premises(reference="<script>alert(1)</script>")
    page = page_of(client, case).content.decode()
    assert "<script>alert(1)" not in page


def test_the_queries_do_not_grow_with_units(client, office):
    def queries(case):
        with CaptureQueriesContext(connection) as captured:
            assert page_of(client, case).status_code == 200
        return len(captured)

    few = make_premises()
    units = home()["units"]
    many = make_premises(units=[*units, *({**units[0], "id": f"pv-{n}"} for n in range(2, 12))])
    queries(few)
    assert queries(few) == queries(many)
