"""What was flagged over all sites."""

import pytest
from django.db.models import F
from django.urls import reverse

from sites.premises.models import Premises, Unit
from tests.sites.making import island, make_premises, make_question, make_verdict
from tests.sites.review.making import capped

# Each database puts rows in order in its own way.
pytestmark = pytest.mark.database

ADDRESS = "/review/"


def test_findings_stand_by_site_and_those_that_stop_come_first(by_engineer, office):
    waits = make_premises(by=office, **island())
    stopped = capped()
    make_premises(by=office)  # nothing to settle
    page = by_engineer.get(ADDRESS)
    flagged = [each.case for each in page.context["flagged"]]
    assert flagged == [stopped, waits]
    text = page.content.decode()
    assert text.index("Stops the application") < text.index("Needs an engineer&#x27;s decision")
    assert "above the operator&#x27;s cap of 5 kW (INV-OP-1)" in text
    assert "2.2 kW over the limit" in text  # 7.2 kW - 5 kW


def test_each_leads_to_its_place_on_the_review_page(by_engineer, office):
    case = make_premises(by=office, **island())
    (each,) = by_engineer.get(ADDRESS).context["flagged"]
    (finding,) = each.open_findings
    place = f"{reverse('case-review', args=[case.key])}#{finding.anchor}"
    assert place in by_engineer.get(ADDRESS).content.decode()
    page = by_engineer.get(reverse("case-review", args=[case.key])).content.decode()
    assert f'id="{finding.anchor}"' in page


def test_what_is_decided_is_gone_and_comes_back_with_other_facts(by_engineer, engineer):
    case = make_premises(**island())
    make_verdict(case, "can-island", by=engineer)
    page = by_engineer.get(ADDRESS)
    assert page.context["flagged"] == []
    assert "Nothing waits for an engineer" in page.content.decode()
    Unit.objects.filter(premises=case.premises, label="bat-1").update(can_island=None)
    Premises.objects.update(version=F("version") + 1)  # as every service does that saves a fact
    assert "Decided earlier; the facts have changed since" in by_engineer.get(ADDRESS).text


def test_it_says_what_was_asked_and_answered(by_engineer, engineer, office):
    case = make_premises(**island())
    question = make_question(case, by=engineer)
    assert "no answer yet" in by_engineer.get(ADDRESS).text
    question.answered_at, question.answer = question.asked_at, "It is."
    question.save()
    assert "The office has answered" in by_engineer.get(ADDRESS).text


def test_what_cannot_be_decided_comes_last_with_its_reason(by_engineer, office):
    case = make_premises(by=office)
    Unit.objects.filter(premises=case.premises).delete()
    page = by_engineer.get(ADDRESS)
    assert page.context["flagged"] == []
    assert "Not ready to be decided" in page.text
    assert case.application.reference in page.text


def test_names_are_text_and_never_run(by_engineer, office):
    case = make_premises(by=office, **island())
    case.premises.name = "<script>alert(1)</script>"
    case.premises.save()
    text = by_engineer.get(ADDRESS).text
    assert "<script>alert(1)" not in text
    assert "&lt;script&gt;alert(1)" in text


@pytest.mark.parametrize("sites", [1, 20])
def test_the_number_of_queries_does_not_grow(
    by_engineer, engineer, django_assert_max_num_queries, sites
):
    for _ in range(sites):
        case = make_premises(**island())
        make_question(case, by=engineer)
        capped()
    by_engineer.get(ADDRESS)
    with django_assert_max_num_queries(23):
        page = by_engineer.get(ADDRESS)
    assert len(page.context["flagged"]) == 2 * sites


def test_the_office_may_read_it(by_office, office):
    make_premises(by=office, **island())
    assert "can run as an island" in by_office.get(ADDRESS).text
