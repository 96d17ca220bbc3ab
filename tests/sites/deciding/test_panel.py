"""The panel: its numbers, its messages, what it costs."""

import html
import re

import msgspec
import pytest
from django.test import Client
from django.urls import reverse

from sites.deciding.reading.deciding import assessor, decide_site
from sites.premises.models import Draft
from sites.premises.reading.site_rows import plain_from, rows_for
from tests.sites.deciding.filling import filled, form_of
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db


@pytest.fixture
def client():
    client = Client()
    client.force_login(make_person())
    return client


def panel_for(client, case, **boxes):
    sent = filled(
        client.get(reverse("design-sheet", args=[case.design.key])),
        {name.replace("__", "-"): text for name, text in boxes.items()},
    )
    return client.post(reverse("design-panel", args=[case.design.key]), sent)


def test_its_numbers_are_those_of_the_site_file(client):
    """2 x 3600 W at 230 V is 31.304 A; the panel, the rows and the file say the same."""
    case = make_premises()
    page = html.unescape(panel_for(client, case).content.decode())
    file = assessor().site(msgspec.json.encode(plain_from(rows_for(case.premises, case.design))))
    decision = decide_site(file, remedies=True).decision
    assert decision is not None
    assert decision.per_phase_ma == {"L1": 31_304}
    assert "31.304 A" in page
    assert "7.2 kW" in page
    assert decision.procedure.title in page
    for step in decision.steps:
        assert step.says in page
    for remedy in decision.remedies:
        assert remedy.sentence in page


def test_it_follows_what_is_typed(client):
    """3600 + 1000 W is 20 A; without the battery 3600 W is 15.65 A."""
    case = make_premises()
    page = panel_for(client, case, **{"proposed-units-1-rated_w": "1000 W"}).content.decode()
    assert "20 A" in page
    page = panel_for(client, case, **{"proposed-units-1-gone": "on"}).content.decode()
    assert "15.65 A" in page
    assert "below 16 A" in page


def test_limits_come_from_the_rulebook(client):
    case = make_premises()
    page = panel_for(client, case).content.decode()
    # 31.304 A is above 16 A and 0.696 A below 32 A; 60 A does not matter yet.
    assert "15.304 A above 16 A; 0.696 A below 32 A" in page
    assert "60 A" not in re.findall(r"<svg.*?</svg>", page, re.S)[0]


def test_what_cannot_be_read_is_named_and_left_out(client):
    case = make_premises()
    page = panel_for(
        client, case, **{"proposed-units-1-rated_w": "much", "supply-cutout_a": "12345"}
    ).content.decode()
    assert "Not readable yet" in page
    assert '<a href="#id_proposed-units-1-rated_w">' in page
    assert '<div id="msg-supply-cutout_a" hx-swap-oob="innerHTML">' in page
    assert "Yes, I mean 12345 A" in page
    assert "Registered capacity of bat-1" in page or "registered capacity of bat-1" in page


def test_messages_come_once_and_go_when_the_box_is_right(client):
    case = make_premises()
    slot = 'id="msg-supply-cutout_a"'
    assert slot in panel_for(client, case, **{"supply-cutout_a": "much"}).content.decode()
    assert slot not in panel_for(client, case, **{"supply-cutout_a": "much"}).content.decode()
    page = panel_for(client, case, **{"supply-cutout_a": "80"}).content.decode()
    assert f'<div {slot} hx-swap-oob="innerHTML"></div>' in page
    # An answer stays where it was ticked; its box is not disturbed.
    assert slot in panel_for(client, case, **{"supply-cutout_a": "12345"}).content.decode()
    answered = {"supply-cutout_a": "12345", "supply-cutout_a-meant": "12345 = 12345 A"}
    assert slot not in panel_for(client, case, **answered).content.decode()


def test_what_is_missing_is_said_at_its_box_after_a_save_until_it_is_there(client):
    slot = 'id="msg-case-reference"'
    sent = filled(client.get("/premises/new/"), {})
    assert slot not in client.post("/premises/new/panel/", sent).content.decode()
    again = client.post("/premises/new/", sent)
    assert again.status_code == 422
    sent = form_of(again)
    assert slot not in client.post("/premises/new/panel/", sent).content.decode()
    sent["case-reference"] = ["T"]
    page = client.post("/premises/new/panel/", sent).content.decode()
    assert f'<div {slot} hx-swap-oob="innerHTML"></div>' in page


def test_how_units_are_spread_is_said(client):
    case = make_premises(supply={"phases": 3})
    boxes = {"proposed-units-0-phases": "spread", "proposed-units-0-quantity": "5"}
    page = panel_for(client, case, **boxes).content.decode()
    words = "pv-1 is spread over the phases: 2 on L1 (pv-1-L1), 2 on L2 (pv-1-L2), 1 on L3"
    assert words in page
    # 2 x 3600 W + 3600 W (the battery) on L1; 2 x 3600 W on L2; 3600 W on L3.
    for amps in ("46.96 A", "31.304 A", "15.65 A"):
        assert amps in page


def test_markup_in_names_is_text(client):
    case = make_premises()
    page = panel_for(
        client,
        case,
        **{
            "proposed-units-0-label": "<img src=x onerror=alert(1)>",
            "proposed-arrays-0-unit_id": "<script>1</script>",
            "case-reference": "<script>2</script>",
        },
    ).content.decode()
    assert "<img" not in page
    assert "<script" not in page


def test_what_was_taken_as_usual_is_said(client):
    case = make_premises()
    page = panel_for(client, case).content.decode()
    assert "Assumptions" in page
    assert "the supply is at low voltage" in page


def test_a_sheet_with_nothing_on_it_says_what_to_say_first(client):
    sent = form_of(client.get("/premises/new/"))
    page = client.post("/premises/new/panel/", sent).content.decode()
    assert "Say how many phases the supply has." in page
    assert "Enter a unit" in page


def test_refused_rows_are_named(client):
    sent = filled(client.get("/premises/new/"), {"proposed-units-TOTAL_FORMS": "5000"})
    page = client.post("/premises/new/panel/", sent).content.decode()
    assert 'href="#rows-proposed-units"' in page


def test_the_area_follows_the_supply_number(client):
    number = "1200000010029"  # 12 is London; the check digit fits
    sent = filled(client.get("/premises/new/"), {"numbers-0-value": number})
    page = client.post("/premises/new/panel/", sent).content.decode()
    assert "London, as the supply number says" in page


def test_the_first_draft_keeps_the_sheet_as_it_was_opened(client):
    case = make_premises()
    panel_for(client, case, **{"supply-cutout_a": "63"})
    draft = Draft.objects.get()
    assert draft.content["supply-cutout_a"] == ["63"]
    assert draft.seen["opened"]["supply-cutout_a"] == ["80"]
    assert (draft.seen["premises"], draft.seen["design"]) == (1, 1)


def test_queries_do_not_grow_with_rows(client, django_assert_max_num_queries):
    units = [
        {**home()["units"][0], "id": f"pv-{i}", "rated_w": 300, "quantity": 1} for i in range(20)
    ]
    arrays = [{"unit_id": f"pv-{i}", "peak_w": 400} for i in range(20)]
    for count in (1, 20):
        case = make_premises(units=units[:count], arrays=arrays[:count], storage=[])
        address = reverse("design-panel", args=[case.design.key])
        sent = form_of(client.get(reverse("design-sheet", args=[case.design.key])))
        client.post(address, sent)
        # Two of them ask for the roles of the person, and whether the firm wants a code.
        with django_assert_max_num_queries(16):
            client.post(address, sent)
