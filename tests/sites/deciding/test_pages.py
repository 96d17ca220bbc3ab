"""The survey sheet as pages: opening, creating, saving, what comes back when something is wrong."""

import pytest
from django.test import Client
from django.urls import reverse

from connections.facts.supply_number import check_digit
from sites.cases.models import Case
from sites.people.models import Firm
from sites.premises.models import Draft, Premises
from tests.sites.deciding.filling import filled, form_of
from tests.sites.making import make_person, make_premises

pytestmark = pytest.mark.django_db


@pytest.fixture
def person():
    return make_person("office", name="Ann Vole")


@pytest.fixture
def client(person):
    client = Client()
    client.force_login(person)
    return client


def sheet_of(case):
    return reverse("design-sheet", args=[case.design.key])


def test_a_new_sheet_begins_with_the_firm_as_installer(client):
    Firm.objects.create(name="Invented Solar", email="office@firm.example")
    answer = client.get("/premises/new/")
    assert answer.status_code == 200
    assert form_of(answer)["installer-name"] == ["Invented Solar"]
    assert "Say how many phases the supply has." in answer.content.decode()


def test_creating_a_premises(client):
    sent = filled(
        client.get("/premises/new/"),
        {
            "case-reference": "T-1",
            "supply-phases": "1",
            "proposed-units-0-source": "pv",
            "proposed-units-0-rated_w": "3.6 kW",
        },
    )
    answer = client.post("/premises/new/", sent)
    case = Case.objects.select_related("premises", "application").get()
    assert answer.status_code == 302
    assert answer["Location"] == reverse("premises", args=[case.premises.key])
    assert case.application.reference == "T-1"
    page = client.get(answer["Location"]).content.decode()
    assert "pv-1" in page
    assert "3.6 kW" in page


def test_nothing_typed_is_lost_when_something_is_wrong(client):
    boxes = {
        "customer-name": "Ann & <b>Bo</b>",
        "premises-address_lines": "1 Row\nFennhaven",
        "premises-postcode": "nowhere",
        "supply-phases": "3",
        "supply-cutout_a": "huge",
        "numbers-0-value": "12 0000 0010 02 9 9",
        "proposed-units-0-source": "pv",
        "proposed-units-0-rated_w": "3680",
        "proposed-units-0-phases": "L2",
    }
    answer = client.post("/premises/new/", filled(client.get("/premises/new/"), boxes))
    assert answer.status_code == 422
    page = answer.content.decode()
    for name, text in boxes.items():
        assert form_of(answer)[name] == [text]
    for target in (
        "id_case-reference",
        "id_premises-postcode",
        "id_supply-cutout_a",
        "id_numbers-0-value",
        "id_proposed-units-0-rated_w",
    ):
        assert f'<a href="#{target}">' in page
        assert f'id="{target}"' in page
    assert "5 boxes need another look" in page
    assert "<b>Bo</b>" not in page
    assert "Yes, I mean 3680 W" in page
    assert Premises.objects.count() == 0
    # It is kept, too: the next opening shows the same.
    again = client.get("/premises/new/")
    for name, text in boxes.items():
        assert form_of(again)[name] == [text]


def test_what_is_meant_is_taken(client):
    sent = filled(
        client.get("/premises/new/"),
        {
            "case-reference": "T-2",
            "supply-phases": "3",
            "proposed-units-0-source": "pv",
            "proposed-units-0-phases": "L1 L2 L3",
            "proposed-units-0-rated_w": "3680",
            "proposed-units-0-rated_w-meant": "3680 = 3680 kW",
        },
    )
    assert client.post("/premises/new/", sent).status_code == 302
    case = Case.objects.get()
    opened = client.get(sheet_of(case))
    assert form_of(opened)["proposed-units-0-rated_w"] == ["3680"]
    # Saved once it was meant, it is not asked about again, and the answer stands at the box.
    assert form_of(opened)["proposed-units-0-rated_w-meant"] == ["3680 = 3680 kW"]
    saved = client.post(sheet_of(case), form_of(opened))
    assert saved.status_code == 302


