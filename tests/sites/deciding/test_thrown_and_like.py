"""Sheets that begin from something: a draft that was thrown away, or another premises."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.people.models import Firm
from sites.premises.forms.sheet import Sheet
from sites.premises.forms.written import raw_like
from sites.premises.models import Draft, Unit
from sites.premises.reading.drafts import KEPT_FOR
from sites.premises.reading.site_rows import plain_from, rows_for
from sites.premises.writing.drafts import clear_drafts
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db

NEW = "/premises/new/"
TYPED = "Typed and thrown away"


@pytest.fixture
def office(client):
    person = make_person()
    client.force_login(person)
    return person


@pytest.fixture
def thrown(client, office):
    """A new sheet, typed and thrown away."""
    client.post(reverse("new-panel"), {"case-reference": TYPED, "visit": "v-1"})
    assert TYPED in client.get(NEW).content.decode()
    client.post(reverse("new-draft-drop"), {"visit": "v-1"})


def test_what_was_thrown_away_can_be_fetched_back(client, thrown):
    page = client.get(NEW).content.decode()
    assert TYPED not in page
    assert "Fetch it back" in page
    answer = client.post(reverse("new-draft-drop"), {"back": "1"}, follow=True)
    assert TYPED in answer.content.decode()
    assert Draft.objects.filter(page="premises/new").count() == 1


def test_it_takes_the_place_of_nothing_typed_since(client, thrown):
    client.post(reverse("new-panel"), {"case-reference": "Typed since", "visit": "v-2"})
    answer = client.post(reverse("new-draft-drop"), {"back": "1"}, follow=True)
    words = answer.content.decode()
    assert "nothing to fetch back" in words
    assert "Typed since" in words


def test_nobody_else_sees_it_or_fetches_it_back(client, thrown):
    client.force_login(make_person("engineer"))
    assert "Fetch it back" not in client.get(NEW).content.decode()
    answer = client.post(reverse("new-draft-drop"), {"back": "1"}, follow=True)
    assert TYPED not in answer.content.decode()
    client.post(reverse("new-draft-drop"), {"visit": "v-1"})
    assert Draft.objects.filter(page="thrown/premises/new").count() == 1


def test_drafts_of_others_are_neither_shown_nor_kept_over(client, office):
    case = make_premises()
    for name, address in (
        ("new-panel", reverse("new-panel")),
        ("design-panel", reverse("design-panel", args=[case.design.key])),
    ):
        client.post(address, {"case-reference": f"Mine in {name}", "visit": "v"})
    client.force_login(make_person("engineer"))
    for address in (NEW, reverse("design-sheet", args=[case.design.key])):
        assert "Mine in" not in client.get(address).content.decode()
    client.post(reverse("new-panel"), {"case-reference": "Theirs", "visit": "v"})
    client.post(reverse("draft-drop", args=[case.design.key]), {"visit": "v"})
    mine = Draft.objects.filter(person=office).values_list("content__case-reference", flat=True)
    assert sorted(texts[0] for texts in mine) == ["Mine in design-panel", "Mine in new-panel"]


def test_the_night_deletes_it_after_a_day(client, thrown):
    (draft,) = Draft.objects.filter(page__startswith="thrown/")
    assert clear_drafts() == "0 drafts that were thrown away are deleted"
    late = timezone.now() - KEPT_FOR - dt.timedelta(minutes=1)
    Draft.objects.filter(pk=draft.pk).update(changed_at=late)
    assert "Fetch it back" not in client.get(NEW).content.decode()
    assert clear_drafts() == "1 drafts that were thrown away are deleted"
    assert not Draft.objects.filter(page__startswith="thrown/").exists()


def test_a_new_premises_like_another_has_its_plant_and_nothing_of_its_customer(client, office):
    site = home(reference="LIKE-1")
    site["units"][0] |= {"serials": ["SN-1"], "commissioned_on": "2026-06"}
    site["supply"] |= {"loop_impedance_uohm": 250_000, "loop_measured": True}
    site["caps"] = [{"on": "export", "value": 3000, "basis": "w_total"}]
    case = make_premises(**{name: site[name] for name in site if name != "format"})
    rows = rows_for(case.premises, case.design)
    firm = Firm(name="Invented Solar")
    sheet = Sheet({**raw_like(rows, firm), "case-reference": ["LIKE-2"]})
    assert sheet.faults() == []

    old, new = plain_from(rows), plain_from(sheet.rows)
    for unit in (*old["units"], *new["units"]):
        assert "SN-1" not in unit.pop("serials", []) or unit in old["units"]
        unit.pop("commissioned_on", None)
    assert new["units"] == old["units"]
    assert new["arrays"] == old["arrays"]
    assert new["storage"] == old["storage"]
    assert new["supply"]["cutout_a"] == 80
    assert not {"loop_impedance_uohm", "loop_measured"} & {
        name for name, value in new["supply"].items() if value is not None
    }
    assert new["parties"]["installer"] == old["parties"]["installer"]
    assert not new.get("caps")
    page = client.get(f"{NEW}?like={case.design.key}").content.decode()
    assert "LIKE-1" in page
    for personal in (
        site["parties"]["customer"]["name"],
        site["premises"]["address_lines"][0],
        site["premises"]["supply_numbers"][0]["value"],
        "SN-1",
    ):
        assert personal not in page
    assert Unit.objects.count() == 2
    assert client.get(f"{NEW}?like=nonsense").status_code == 200
    assert client.get(f"{NEW}?like=11111111-1111-4111-8111-111111111111").status_code == 404
