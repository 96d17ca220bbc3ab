"""Premises with one supply number or address: asked about, linked or told apart, and counted."""

import json

import pytest
from django.urls import reverse

from sites.house.models import Event
from sites.premises.forms.posted import DOUBLE
from sites.premises.forms.written import raw_of
from sites.premises.models import Double, Premises
from sites.premises.reading.doubles import alike, doubles_of, marks_of
from sites.premises.reading.site_rows import rows_for
from sites.premises.writing.importing import rows_from_site
from sites.premises.writing.site_files import import_site_file
from tests.site_files import file, read
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db


def at(*lines, postcode="ZZ1 1AA", **numbers):
    """The marks of a premises with this address."""
    premises = {"address_lines": list(lines), "postcode": postcode, **numbers}
    return marks_of(rows_from_site(read(file(premises=premises))))


def test_a_postcode_and_a_house_number_name_one_address():
    mark = at("27 Reed Lane", "Fennhaven")
    assert len(mark) == 1
    assert at("27, REED LN.", postcode="zz11aa") == mark
    assert at("29 Reed Lane") != mark
    assert at("Flat 2, 27 Reed Lane") != mark
    assert at("27 Reed Lane", postcode="ZZ1 1AB") != mark
    assert at("The Old Creamery") == at("the old  creamery")
    assert at("27 Reed Lane", postcode="") == frozenset()


def posted(case):
    """A sheet of a premises as its page would post it, for a new one."""
    raw = raw_of(rows_for(case.premises, case.design))
    return {name: texts for name, texts in raw.items() if not name.endswith("-key")}


@pytest.fixture
def first():
    return make_premises(reference="FIRST-1")


@pytest.fixture
def second(client, first):
    """A post of a second premises with the number and the address of the first, by somebody."""
    client.force_login(make_person())
    return {**posted(first), "case-reference": ["SECOND-1"]}


def test_the_same_number_is_asked_about_before_anything_is_created(client, first, second):
    answer = client.post("/premises/new/", second)
    assert answer.status_code == 422
    words = answer.content.decode()
    assert "FIRST-1: has the same MPAN; say whether it is the same supply" in words
    assert reverse("premises", args=[first.premises.key]) in words
    assert not Premises.objects.filter(reference="SECOND-1").exists()

    answer = client.post("/premises/new/", {**second, f"{DOUBLE}{first.premises.key}": "same"})
    assert answer.status_code == 302
    (made,) = Premises.objects.filter(reference="SECOND-1")
    double = Double.objects.get()
    assert (double.one, double.other, double.same) == (first.premises, made, True)
    assert Event.objects.filter(act="premises.linked", subject_key=made.key).exists()
    page = client.get(answer["Location"]).content.decode()
    assert "is linked: the same supply" in page


def test_premises_that_differ_are_not_asked_about_again(client, first, second):
    said = {f"{DOUBLE}{first.premises.key}": "differs"}
    assert client.post("/premises/new/", {**second, **said}).status_code == 302
    made = Premises.objects.get(reference="SECOND-1")
    assert doubles_of(made) == doubles_of(first.premises) == []
    rows = rows_for(made, made.designs.get())
    assert [each.same for each in alike(marks_of(rows), than=made)] == [False]


def test_an_answer_about_premises_that_are_not_there_changes_nothing(client, first, second):
    for key in ("no-key", "11111111-1111-4111-8111-111111111111"):
        assert (
            client.post("/premises/new/", {**second, f"{DOUBLE}{key}": "same"}).status_code == 422
        )
    assert not Double.objects.exists()


def test_a_save_asks_about_what_it_changed_alone(client, first):
    other = make_premises()
    client.force_login(make_person())
    address = reverse("design-sheet", args=[other.design.key])
    seen = {"seen-premises": "1", "seen-design": "1"}
    raw = raw_of(rows_for(other.premises, other.design))
    theirs = raw_of(rows_for(first.premises, first.design))["numbers-0-value"]
    answer = client.post(address, {**raw, **seen, "numbers-0-value": theirs})
    assert answer.status_code == 422
    assert "FIRST-1: has the same MPAN" in answer.content.decode()
    assert client.post(address, {**raw, **seen}).status_code == 302


def test_an_imported_file_says_so_and_the_plant_there_is_counted(client, first):
    """Two units of 3.6 kW run at the first: 7200 W that the second does not hold."""
    site = home()
    site["premises"] = {
        **home()["premises"],
        "supply_numbers": [
            {"use": "import", "scheme": "gb13", "value": first.premises.supply_numbers.get().value}
        ],
    }
    for unit in site["units"]:
        unit["status"] = "existing"
    person = make_person()
    done = import_site_file(name="a", content=json.dumps(site).encode(), by=person)
    assert done.premises is not None
    assert [each.premises for each in done.alike] == [first.premises]
    # Nothing runs at the first yet; at the second do two.
    assert [(each.there, each.there_w) for each in done.alike] == [(0, 0)]
    (seen,) = doubles_of(first.premises)
    assert (seen.there, seen.there_w, seen.by_number) == (2, 7200, True)
    client.force_login(person)
    page = client.get(reverse("premises", args=[first.premises.key])).content.decode()
    assert "7.2 kW in all" in page
    link = reverse("premises-double", args=[first.premises.key])
    assert client.post(link, {"other": done.premises.key, "said": "same"}).status_code == 302
    assert [each.same for each in doubles_of(first.premises)] == [True]


def test_queries_do_not_grow_with_premises(first, django_assert_max_num_queries):
    for _ in range(7):
        make_premises(
            premises={
                **home()["premises"],
                "supply_numbers": [
                    {
                        "use": "import",
                        "scheme": "gb13",
                        "value": first.premises.supply_numbers.get().value,
                    }
                ],
            }
        )
    with django_assert_max_num_queries(5):
        found = doubles_of(first.premises)
    assert len(found) == 5
