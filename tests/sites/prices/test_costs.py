"""What designs cost, the choice with its frozen cost, and the customer's page of one A4."""

import datetime as dt
from decimal import Decimal

import pypdfium2
import pytest
from django.urls import reverse

from connections.prices.earning import FINE_PRINT, difference
from connections.prices.price_list import PriceList
from connections.ways.asked import Asked
from sites.designs.reading.costs import costs_of
from sites.designs.reading.side_by_side import side_by_side
from sites.designs.writing.designs import choose_design, copy_design
from sites.energy.writing.given import Given
from sites.energy.writing.years import ask_for_years, enter_inputs
from sites.house.refusals import RefusedError
from sites.prices.models import Choice, CostBasis, Price
from sites.prices.reading import frozen_cost, latest_bases
from sites.prices.words import choice_words, cost_words
from sites.prices.writing import enter_basis, enter_price
from sites.ways.reading import ways_to_keep
from sites.ways.writing import keep_as_case
from tests.sites.making import make_person, make_premises
from tests.sites.prices.making import make_prices, price, work_out_years

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    person = make_person("office")
    client.force_login(person)
    return person


@pytest.fixture
def kept(office):
    """A quick look kept as a case: separate, hybrid, limited and battery, with their years."""
    make_prices()
    case = keep_as_case(ways=ways_to_keep(Asked()), chosen="hybrid", reference="FH-980", by=office)
    given = Given(
        region=3, yearly_use_kwh=3500, import_pence=Decimal(27), export_pence=Decimal(12),
        standing_pence=Decimal(54),
    )  # fmt: skip
    enter_inputs(premises=case.premises, given=given, seen="", by=office)
    ask_for_years(premises=case.premises, by=office)
    work_out_years(case)
    return case


def page_of(client, case):
    return client.get(reverse("costs", args=[case.premises.key])).content.decode()


def printed(client, case):
    content = client.get(reverse("designs-print", args=[case.premises.key])).content
    pdf = pypdfium2.PdfDocument(content)
    assert len(pdf) == 1
    return " ".join(pdf[0].get_textpage().get_text_range().split())


def test_the_page_tells_costs_years_and_the_difference(client, kept):
    page = page_of(client, kept)
    # One hybrid: 1500 + 2500 + 13 x 150 + 2 x 500 = 6950, and 20 % of it; separate: 900 + 1000 in
    # place of 1500 = 7350; the battery alone: 1000 + 2500 + 1000 = 4500.
    for words in ("£8,340 with VAT", "£8,820 with VAT", "£5,400 with VAT", FINE_PRINT,
                  "What moves it most", "the price of what is bought, 20 % less or more",
                  "The firm proposed One hybrid inverter on"):  # fmt: skip
        assert words in page
    found = costs_of(side_by_side(kept.premises))
    assert found.cheapest is not None
    assert found.cheapest.name == "Battery only"
    assert len(found.differences) == 3
    assert all(len(each.movers) <= 3 for each in found.differences.values())


def test_a_difference_is_that_of_the_years_shown(kept):
    page = side_by_side(kept.premises)
    by_name = {one.name: one for one in page.designs}
    dear, cheap = by_name["Separate inverters"], by_name["One hybrid inverter"]
    assert dear.priced is not None
    assert cheap.priced is not None
    assert dear.money is not None
    assert cheap.money is not None
    found = difference(dear.priced, cheap.priced)
    # 8,820 less 8,340
    assert found.cost == 480_00
    assert found.saves == cheap.money.net - dear.money.net
    # 365 days of 54 p, the same in both
    assert dear.money.standing == cheap.money.standing == 197_10


def test_a_choice_freezes_its_cost(client, kept):
    hybrid = kept.premises.designs.get(name="One hybrid inverter")
    answer = client.post(
        reverse("choice", args=[kept.premises.key]),
        {"design": str(hybrid.key), "by_whom": "customer", "on": "2026-11-20",
         "why": "One box on the wall."},
        follow=True,
    )  # fmt: skip
    choice = Choice.objects.order_by("pk").last()
    assert choice is not None
    assert (choice.case, choice.design, choice.by_whom) == (kept, hybrid, "customer")
    words = (
        "The customer chose One hybrid inverter on 20 November 2026, at £8,340 with VAT. "
        "Why: One box on the wall."
    )
    assert choice_words(choice) == words
    assert words in answer.content.decode()
    hybrid_price = Price.objects.get(label="Hybrid inverter")
    later = price(kind="hybrid-inverter", label="Hybrid inverter", size=20_000, minor=9_000_00,
                  starts=hybrid_price.starts + dt.timedelta(days=30))  # fmt: skip
    enter_price(wanted=later, by=None)
    now = next(one for one in side_by_side(kept.premises).designs if one.design == hybrid)
    assert now.cost is not None
    assert cost_words(now.cost)[0] != "£8,340 with VAT"
    cost = frozen_cost(choice)
    assert cost is not None
    assert cost_words(cost)[0] == "£8,340 with VAT"


