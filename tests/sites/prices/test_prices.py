"""The firm's price list: dated and ended, never edited; who may change it."""

import datetime as dt

import pytest
from django.urls import reverse

from sites.house.refusals import NotAllowedError, RefusedError
from sites.prices.models import Price, VatRate
from sites.prices.reading import price_list
from sites.prices.writing import end_row, enter_price, enter_vat
from tests.sites.making import make_equipment, make_person
from tests.sites.prices.making import FIRST, price, rate

pytestmark = pytest.mark.django_db

MARCH, APRIL = dt.date(2026, 3, 1), dt.date(2026, 4, 1)
DAY = dt.timedelta(days=1)


@pytest.fixture
def office():
    return make_person("office")


def minor_on(day):
    found = [each.minor for each in price_list(day).prices if each.kind == "labour"]
    assert len(found) < 2
    return found[0] if found else None


class TestDates:
    def test_a_new_price_ends_the_one_before_and_edits_nothing(self, office):
        old = enter_price(wanted=price(), by=office)
        enter_price(wanted=price(minor=550_00, starts=MARCH), by=office)
        assert [minor_on(day) for day in (FIRST - DAY, FIRST, MARCH - DAY, MARCH)] == [
            None, 500_00, 500_00, 550_00,
        ]  # fmt: skip
        old.refresh_from_db()
        assert (old.minor, old.ends, old.ended_by) == (500_00, MARCH - DAY, office)

    def test_the_last_day_still_holds(self, office):
        row = enter_price(wanted=price(), by=office)
        end_row(row=row, last_day=MARCH, by=office)
        assert (minor_on(MARCH), minor_on(MARCH + DAY)) == (500_00, None)

    def test_the_day_before_the_first_takes_it_back(self, office):
        row = enter_price(wanted=price(), by=office)
        end_row(row=row, last_day=FIRST - DAY, by=office)
        assert minor_on(FIRST) is None
        enter_price(wanted=price(minor=1_00), by=office)
        assert minor_on(FIRST) == 1_00

    @pytest.mark.parametrize("starts", [MARCH, FIRST])
    def test_nothing_is_slipped_in_before_a_later_price(self, office, starts):
        enter_price(wanted=price(starts=MARCH), by=office)
        with pytest.raises(RefusedError, match="There is one from 1 March 2026 already"):
            enter_price(wanted=price(starts=starts), by=office)

    def test_an_ended_price_is_not_ended_again(self, office):
        row = enter_price(wanted=price(), by=office)
        end_row(row=row, last_day=MARCH, by=office)
        with pytest.raises(RefusedError, match="ended already"):
            end_row(row=row, last_day=APRIL, by=office)

    def test_no_earlier_end_than_that(self, office):
        row = enter_price(wanted=price(), by=office)
        with pytest.raises(RefusedError, match="the earliest last day"):
            end_row(row=row, last_day=FIRST - 2 * DAY, by=office)

    def test_a_size_has_one_price_whatever_its_name(self, office):
        small = {"kind": "pv-inverter", "size": 3_680}
        enter_price(wanted=price(label="Small", **small), by=office)
        enter_price(wanted=price(label="Smaller", starts=MARCH, minor=1_00, **small), by=office)
        held = price_list(MARCH).of_size("pv-inverter", 3_000)
        assert held is not None
        assert held.minor == 1_00

    def test_two_kinds_do_not_share_a_name(self, office):
        enter_price(wanted=price(), by=office)
        with pytest.raises(RefusedError, match="another kind has this name"):
            enter_price(wanted=price(kind="other"), by=office)

    def test_a_rate_of_vat_is_dated_too(self, office):
        enter_vat(wanted=rate(), by=office)
        enter_vat(wanted=rate(rate=1_750, starts=MARCH), by=office)
        assert price_list(FIRST).rates == {"standard": 2_000}
        assert price_list(MARCH).rates == {"standard": 1_750}


