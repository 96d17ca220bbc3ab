"""The page of a premises: in the order of the job, with its designs beside each other."""

import html

import pytest
from django.test import Client
from django.urls import reverse

from sites.cases.models import Case
from sites.designs.writing.designs import copy_design
from sites.premises.models import Design
from tests.sites.deciding.filling import filled
from tests.sites.making import home, island, make_person, make_premises, make_verdict

pytestmark = pytest.mark.django_db

ORDER = (
    "Where the case stands",
    "What the network sees",
    "What follows",
    "In the way (",
    "Single-line diagram",
    "The rest",
    "What is there",
    "What is proposed",
)


@pytest.fixture
def client():
    client = Client()
    client.force_login(make_person())
    return client


def page_of(client, case, **query):
    answer = client.get(reverse("premises", args=[case.premises.key]), query)
    assert answer.status_code == 200
    return html.unescape(answer.content.decode())


def test_it_reads_in_the_order_of_the_job(client):
    page = page_of(client, make_premises())
    places = [page.index(f">{title}") for title in ORDER]
    assert places == sorted(places)
    # 2 x 3600 W at 230 V.
    assert "pv-1: 1 × 3.6 kW" in page
    assert "31.304 A" in page
    assert "0.696 A below 32 A" in page
    assert "EREC G99" in page


def test_an_empty_premises_says_what_to_do_first(client):
    sent = filled(client.get("/premises/new/"), {"case-reference": "Empty"})
    assert client.post("/premises/new/", sent).status_code == 302
    page = page_of(client, Case.objects.get())
    assert "Say how many phases the supply has." in page
    assert "Enter a unit" in page
    assert "Nothing is proposed yet." in page
    assert "No plant is there." in page


def test_a_verdict_stands_at_its_finding(client):
    case = make_premises(**island())
    engineer = make_person("engineer", name="Eve Heron")
    assert "Decided by Eve Heron" not in page_of(client, case)
    make_verdict(case, "can-island", by=engineer)
    page = page_of(client, case)
    assert "Decided by Eve Heron" in page
    assert "Looked at on site." in page


def test_markup_in_names_is_text(client):
    case = make_premises(premises={"name": "<script>1</script>", "postcode": "<b>"})
    answer = client.get(reverse("premises", args=[case.premises.key]))
    page = answer.content.decode()
    assert "<script>1" not in page
    assert "&lt;script&gt;1" in page


def test_designs_lie_side_by_side_and_one_is_chosen(client):
    case = make_premises()
    assert "Lay the designs side by side" not in page_of(client, case)
    answer = client.post(reverse("design-copy", args=[case.design.key]), {"name": "Shared"})
    copy = Design.objects.get(name="Shared")
    assert answer["Location"] == reverse("design-sheet", args=[copy.key])
    page = page_of(client, case)
    assert "Lay the designs side by side" in page
    assert "Design 1" in page
    assert page.count("Propose this one") == 1
    client.post(reverse("design-choose", args=[copy.key]))
    case.refresh_from_db()
    assert case.design == copy
    assert "What is proposed: Design 1" in page_of(
        client, case, design=str(Design.objects.get(name="Design 1").key)
    )
    assert "What is proposed: Shared" in page_of(client, case)


@pytest.mark.parametrize(("name", "says"), [("shared", "called"), ("x" * 201, "Shorten the name")])
def test_a_name_that_cannot_be_given(client, name, says):
    case = make_premises()
    copy_design(design=case.design, name="Shared", by=None)
    answer = client.post(
        reverse("design-copy", args=[case.design.key]), {"name": name}, follow=True
    )
    assert says in html.unescape(answer.content.decode())
    assert Design.objects.count() == 2


def test_a_design_of_another_premises_is_not_shown(client):
    case, other = make_premises(), make_premises()
    address = reverse("premises", args=[case.premises.key])
    assert client.get(address, {"design": str(other.design.key)}).status_code == 404
    assert client.get(address, {"design": "nonsense"}).status_code == 200


def test_typing_that_waits_is_said(client):
    case = make_premises()
    sheet = client.get(reverse("design-sheet", args=[case.design.key]))
    client.post(reverse("design-panel", args=[case.design.key]), filled(sheet, {}))
    assert "You typed on the sheet" in page_of(client, case)


def test_queries_grow_neither_with_rows_nor_with_designs(client, django_assert_max_num_queries):
    units = [{**home()["units"][0], "id": f"pv-{i}", "rated_w": 300} for i in range(20)]
    arrays = [{"unit_id": f"pv-{i}", "peak_w": 400} for i in range(20)]
    few = make_premises(units=units[:1], arrays=arrays[:1], storage=[])
    many = make_premises(units=units, arrays=arrays, storage=[])
    for i in range(20):
        copy_design(design=many.design, name=f"Copy {i}", by=None)
    for case in (few, many):
        # The case, its moves, owner and installer, its kept decision, its days, the last choice,
        # like premises, and the roles.
        with django_assert_max_num_queries(37):
            page_of(client, case)
