"""How much a person must type for a plain home retrofit."""

import pytest
from django.test import Client
from django.urls import reverse

from connections.facts.supply_number import check_digit
from connections.pack.build import build_pack, missing_items, pack_hindrances
from sites.cases.models import Case
from sites.deciding.reading.deciding import decide_case
from sites.people.models import Firm
from tests.sites.deciding.filling import Sent, form_of
from tests.sites.making import make_person

pytestmark = pytest.mark.django_db

AT_MOST = 40
"""From the issue: boxes that must be filled for a plain home retrofit."""

NUMBER = "120000001002"
BOXES = {
    "case-reference": "Retrofit 1",
    "case-planned_on": "18/01/2027",
    "case-on_date": "24/11/2026",
    "customer-name": "Barnaby Quill (invented)",
    "customer-phone": "01632 960202",
    "premises-address_lines": "Larkfield Cottage, Fennhaven",
    "premises-postcode": "zz1 2bb",
    "premises-nation": "england",
    "premises-owner_consent": "yes",
    "numbers-0-value": f"{NUMBER}{check_digit(NUMBER)}",
    "supply-phases": "1",
    "supply-cutout_a": "80",
    "supply-earthing": "TN-C-S",
    "supply-looped": "no",
    "nearby-nearby": "none",
    "existing-units-0-source": "pv",
    "existing-units-0-rated_w": "3.6",
    "existing-units-0-type_tested": "full",
    "existing-units-0-standard": "G98",
    "existing-units-0-type_test_reference": "INVENTED/PV/3600",
    "existing-units-0-commissioned_on": "19/5/2021",
    "existing-units-0-can_island": "no",
    "existing-units-0-maker": "invented maker",
    "existing-units-0-model": "pv",
    "existing-arrays-0-peak_w": "4",
    "proposed-units-0-source": "storage",
    "proposed-units-0-rated_w": "3600 W",
    "proposed-units-0-type_tested": "full",
    "proposed-units-0-standard": "G98",
    "proposed-units-0-type_test_reference": "INVENTED/BAT/3600",
    "proposed-units-0-can_island": "no",
    "proposed-units-0-maker": "invented maker",
    "proposed-units-0-model": "bat",
    "proposed-cells-0-usable_wh": "9,5",
    "proposed-cells-0-charge_w": "3.6",
    "proposed-cells-0-discharge_w": "3.6",
    "proposed-cells-0-charges_from_grid": "yes",
    "proposed-cells-0-exports": "yes",
}
"""A home with PV to which storage with its own inverter is added, all invented."""


def add_row(client: Client, sent: Sent, group: str) -> None:
    """What the button that adds a row does to the form."""
    count = sent[f"{group}-TOTAL_FORMS"][0]
    answer = client.get(f"/sheet/rows/{group}/", {f"{group}-TOTAL_FORMS": count})
    page = f'<form id="sheet">{answer.content.decode()}</form>'

    class _Page:
        content = page.encode()

    sent |= form_of(_Page)


def test_a_plain_retrofit_takes_at_most_forty_boxes():
    Firm.objects.create(
        name="Invented Solar",
        address="Unit 4\nFennhaven",
        email="office@firm.example",
        phone="01632 960140",
        registration="invented",
    )
    client = Client()
    client.force_login(make_person())
    sent = form_of(client.get("/premises/new/"))
    for group in ("existing-units", "existing-arrays", "proposed-cells"):
        add_row(client, sent, group)
    untouched = {name: list(values) for name, values in sent.items()}
    for name, text in BOXES.items():
        assert name in sent, name
        sent[name] = [text]
    filled = [name for name in sent if sent[name] != untouched[name]]
    assert len(filled) == len(BOXES)
    assert len(filled) <= AT_MOST
    assert client.post("/premises/new/", sent).status_code == 302

    # That is enough: the procedure is settled, nothing is open, and the pack lacks nothing.
    case = Case.objects.get()
    decided = decide_case(case)
    site, book, decision = decided.site, decided.book, decided.decision
    assert site is not None
    assert book is not None
    assert decision is not None
    assert decision.unknown == ()
    # 2 x 3600 W / 230 V = 31.304 A, each below 16 A.
    assert decision.per_phase_ma == {"L1": 31_304}
    assert decision.procedure.key == "sgi-3"
    assert [f.id for f in decision.findings if f.severity != "inform"] == []
    pack = build_pack(site, decision, book, reference="x", prepared_on=site.on_date, salt="0" * 32)
    assert [entry.label for entry in missing_items(pack)] == []
    assert pack_hindrances(site, decision, book, prepared_on=site.on_date) == ()
    # And the page says so.
    page = client.get(reverse("premises", args=[case.premises.key])).content.decode()
    in_the_way = page[page.index("In the way (0)") : page.index('<h2 id="diagram">')]
    assert "<p>Nothing.</p>" in in_the_way
