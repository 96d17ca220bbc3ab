"""The page of electrical checks: value, limit, margin and result of each, and its workings."""

import re

import pytest
from django.urls import reverse

from connections.rules.checks.basis.types import GROUPS
from connections.rules.decide import decide
from connections.rules.engineering import checks_of
from sites.deciding.reading.deciding import decide_case
from sites.review.reading.case_checks import case_checks, tone_of
from tests.sites.making import home, island, make_premises


@pytest.fixture(autouse=True)
def signed_in(client, office):
    client.force_login(office)


def page_of(client, case):
    return client.get(reverse("case-checks", args=[case.key]))


def run_of_cable(**changes):
    """A run of 6 mm² to pv-1: 3.6 kW over 20 m."""
    cable = {
        "from": "consumer unit",
        "to": "pv-1",
        "length_mm": 20_000,
        "csa_mm2": "6",
        "cores": 2,
        "material": "copper",
        "insulation": "thermoplastic 70 C",
        "method": "C",
    }
    return {**cable, **changes}


def shown(page, title, subject):
    return next(
        check
        for group in page.groups
        for check in group.checks
        if (check.title, check.subject) == (title, subject)
    )


def test_every_check_of_the_rules_stands_on_the_page(client, words):
    case = make_premises(cables=[run_of_cable()])
    answer = page_of(client, case)
    page = answer.context["page"]
    found = decide_case(case)
    assert found.site is not None
    assert found.book is not None
    checks = checks_of(decide(found.site, found.book))
    assert page.count == len(checks) > 10
    assert [group.id for group in page.groups] == [
        name for name in GROUPS if any(check.group == name for check in checks)
    ]
    said = words(answer)
    for check in checks:
        assert check.title in said
    # Each check is counted once: by its result.
    parts = (page.decide, page.cautions, page.missing)
    assert page.keeps + page.listed + sum(map(len, parts)) == page.count
    assert len(page.decide) == sum(check.failed for check in checks)
    assert len(page.missing) == sum(tone_of(check) == "missing" for check in checks)


def test_value_limit_margin_and_bar(client):
    """By hand: 20 m of 6 mm² copper at 70 °C, 3.08 x 1.1965 mohm/m: about 147 mohm out and back
    with 15.65 A is some 2.3 V, 1.0 % of 230 V: value and margin add up to the limit of 1 %."""
    page = case_checks(make_premises(cables=[run_of_cable()]))
    rise = shown(page, "Voltage rise in the installer's run", "pv-1")
    assert rise.limit == "at most 1 %"
    value = float(rise.value.removesuffix(" %"))
    assert abs(value - 1.0) < 0.03
    assert rise.bar is not None
    assert rise.bar.words == f"{rise.value} beside a limit of 1 %"


def test_too_much_is_said_in_words(client, words):
    case = make_premises(cables=[run_of_cable(length_mm=60_000)])
    page = case_checks(case)
    rise = shown(page, "Voltage rise in the installer's run", "pv-1")
    assert rise.result == "Over its limit"
    assert rise.margin.endswith("% too much")
    assert rise.tone == "decide"
    assert rise in page.decide
    said = words(page_of(client, case))
    assert "Needs an engineer’s decision Voltage rise in the installer's run: pv-1" in said


def test_workings_inputs_and_plot(client, words):
    answer = page_of(client, make_premises(cables=[run_of_cable()]))
    said = words(answer)
    assert "Formula: V at each place" in said
    assert "Power factor 1 assumed voltage_rise.power_factor" in said
    key = reverse("rulebook-value", args=["voltage_rise.run_limit"])
    page = answer.content.decode()
    assert f'href="{key}?where=gb-12&amp;on=' in page
    # The plot has a title and tells its figures to who does not see it.
    assert 'role="img" aria-labelledby="check-1-title check-1-desc"' in page


def test_what_is_missing_says_what_it_would_need(client, words):
    page = case_checks(make_premises())
    assert page.missing
    assert all(check.result.startswith("Cannot tell: needs ") for check in page.missing)
    assert all(not check.value for check in page.missing)


def test_no_page_says_safe_or_compliant(client, words):
    for site in ({}, island()):
        said = words(page_of(client, make_premises(**site))).casefold()
        assert "compliant" not in said
        assert not re.search(r"(?<!fail-)\bsafe\b", said)


def test_facts_missing_are_no_traceback(client, words):
    units = home()["units"]
    units[0]["rated_w"] = None
    said = words(page_of(client, make_premises(units=units)))
    assert "nan" not in said.casefold().split()
    assert "Electrical checks" in said


def test_what_can_not_be_decided_says_why(client, words):
    answer = page_of(client, make_premises(on_date="1999-01-01"))
    assert "Nothing can be checked yet." in words(answer)
    assert answer.context["page"].fault


def test_other_pages_lead_here(client):
    case = make_premises()
    address = reverse("case-checks", args=[case.key])
    for name, key in (("premises", case.premises.key), ("case-review", case.key)):
        page = client.get(reverse(name, args=[key])).content.decode()
        assert f'<a href="{address}">Electrical checks</a>' in page
