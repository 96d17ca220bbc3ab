"""An engineer's own figures on the sheet: who sees the boxes, and who may write in them."""

import pytest
from django.test import Client
from django.urls import reverse

from sites.premises.models import Override
from tests.sites.deciding.filling import form_of
from tests.sites.making import make_person, make_premises

pytestmark = pytest.mark.django_db

HEADING = "An engineer’s own figures"
FIGURE = {
    "overrides-TOTAL_FORMS": ["1"],
    "overrides-0-default": ["voltage_rise.power_factor"],
    "overrides-0-value": ["0.95"],
    "overrides-0-reason": ["As set on site"],
}


def signed_in(*, engineer: bool) -> Client:
    client = Client()
    client.force_login(make_person("engineer" if engineer else "office"))
    return client


def test_an_engineer_writes_a_figure_and_the_office_reads_it():
    case = make_premises()
    address = reverse("design-sheet", args=[case.design.key])
    engineer, office = signed_in(engineer=True), signed_in(engineer=False)
    assert HEADING not in office.get(address).content.decode()
    page = engineer.get(address)
    assert HEADING in page.content.decode()
    assert engineer.post(address, {**form_of(page), **FIGURE}).status_code == 302
    (row,) = Override.objects.filter(premises=case.premises)
    assert (row.value, row.unit, row.reason) == (950, "thousandths", "As set on site")

    page = office.get(address)
    text = page.content.decode()
    assert "Only an engineer may change these." in text
    assert "Add a figure" not in text
    assert form_of(page)["overrides-0-value"] == ["0.95"]
    premises = office.get(reverse("premises", args=[case.premises.key])).content.decode()
    assert "Own figure: power factor of an inverter" in premises
    assert "0.95; As set on site" in premises


def test_the_office_saves_the_rest_and_is_refused_the_figure():
    case = make_premises()
    Override.objects.create(
        premises=case.premises,
        default="voltage_rise.power_factor",
        value=950,
        unit="thousandths",
        reason="As set on site",
    )
    address = reverse("design-sheet", args=[case.design.key])
    office = signed_in(engineer=False)
    sent = {**form_of(office.get(address)), "premises-name": ["Renamed"]}
    assert office.post(address, sent).status_code == 302
    sent = {**form_of(office.get(address)), "overrides-0-value": ["0.9"]}
    refused = office.post(address, sent)
    assert refused.status_code == 422
    text = refused.content.decode()
    assert "Only an engineer may put a figure in place of a default" in text
    # What was typed stands there still; nothing was saved.
    assert form_of(refused)["overrides-0-value"] == ["0.9"]
    assert Override.objects.get().value == 950


def test_the_office_cannot_begin_premises_with_a_figure():
    office = signed_in(engineer=False)
    sent = {**form_of(office.get("/premises/new/")), **FIGURE, "case-reference": ["R-1"]}
    refused = office.post("/premises/new/", sent)
    assert refused.status_code == 422
    assert "Only an engineer" in refused.content.decode()
    assert not Override.objects.exists()
