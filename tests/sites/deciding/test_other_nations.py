"""Premises of Northern Ireland and Ireland on the sheet: typed like any other."""

import html

import pytest
from django.test import Client
from django.urls import reverse

from sites.premises.models import Premises
from tests.sites.deciding.filling import filled
from tests.sites.making import make_person, make_premises

pytestmark = pytest.mark.django_db


@pytest.fixture
def client():
    client = Client()
    client.force_login(make_person())
    return client


def sent_to(client, case, view: str, boxes: dict[str, str]):
    sent = filled(client.get(reverse("design-sheet", args=[case.design.key])), boxes)
    return client.post(reverse(view, args=[case.design.key]), sent)


NUMBER = {"numbers-0-value": "81 123 456 789", "numbers-0-scheme": "ni11"}
NO_AREA = {"premises-licence_area": ""}
TESTED = {"proposed-units-0-standard": "G98/NI"}


def test_the_nation_finds_the_area_and_the_rulebook(client):
    case = make_premises()
    boxes = {
        "premises-nation": "northern_ireland",
        **NUMBER,
        **NO_AREA,
        **TESTED,
        "proposed-units-1-gone": "on",
    }
    page = html.unescape(sent_to(client, case, "design-panel", boxes).content.decode())
    assert "Connect and notify" in page
    assert "Northern Ireland, as the nation says" in page


def test_an_area_of_another_nation_is_said(client):
    case = make_premises()  # it has the area gb-12
    boxes = {"premises-nation": "northern_ireland", **NUMBER}
    page = html.unescape(sent_to(client, case, "design-panel", boxes).content.decode())
    assert 'the licence area "gb-12" does not lie in Northern Ireland' in page


def test_a_missing_rule_stands_in_the_panel(client):
    case = make_premises()
    larger = {"proposed-units-0-rated_w": "18 kW"}  # at most 17 kW on one phase is held
    boxes = {"premises-nation": "northern_ireland", **NUMBER, **NO_AREA, **TESTED, **larger}
    page = html.unescape(sent_to(client, case, "design-panel", boxes).content.decode())
    assert "Not determined: the rule is not held" in page
    assert "does not hold the rule on generation larger than small-scale" in page


def test_limits_of_ireland_are_asked_in_apparent_power(client):
    case = make_premises()
    boxes = {
        "premises-nation": "ireland",
        "numbers-0-value": "10 123 456 789",
        "numbers-0-scheme": "ie11",
        **NO_AREA,
    }
    page = html.unescape(sent_to(client, case, "design-panel", boxes).content.decode())
    assert "Not yet determined" in page
    assert "The apparent power of " in page


def test_eleven_digits_of_great_britain_are_asked_about(client):
    case = make_premises()
    page = html.unescape(
        sent_to(
            client, case, "design-panel", {"numbers-0-value": "81 123 456 789"}
        ).content.decode()
    )
    assert "has 11 digits" in page
    assert "Northern Ireland or Ireland: choose that kind" in page


def test_the_sheet_is_kept(client):
    case = make_premises()
    boxes = {
        "premises-nation": "northern_ireland",
        "premises-licence_area": "ni-1",
        "premises-grid": "irish",
        **NUMBER,
    }
    answer = sent_to(client, case, "design-sheet", boxes)
    assert answer.status_code == 302, answer.content.decode()[:2000]
    kept = Premises.objects.get(pk=case.premises.pk)
    assert (kept.nation, kept.licence_area, kept.grid) == ("northern_ireland", "ni-1", "irish")
    [number] = kept.supply_numbers.all()
    assert (number.scheme, number.value) == ("ni11", "81 123 456 789")
