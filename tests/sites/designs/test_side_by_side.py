"""Designs side by side: the same question asked of each, in an order of one's own."""

import pytest
from django.urls import reverse

from sites.deciding.reading.deciding import decide_case
from sites.deciding.reading.remedies import remedy_mark
from sites.designs.reading.side_by_side import side_by_side
from sites.designs.writing.designs import copy_design
from sites.designs.writing.from_remedy import design_from_remedy
from sites.desk.reading.premises import site_page
from tests.sites.making import make_person, make_premises

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    person = make_person("office")
    client.force_login(person)
    return person


@pytest.fixture
def three(office):
    """Separate inverters of 3.6 kW each, one hybrid inverter, and a bare copy."""
    case = make_premises()
    decision = decide_case(case, remedies=True).decision
    assert decision is not None
    shared = next(r for r in decision.remedies if r.kind == "shared-inverter")
    design_from_remedy(
        design=case.design, mark=remedy_mark(shared), name="One hybrid inverter", by=office
    )
    case.premises.refresh_from_db()
    copy_design(design=case.design, name="The same again", by=office)
    return case


def answers(page, question):
    return next(
        row.answers for group in page.groups for row in group.rows if row.question == question
    )


def test_separate_inverters_add_and_a_shared_one_is_the_cap(three):
    page = side_by_side(three.premises)
    power = answers(page, "From sun and cells together")
    assert power == (("7.2 kW",), ("3.6 kW",), ("7.2 kW",))
    assert answers(page, "Procedure")[1] == ("Connect and notify",)
    assert "L1: 31.304 A, 7.2 kW" in answers(page, "Registered capacity a phase")[0]


@pytest.mark.parametrize(
    ("order", "first"),
    [
        ("", "Design 1"),
        ("procedure", "One hybrid inverter"),
        ("power", "Design 1"),
        ("export", "One hybrid inverter"),
        ("boxes", "One hybrid inverter"),
        ("no such order", "Design 1"),
    ],
)
def test_orders(client, three, order, first):
    page = side_by_side(three.premises, order)
    assert page.designs[0].name == first
    answer = client.get(reverse("designs", args=[three.premises.key]), {"by": order})
    words = answer.content.decode()
    assert words.count("<thead") == 1
    assert words.index(first) < words.index("The same again")


def test_one_design_says_how_to_get_another(client, office):
    case = make_premises()
    words = client.get(reverse("designs", args=[case.premises.key])).content.decode()
    assert "There is one design. Copy it" in words


def test_a_design_that_cannot_be_decided_stands_beside_the_others(client, office):
    case = make_premises()
    twin = copy_design(design=case.design, name="Empty", by=office)
    twin.unit_set.all().delete()
    words = client.get(reverse("designs", args=[case.premises.key])).content.decode()
    assert "not known" in words
    assert "Enter a unit on the sheet" in words


def test_queries_do_not_grow_with_designs(client, office, django_assert_max_num_queries):
    case = make_premises()
    address = reverse("designs", args=[case.premises.key])
    for count in (1, 6):
        while case.premises.designs.count() < count:
            name = f"Design {case.premises.designs.count() + 1} of many"
            copy_design(design=case.design, name=name, by=office)
        # Three for boards, clamps and own figures, two for energy years, four for prices, rates,
        # what costs rest on and the choice: each once for all designs.
        # One of them asks on every page whether the firm requires a code.
        with django_assert_max_num_queries(28):
            client.get(address)


def test_findings_are_counted_as_on_the_page_of_the_premises(office):
    """A long thin cable: the rise over it is for the engineer, found by an electrical check."""
    cable = {
        "from": "consumer unit", "to": "pv-1", "unit_id": "pv-1", "length_mm": 60_000,
        "csa_mm2": "1.5", "material": "copper", "insulation": "thermoplastic 70 C", "method": "C",
    }  # fmt: skip
    case = make_premises(cables=[cable], caps=[{"on": "export", "value": 5000, "basis": "w_total"}])
    copy_design(design=case.design, name="The same again", by=office)
    shown = site_page(case.premises).designs
    told = answers(side_by_side(case.premises), "Findings")
    assert shown[0].stops == 1
    assert shown[0].decides > 0
    for one, said in zip(shown, told, strict=True):
        assert said == (f"{one.stops} stops it", f"{one.decides} for the engineer")


def test_a_remedy_becomes_a_design_by_one_press(client, three):
    address = reverse("design-from-remedy", args=[three.design.key])
    decision = decide_case(three, remedies=True).decision
    assert decision is not None
    mark = remedy_mark(next(r for r in decision.remedies if r.change))
    before = three.premises.designs.count()
    answer = client.post(address, {"remedy": mark}, follow=True)
    assert "Made from Design 1: " in answer.content.decode()
    assert three.premises.designs.count() == before + 1
    answer = client.post(address, {"remedy": "f" * 16}, follow=True)
    assert "no longer what would help" in answer.content.decode()
    assert three.premises.designs.count() == before + 1


def test_the_customers_page_is_a_pdf_of_the_same(client, three):
    answer = client.get(reverse("designs-print", args=[three.premises.key]), {"by": "procedure"})
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")


def test_without_a_design_that_can_be_decided_there_is_no_pdf(client, office):
    case = make_premises()
    case.design.unit_set.all().delete()
    answer = client.get(reverse("designs-print", args=[case.premises.key]), follow=True)
    assert "nothing to compare" in answer.content.decode()
