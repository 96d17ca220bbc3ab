"""A unit that begins with the values of a model of the equipment catalogue. All invented."""

import uuid

import pytest
from django.urls import reverse

from sites.catalogue.models import Equipment
from sites.premises.models import Draft, Unit
from tests.sites.deciding.filling import form_of
from tests.sites.making import make_equipment, make_person, make_premises

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def person(client):
    somebody = make_person()
    client.force_login(somebody)
    return somebody


def sheet_of(case):
    return reverse("design-sheet", args=[case.design.key])


def row(client, group="proposed-units", **query):
    return client.get(reverse("sheet-row", args=[group]), {f"{group}-TOTAL_FORMS": "2", **query})


def chosen(answer, name):
    """The value that is chosen in a list of a row."""
    select = answer.content.decode().split(f'name="{name}"')[1].split("</select>")[0]
    return select.split(" selected")[0].rsplit('value="', 1)[1].split('"')[0]


def test_without_models_the_sheet_has_no_list_of_them(client):
    assert "Begin the next unit with" not in client.get(sheet_of(make_premises())).content.decode()


def test_with_models_units_there_and_proposed_have_a_list(client):
    make_equipment(model="B")
    make_equipment(model="a")
    for place in (sheet_of(make_premises()), reverse("premises-new")):
        html = client.get(place).content.decode()
        assert html.count("Begin the next unit with") == 2
        assert html.index(">Invented Works a<") < html.index(">Invented Works B<")
        assert 'hx-include="#total-proposed-units, #model-proposed-units"' in html
        assert 'hx-include="#total-proposed-arrays"' in html


def test_the_values_of_a_model_stand_in_the_boxes(client):
    model = make_equipment(
        rated_w=3680, design_w=5000, rated_va=3700, rated_ma=16_000, can_island=True,
        type_test_reference="INV/7",
    )  # fmt: skip
    answer = row(client, **{"catalogue-model": model.key})
    html = answer.content.decode()
    before = "proposed-units-2"
    for name, value in {
        "maker": "Invented Works", "model": "H3.6", "rated_w": "3.68", "design_w": "5",
        "rated_va": "3.7", "rated_ma": "16", "standard": "G98", "type_test_reference": "INV/7",
    }.items():  # fmt: skip
        assert f'id="id_{before}-{name}" name="{before}-{name}"' in html
        box = html.split(f'id="id_{before}-{name}"')[0].rsplit("<input", 1)[1]
        assert f'value="{value}"' in box, name
    assert chosen(answer, f"{before}-source") == "pv+storage"
    assert chosen(answer, f"{before}-type_tested") == "full"
    assert chosen(answer, f"{before}-can_island") == "yes"
    # On which phase a single-phase unit is, the sheet asks or tells by the supply.
    assert chosen(answer, f"{before}-phases") == ""
    # The panel hears of it.
    assert answer["HX-Trigger-After-Settle"] == "change"
    assert 'name="proposed-units-TOTAL_FORMS" value="3"' in html


def test_a_model_of_three_phases_is_on_all_of_them(client):
    model = make_equipment(phases=3)
    answer = row(client, "existing-units", **{"catalogue-model": model.key})
    assert chosen(answer, "existing-units-2-phases") == "L1 L2 L3"


def test_without_a_model_the_boxes_are_empty(client):
    make_equipment()
    answer = row(client, **{"catalogue-model": ""})
    assert "HX-Trigger-After-Settle" not in answer
    assert "Invented Works" not in answer.content.decode()
    # Rows of another kind have no model.
    answer = row(client, "proposed-arrays", **{"catalogue-model": Equipment.objects.get().key})
    assert "HX-Trigger-After-Settle" not in answer


@pytest.mark.parametrize("key", [uuid.uuid4(), "no key"])
def test_a_model_that_is_gone_is_said(client, key):
    answer = row(client, **{"catalogue-model": key})
    assert answer.status_code == 409
    assert "no longer in the catalogue" in answer.content.decode()


def test_what_is_chosen_is_no_fact_and_no_draft(client):
    """The list stands in the form of the sheet, and is posted with it."""
    make_equipment()
    case = make_premises()
    typed = form_of(client.get(sheet_of(case)))
    key = str(Equipment.objects.get().key)
    typed["catalogue-model"] = [key, key]
    panel = reverse("design-panel", args=[case.design.key])
    assert client.post(panel, typed).status_code == 200
    assert not Draft.objects.filter(content__has_key="catalogue-model").exists()
    client.post(sheet_of(case), typed)
    assert Unit.objects.filter(design=case.design).count() == 2
