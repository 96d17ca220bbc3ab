"""Two people at the same sheet: the second sees both versions and loses neither."""

import pytest
from django.test import Client
from django.urls import reverse

from sites.house.models import Event
from sites.premises.models import Draft
from tests.sites.deciding.filling import filled, form_of
from tests.sites.making import make_person, make_premises

pytestmark = pytest.mark.django_db


class Desk:
    """Somebody with a sheet open."""

    def __init__(self, name, case):
        self.person = make_person(name=name)
        self.client = Client()
        self.client.force_login(self.person)
        self.address = reverse("design-sheet", args=[case.design.key])
        self.panel = reverse("design-panel", args=[case.design.key])
        self.answer = self.client.get(self.address)

    def types(self, **boxes):
        self.sent = filled(self.answer, {k.replace("__", "-"): v for k, v in boxes.items()})
        self.client.post(self.panel, self.sent)

    def saves(self):
        self.answer = self.client.post(self.address, self.sent)
        return self.answer


@pytest.fixture
def case():
    return make_premises()


@pytest.fixture
def desks(case):
    return Desk("Ann Vole", case), Desk("Bo Teal", case)


def choices(answer):
    return {name: values for name, values in form_of(answer).items() if name.startswith("take|")}


def test_the_second_sees_both_versions(case, desks):
    ann, bo = desks
    ann.types(supply__cutout_a="100", premises__postcode="ZZ1 9AA")
    bo.types(supply__cutout_a="63", **{"customer-name": "Typed by Bo"})
    assert ann.saves().status_code == 302
    answer = bo.saves()
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Ann Vole saved this premises on" in page
    # What both changed is asked, with both versions in view.
    both = page[page.index("Both versions differ") : page.index("Changed by them only")]
    assert "100" in both
    assert "63" in both
    assert choices(answer) == {
        "take|supply||cutout_a": ["mine"],
        "take|premises||postcode": ["theirs"],
        "take|customer||name": ["mine"],
    }
    # The sheet below still holds all that Bo typed.
    assert form_of(answer)["supply-cutout_a"] == ["63"]
    # Saved again: Bo's cut-out, Bo's name, Ann's postcode.
    bo.sent = form_of(answer)
    assert bo.saves().status_code == 302
    saved = form_of(bo.client.get(bo.address))
    assert saved["supply-cutout_a"] == ["63"]
    assert saved["customer-name"] == ["Typed by Bo"]
    assert saved["premises-postcode"] == ["ZZ1 9AA"]


def test_theirs_can_be_taken(case, desks):
    ann, bo = desks
    ann.types(supply__cutout_a="100")
    bo.types(supply__cutout_a="63")
    ann.saves()
    answer = bo.saves()
    bo.sent = {**form_of(answer), "take|supply||cutout_a": ["theirs"]}
    assert bo.saves().status_code == 302
    assert form_of(bo.client.get(bo.address))["supply-cutout_a"] == ["100"]


def test_the_versions_still_lie_side_by_side_the_next_day(case, desks):
    """A closed tab between the two versions: the draft knows what it was opened with."""
    ann, bo = desks
    ann.types(supply__cutout_a="100")
    bo.types(supply__cutout_a="63")
    ann.saves()
    answer = bo.saves()
    sent = {**form_of(answer), "take|supply||cutout_a": ["theirs"]}
    bo.client.post(bo.panel, sent)
    later = Client()
    later.force_login(bo.person)
    answer = later.get(bo.address)
    assert "Both versions differ" in answer.content.decode()
    assert choices(answer) == {"take|supply||cutout_a": ["theirs"]}
    assert form_of(answer)["supply-cutout_a"] == ["63"]


def test_a_third_save_in_between_is_laid_beside_anew(case, desks):
    ann, bo = desks
    ann.types(supply__cutout_a="100")
    bo.types(supply__cutout_a="63")
    ann.saves()
    bo.sent = form_of(bo.saves())
    third = Desk("Cy Wren", case)
    third.types(supply__cutout_a="90")
    third.saves()
    answer = bo.saves()
    assert answer.status_code == 422
    assert "Cy Wren saved this premises" in answer.content.decode()


def test_what_does_not_touch_this_sheet_is_no_conflict(case, desks):
    """Ann takes her change back; nothing differs from what Bo opened, so Bo just saves."""
    ann, bo = desks
    bo.types(supply__cutout_a="63")
    ann.types(supply__cutout_a="100")
    ann.saves()
    again = Desk("Di Crane", case)
    again.types(supply__cutout_a="80")
    again.saves()
    assert bo.saves().status_code == 302


def test_rows_added_by_both_are_both_there(case, desks):
    ann, bo = desks
    unit = {
        "proposed-units-TOTAL_FORMS": "3",
        "proposed-units-2-source": "wind",
        "proposed-units-2-rated_w": "1",
    }
    ann.types(**unit, **{"proposed-units-2-label": "from Ann"})
    bo.types(**unit, **{"proposed-units-2-label": "from Bo"})
    ann.saves()
    answer = bo.saves()
    assert "from Ann" in answer.content.decode()
    bo.sent = form_of(answer)
    assert bo.saves().status_code == 302
    saved = form_of(bo.client.get(bo.address))
    assert {saved[f"proposed-units-{i}-label"][0] for i in range(4)} == {
        "pv-1",
        "bat-1",
        "from Ann",
        "from Bo",
    }


def test_without_a_draft_both_versions_are_shown_all_the_same(case, desks):
    """No panel was ever asked (no script): nobody knows who changed what, so all is asked."""
    ann, bo = desks
    ann.types(supply__cutout_a="100")
    ann.saves()
    bo.sent = filled(bo.answer, {"premises-postcode": "ZZ1 9AA"})
    Draft.objects.all().delete()
    answer = bo.saves()
    assert answer.status_code == 422
    assert choices(answer) == {
        "take|supply||cutout_a": ["mine"],
        "take|premises||postcode": ["mine"],
    }
    assert "Both versions differ" in answer.content.decode()


def test_one_event_for_each_save_without_what_is_in_the_boxes(case, desks):
    ann, _bo = desks
    ann.types(**{"customer-name": "Secretive Person"})
    ann.saves()
    (event,) = Event.objects.filter(act="premises.saved")
    assert event.actor == "Ann Vole"
    assert event.data == {"fields": ["parties: customer: name"]}
    assert "Secretive" not in str(event.data)