@pytest.mark.parametrize("role", ["engineer", "installer"])
def test_only_the_office_and_managers_change_prices(role):
    person = make_person(role)
    row = enter_price(wanted=price(), by=None)
    for act in (
        lambda: enter_price(wanted=price(starts=MARCH), by=person),
        lambda: enter_vat(wanted=rate(), by=person),
        lambda: end_row(row=row, last_day=MARCH, by=person),
    ):
        with pytest.raises(NotAllowedError, match="Only the office or a manager"):
            act()


TYPED = {
    "kind": "pv-inverter", "label": "Inverter of 3.68 kW", "size": "3.68 kW",
    "minor": "£1,250.50", "vat": "zero", "starts": "2026-11-01", "source": "INVENTED/3",
}  # fmt: skip


class TestPages:
    @pytest.fixture
    def client(self, client, office):
        client.force_login(office)
        return client

    def test_a_price_is_entered_and_listed(self, client):
        answer = client.post(reverse("price-new"), TYPED, follow=True)
        row = Price.objects.get()
        assert (row.minor, row.size, row.currency) == (1_250_50, 3_680, "GBP")
        page = answer.content.decode()
        for words in ("Inverter of 3.68 kW", "£1,250.50", "up to 3.68 kW", "INVENTED/3"):
            assert words in page

    def test_a_new_price_begins_from_the_old_one(self, client):
        row = enter_price(wanted=price(), by=None)
        page = client.get(reverse("price-new"), {"like": str(row.key)}).content.decode()
        assert 'value="500.00"' in page
        assert 'value="2"' in page

    def test_a_model_of_the_catalogue_needs_no_size(self, client):
        model = make_equipment()
        typed = {**TYPED, "kind": "hybrid-inverter", "size": "", "model": str(model.key)}
        client.post(reverse("price-new"), typed)
        row = Price.objects.get()
        assert (row.maker, row.model, row.size) == (model.maker, model.model, None)

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"minor": "12,50"}, "Give an amount in pounds, such as 1,250.00."),
            ({"minor": "-3"}, "Give an amount in pounds"),
            ({"minor": "2000000"}, "Give at most £1,000,000."),
            ({"size": ""}, "Give a size, or a model of the catalogue."),
            ({"size": "3.68 kWh"}, "kW"),
            ({"kind": ""}, "Pick what it is a price of."),
            ({"kind": "labour"}, "This kind has no size; leave it empty."),
            ({"vat": ""}, "Pick a VAT class."),
            ({"source": ""}, "Say where the price comes from."),
            ({"starts": "soon"}, "Give a day, such as 2026-12-01."),
            ({"usual": "two"}, "Give a number, such as 2.5."),
        ],
    )
    def test_a_fault_stands_at_its_box(self, client, typed, says):
        answer = client.post(reverse("price-new"), {**TYPED, **typed})
        assert answer.status_code == 422
        page = answer.content.decode()
        assert says in page
        assert 'value="Inverter of 3.68 kW"' in page
        assert not Price.objects.exists()

    def test_a_price_and_a_rate_are_ended(self, client):
        for name, row in (
            ("price-end", enter_price(wanted=price(), by=None)),
            ("vat-end", enter_vat(wanted=rate(), by=None)),
        ):
            client.post(reverse(name, args=[row.key]), {"last_day": "2026-03-31"})
            row.refresh_from_db()
            assert row.ends == dt.date(2026, 3, 31)
        page = client.get(reverse("prices")).content.decode()
        assert "No price holds today." in page
        assert "Prices and rates that ended or begin later" in page

    def test_a_rate_is_entered_with_its_source(self, client):
        typed = {"vat": "standard", "rate": "17.5", "starts": "2026-11-01", "source": "INVENTED/4"}
        page = client.post(reverse("vat-new"), typed, follow=True).content.decode()
        assert VatRate.objects.get().rate == 1_750
        assert "17.5 %" in page

    def test_queries_do_not_grow_with_prices(self, client, django_assert_num_queries):
        for number in range(2):
            enter_price(wanted=price(label=f"Day {number}"), by=None)
        client.get(reverse("prices"))
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as few:
            client.get(reverse("prices"))
        for number in range(9):
            enter_price(wanted=price(label=f"More {number}"), by=None)
        with django_assert_num_queries(len(few)):
            client.get(reverse("prices"))