def test_another_design_becomes_the_proposal_and_the_case_asks_for_it(office, kept):
    battery = kept.premises.designs.get(name="Battery only")
    choose_design(design=battery, by=office, by_whom="customer", why="Cheaper.")
    kept.refresh_from_db()
    battery.refresh_from_db()
    assert (kept.design, battery.is_proposal) == (battery, True)
    assert kept.choices.count() == 2


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"design": ""}, "Pick a design."),
        ({"on": "2100-01-01"}, "Give today or an earlier day."),
        ({"on": ""}, "Give a day."),
    ],
)
def test_a_choice_at_fault_keeps_what_was_typed(client, kept, typed, says):
    sent = {"design": str(kept.design.key), "on": "2026-11-20", "why": "Because of it.", **typed}
    answer = client.post(reverse("choice", args=[kept.premises.key]), sent)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert says in page
    assert "Because of it." in page
    assert Choice.objects.count() == 1


class TestLines:
    def test_they_add_up_and_say_what_is_missing(self, client, kept):
        page = client.get(reverse("design-cost", args=[kept.design.key])).content.decode()
        for words in ("13 panels", "£1,950", "2 days", "VAT, standard rate, 20 % of £6,950",
                      "£1,390", "£8,340 with VAT", "Scaffold: no price is entered."):  # fmt: skip
            assert words in page

    def test_a_design_says_how_much_labour_it_takes(self, client, kept):
        address = reverse("design-cost", args=[kept.design.key])
        page = client.post(address, {"amount-0": "3.5"}, follow=True).content.decode()
        # 1.5 days more at 500, and 20 % of it.
        assert "3.5 days" in page
        assert "£9,240 with VAT" in page

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"made_kwh": "4000"}, "Name the scheme’s method"),
            ({"method": "INVENTED/5"}, "Give a figure of the scheme"),
            ({"method": "M", "made_kwh": "10", "used_kwh": "11"}, "can’t use more"),
            ({"amount-0": "x"}, "Give a number, such as 2.5."),
        ],
    )
    def test_what_cannot_be_stands_at_its_box(self, client, kept, typed, says):
        answer = client.post(reverse("design-cost", args=[kept.design.key]), typed)
        assert answer.status_code == 422
        assert says in answer.content.decode()
        assert not CostBasis.objects.exists()


class TestCustomersPage:
    def test_it_has_costs_and_says_which_way_and_why(self, client, kept):
        text = printed(client, kept)
        assert "Proposed One hybrid inverter" in text
        assert "£8,340 with VAT" in text
        assert "Extra cost over Battery only is earned back in" in text
        assert "it costs least" in text
        assert FINE_PRINT in text
        assert "scaffold: no price is entered" in text
        assert "It moves most" in text or "it moves most" in text

    def test_the_choice_and_its_reason_stand_on_it(self, client, office, kept):
        choose_design(design=kept.design, by=office, by_whom="customer",
                      on=dt.date(2026, 11, 20), why="Least work on the wall.")  # fmt: skip
        text = printed(client, kept)
        assert (
            "Chosen One hybrid inverter: by you on 20 November 2026. Least work on the wall."
            in text
        )

    def test_a_schemes_figures_stand_in_place_of_ours(self, client, office, kept):
        enter_basis(design=kept.design, amounts={}, method="INVENTED/5, edition 1", made_kwh=4321,
                    used_kwh=1234, saves_minor=410_00, by=office)  # fmt: skip
        text = printed(client, kept)
        assert "made 4,321 kWh, used at home 1,234 kWh, saves £410" in text
        assert "INVENTED/5, edition 1" in text
        one = next(o for o in side_by_side(kept.premises).designs if o.design == kept.design)
        assert one.year.result is not None
        # Nothing of our own year of this design is told beside it.
        assert text.count("see the scheme’s figure") == 8

    def test_without_prices_nothing_is_said_of_cost(self, client, office):
        case = make_premises()
        copy_design(design=case.design, name="Another", by=office)
        text = printed(client, case)
        assert "Cost today" not in text
        assert FINE_PRINT not in text


def test_figures_need_their_method(office):
    case = make_premises()
    with pytest.raises(RefusedError, match="Name the scheme"):
        enter_basis(design=case.design, amounts={}, made_kwh=1, by=office)


def test_the_latest_basis_counts(office):
    case = make_premises()
    for hundredths in (100, 250):
        enter_basis(design=case.design, amounts={"Day of labour": hundredths}, by=office)
    assert latest_bases([case.design])[case.design.pk].amounts == {"Day of labour": 250}


def test_without_any_price_a_design_has_no_cost(office):
    case = make_premises()
    one = side_by_side(case.premises).designs[0]
    assert one.cost is None
    assert PriceList((), {}).all_of("labour") == ()
    choose_design(design=case.design, by=office)
    choice = Choice.objects.get()
    assert frozen_cost(choice) is None
    assert choice_words(choice).startswith("The firm proposed this design on")