def test_a_prefix_that_nobody_knows_is_kept(client):
    number = "990000001002"
    sent = filled(
        client.get("/premises/new/"),
        {"case-reference": "T-3", "numbers-0-value": f"{number}{check_digit(number)}"},
    )
    assert client.post("/premises/new/", sent).status_code == 302
    page = client.get(sheet_of(Case.objects.get())).content.decode()
    assert "names no area that is known here" in page


def test_a_reference_that_is_taken_is_said_at_its_box(client):
    case = make_premises()
    sent = filled(client.get("/premises/new/"), {"case-reference": case.premises.reference})
    answer = client.post("/premises/new/", sent)
    assert answer.status_code == 422
    assert "give this one its own" in answer.content.decode()
    assert form_of(answer)["case-reference"] == [case.premises.reference]


def test_opening_and_saving_a_sheet_unchanged_changes_nothing(client):
    case = make_premises()
    answer = client.post(sheet_of(case), form_of(client.get(sheet_of(case))), follow=True)
    assert "Nothing had changed." in answer.content.decode()
    case.premises.refresh_from_db()
    assert case.premises.version == 1


def test_saving_and_taking_out_a_row(client):
    case = make_premises()
    sent = filled(
        client.get(sheet_of(case)), {"proposed-cells-0-gone": "on", "supply-cutout_a": "100"}
    )
    assert client.post(sheet_of(case), sent).status_code == 302
    again = form_of(client.get(sheet_of(case)))
    assert again["proposed-cells-TOTAL_FORMS"] == ["0"]
    assert again["supply-cutout_a"] == ["100"]


def test_spread_over_phases_comes_out_as_lines(client):
    case = make_premises(supply={"phases": 3})
    sent = filled(
        client.get(sheet_of(case)),
        {"proposed-units-0-phases": "spread", "proposed-units-0-quantity": "5"},
    )
    assert client.post(sheet_of(case), sent).status_code == 302
    again = form_of(client.get(sheet_of(case)))
    names = [again[f"proposed-units-{i}-label"][0] for i in range(4)]
    assert names == ["pv-1-L1", "pv-1-L2", "pv-1-L3", "bat-1"]
    assert [again[f"proposed-units-{i}-quantity"][0] for i in range(3)] == ["2", "2", "1"]


def test_a_key_of_another_premises_is_not_taken(client):
    case, other = make_premises(), make_premises()
    theirs = form_of(client.get(sheet_of(other)))["proposed-units-0-key"]
    sent = form_of(client.get(sheet_of(case)))
    sent["proposed-units-0-key"] = theirs
    sent["proposed-units-0-rated_w"] = ["1"]
    assert client.post(sheet_of(case), sent).status_code == 302
    untouched = form_of(client.get(sheet_of(other)))
    assert untouched["proposed-units-0-key"] == theirs
    assert untouched["proposed-units-0-rated_w"] == ["3.6"]


def test_drafts_survive_the_session(client, person):
    case = make_premises()
    sent = filled(client.get(sheet_of(case)), {"supply-cutout_a": "63 or 80?"})
    panel = client.post(reverse("design-panel", args=[case.design.key]), sent)
    assert panel.status_code == 200
    client.logout()
    assert client.get(sheet_of(case)).status_code == 302
    later = Client()
    later.force_login(person)
    answer = later.get(sheet_of(case))
    assert form_of(answer)["supply-cutout_a"] == ["63 or 80?"]
    assert "it is not saved yet" in answer.content.decode()
    # Somebody else sees the saved sheet.
    other = Client()
    other.force_login(make_person())
    assert form_of(other.get(sheet_of(case)))["supply-cutout_a"] == ["80"]
    dropped = later.post(reverse("draft-drop", args=[case.design.key]), follow=True)
    assert form_of(dropped)["supply-cutout_a"] == ["80"]
    assert not Draft.objects.filter(person=person, page__startswith="sheet/").exists()


def test_saving_ends_the_draft_and_what_comes_late_is_no_draft(client, person):
    case = make_premises()
    opened = form_of(client.get(sheet_of(case)))
    changed = {**opened, "supply-cutout_a": ["63"]}
    panel = reverse("design-panel", args=[case.design.key])
    client.post(panel, changed)
    assert client.post(sheet_of(case), changed).status_code == 302
    client.post(panel, changed)
    assert "not saved yet" not in client.get(sheet_of(case)).content.decode()


def test_five_thousand_rows_are_refused(client):
    case = make_premises()
    sent = filled(client.get(sheet_of(case)), {"proposed-units-TOTAL_FORMS": "5000"})
    answer = client.post(sheet_of(case), sent)
    assert answer.status_code == 422
    assert "A sheet can hold 40 rows of one kind" in answer.content.decode()
    case.premises.refresh_from_db()
    assert case.premises.version == 1


def test_a_post_with_thousands_of_boxes_is_refused_whole(client):
    case = make_premises()
    sent = form_of(client.get(sheet_of(case)))
    for i in range(5000):
        sent[f"proposed-units-{i}-source"] = ["pv"]
        sent[f"proposed-units-{i}-rated_w"] = ["1"]
    answer = client.post(sheet_of(case), sent)
    assert answer.status_code == 400
    assert Draft.objects.count() == 0


def test_rows_are_brought_one_by_one(client):
    answer = client.get("/sheet/rows/proposed-units/", {"proposed-units-TOTAL_FORMS": "2"})
    page = answer.content.decode()
    assert 'name="proposed-units-2-source"' in page
    assert 'value="3" hx-swap-oob="true"' in page
    assert page.count("autofocus") == 1
    assert client.get("/sheet/rows/nothing/").status_code == 404
    full = client.get("/sheet/rows/caps/", {"caps-TOTAL_FORMS": "40"})
    assert full.status_code == 409
    assert "40 rows" in full.content.decode()


@pytest.mark.parametrize("name", ["design-panel", "draft-drop", "design-copy", "design-choose"])
def test_acts_are_posted(client, name):
    case = make_premises()
    assert client.get(reverse(name, args=[case.design.key])).status_code == 405


def test_a_key_that_is_not_there_is_404(client):
    nobody = "00000000-0000-4000-8000-000000000000"
    assert client.get(f"/premises/{nobody}/").status_code == 404
    assert client.get(f"/designs/{nobody}/sheet/").status_code == 404
    assert client.post(f"/designs/{nobody}/panel/").status_code == 404


def test_queries_do_not_grow_with_rows(client, django_assert_max_num_queries):
    units = [
        {
            "id": f"pv-{i}",
            "source": "pv",
            "rated_w": 300,
            "phases": ["L1"],
            "type_tested": "full",
            "standard": "G98",
        }
        for i in range(20)
    ]
    arrays = [{"unit_id": f"pv-{i}", "peak_w": 400} for i in range(20)]
    few = make_premises(units=units[:1], arrays=arrays[:1], storage=[])
    many = make_premises(units=units, arrays=arrays, storage=[])
    for case in (few, many):
        # One of them asks on every page whether the firm requires a code.
        with django_assert_max_num_queries(25):
            client.get(sheet_of(case))


def test_islands_are_asked_about_where_the_rules_tell_them_apart(client):
    """The box stands beside the licence area in North Scotland, and is folded away elsewhere."""
    case = make_premises()
    folded = "More about the premises"
    for area, beside in (("gb-17", True), ("gb-18", False)):
        Premises.objects.update(licence_area=area, island=None)
        page = client.get(sheet_of(case)).content.decode()
        assert page.count('name="premises-island"') == 1
        at = page.index('name="premises-island"')
        assert (at > page.index('name="premises-licence_area"')) is beside
        assert at > page.index(folded)
        # What is typed is kept wherever the box stands.
        sent = filled(client.get(sheet_of(case)), {"premises-island": "no"})
        assert client.post(sheet_of(case), sent).status_code == 302
        assert Premises.objects.get().island is False
        case.refresh_from_db()
        assert form_of(client.get(sheet_of(case)))["premises-island"] == ["no"]
