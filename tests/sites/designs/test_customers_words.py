"""The customer's page in a customer's words: what stops a design, boxes without ids, a power cut,
and a battery in place of cells."""

import re

import pypdfium2
import pytest
from django.urls import reverse

from connections.facts.decision import Finding
from connections.remedies.designs import BACKUP_LOAD_W, design_facts
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from sites.designs.reading.comparison import comparison_of
from sites.designs.reading.side_by_side import side_by_side
from sites.designs.words.customer_boxes import in_power_cut, plain_boxes
from sites.designs.words.customer_stops import stopped_words
from sites.designs.writing.designs import copy_design
from tests.connections.rules.test_severities import CASES
from tests.site_files import ALL, L2, L3, book, cells, decision, limit, read, site, unit
from tests.sites.making import home, make_person, make_premises

CAP = {"on": "export", "value": 5000, "basis": "w_total"}


def stops(*units, **facts):
    return [each for each in decision(*units, **facts).findings if each.severity == "stops"]


@pytest.mark.parametrize(
    ("caps", "phases", "words"),
    [
        ([CAP], 1, "the network operator allows 5 kW of export."),
        (
            [CAP | {"split_equally": True}],
            3,
            "the network operator allows 5 kW of export in all, in equal shares of the phases.",
        ),
        (
            [{"on": "export", "value": 16_000, "basis": "ma_per_phase"}],
            1,
            "the network operator allows 16 A of export on each phase.",
        ),
        (
            [{"on": "installed", "value": 3680, "basis": "va_total"}],
            1,
            "the network operator allows inverters of 3.68 kVA and no more.",
        ),
    ],
)
def test_an_operators_cap_is_said_in_plain_words(caps, phases, words):
    found = stops(unit("a", 9000), phases=phases, caps=caps)
    assert stopped_words(found) == (f"Not possible as it is: {words}",)


def test_a_cap_in_amps_of_a_supply_with_fewer_phases_is_told_in_all():
    """16 A on the one phase there is: 3.68 kW in all, whatever phases the supply will have."""
    each = {"on": "installed", "value": 16_000, "basis": "ma_per_phase"}
    found = stops(unit("a", 9000, phases=ALL), phases=3, caps=[each], supply={"now_phases": 1})
    assert stopped_words(found) == (
        "Not possible as it is: the network operator allows inverters of 3.68 kW in all and no "
        "more.",
    )


STOPS = [case for case in CASES if case[1] == "stops"]


@pytest.mark.parametrize("case", STOPS, ids=[f"{case[0]} {case[2]}" for case in STOPS])
def test_every_stop_has_words_of_its_own_without_ids(case):
    found = [
        each
        for each in write_decision(decide(read(case[3]), book())).findings
        if each.severity == "stops" and each.id == case[0]
    ]
    (said,) = stopped_words(found)
    assert said.startswith(("Not possible as it is: ", "Not told yet: ", "Larger than"))
    assert "something in it" not in said
    assert not re.search(r"[\[\]_]|None", said)


def test_all_that_stops_a_design_is_one_sentence():
    found = stops(unit("a", 17_001), caps=[CAP])
    assert stopped_words(found) == (
        "Not possible as it is: this supply may carry inverters of 17 kW at most; the network "
        "operator allows 5 kW of export.",
    )


def test_a_stop_without_words_of_its_own_is_told_as_one():
    odd = Finding("new-one", "site", "stops", {}, None, "", "", "", (), (), (), "")
    assert stopped_words([odd]) == (
        "Not possible as it is: something in it has to be changed first.",
    )


def boxes(*units, **facts):
    return [
        (box.name, box.size, box.fails, box.without) for box in plain_boxes(site(*units, **facts))
    ]


def test_boxes_are_called_what_a_customer_calls_them():
    held = [{"unit_id": "bat-1", "usable_wh": 9500}]
    assert boxes(unit("pv-1", 3600), cells("bat-1", 3680), storage=held, limits=limit(16_000)) == [
        ("the panels’ inverter", "3.6 kW", "the panels’ inverter", "the battery"),
        ("the battery’s inverter", "3.68 kW", "the battery’s inverter", "the sun"),
        ("the battery", "9.5 kWh", "the battery", "the sun"),
        ("the export limiter", "", "the export limiter", "what keeps to the limit, or nothing"),
    ]  # fmt: skip


def test_boxes_of_one_kind_are_numbered():
    said = boxes(
        unit("inv-7", 3600), unit("inv-9", 3000, phases=L2), cells("x", 3600, phases=L3), phases=3
    )
    assert [each[0] for each in said] == [
        "the panels’ inverter 1", "the panels’ inverter 2", "the battery’s inverter",
    ]  # fmt: skip
    assert said[0][3] == "the other panels and the battery"
    assert said[2][3] == "the sun"


def test_small_inverters_and_a_shared_one():
    said = boxes(
        unit("m", 350, quantity=11), unit("h", 5000, source="pv+storage", phases=ALL), phases=3,
        storage=[{"unit_id": "h"}],
    )  # fmt: skip
    assert [each[:3] for each in said] == [
        ("11 small inverters of the panels", "0.35 kW each",
         "one of the small inverters"),
        ("the inverter of panels and battery", "5 kW", "the inverter of panels and battery"),
        ("the battery", "", "the battery"),
    ]  # fmt: skip
    assert said[0][3] == "the other 10 and all else"
    assert said[1][3] == "the other panels"
    assert boxes(unit("h", 5000, source="pv+storage"))[0][3] == "only the network"


def test_there_are_as_many_boxes_as_are_counted_elsewhere():
    held = [{"unit_id": "b", "usable_wh": 9500}, {"unit_id": "b", "usable_wh": 5000}]
    made = site(unit("a"), cells("b"), unit("c", status="removed"), storage=held)
    told = design_facts(made, decide(made, book()), backup_load_w=BACKUP_LOAD_W)
    assert len(plain_boxes(made)) == told.box_count
    assert [box.name for box in plain_boxes(made)][2:] == ["battery 1", "battery 2"]


@pytest.mark.parametrize(
    ("units", "wh", "words"),
    [
        ([unit("a"), cells("b", can_island=False)], 0, "Everything stops, the battery too."),
        ([unit("a")], 0, "Everything stops, the panels too."),
        ([unit("a"), cells("b", can_island=None)], None, "Not known yet."),
        # 9500 Wh / 500 W = 19 hours.
        (
            [unit("a"), cells("b", can_island=True)],
            9500,
            "The back-up supply goes on, about 19 hours at 0.5 kW from full; the rest stops.",
        ),
        (
            [unit("a"), cells("b", can_island=True)],
            None,
            "The back-up supply goes on, while the battery lasts; the rest stops.",
        ),
        ([unit("a", source="wind")], 0, "Not known yet."),
    ],
)
def test_what_goes_on_in_a_power_cut(units, wh, words):
    assert in_power_cut(site(*units), wh) == words


def printed(client, case):
    answer = client.get(reverse("designs-print", args=[case.premises.key]))
    pdf = pypdfium2.PdfDocument(answer.content)
    assert len(pdf) == 1
    return " ".join(pdf[0].get_textpage().get_text_range().split())


@pytest.mark.django_db
@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_the_page_says_what_stops_a_design_and_stays_one_page(client, number):
    """Caps of both kinds, micro-inverters, an island and a scheme: the longest words there are."""
    person = make_person("office")
    client.force_login(person)
    units = home()["units"]
    units[0] |= {"rated_w": 350, "quantity": 11}
    units[1] |= {"can_island": True}
    caps = [CAP | {"value": 2000}, {"on": "installed", "value": 16_000, "basis": "ma_per_phase"}]
    limits = {"export": {"value": 3680, "basis": "w_total"}}
    case = make_premises(units=units, limits=limits, caps=caps)
    for name in ("With a name of many words", "Another of the designs", "The last of them")[
        : number - 1
    ]:
        copy_design(design=case.design, name=name, by=person)
    text = printed(client, case)
    assert "Not possible as it is: the network operator allows 2 kW of export; the" in text
    assert text.count("inverters of 16 A on each phase and no more") == number
    assert not re.search(r"\bcells\b|\bbat-1\b|\bpv-1\b|\bPV\b", text)


@pytest.mark.django_db
def test_a_design_that_nothing_stops_is_said_to_be_possible():
    case = make_premises()
    page = side_by_side(case.premises)
    rows = {row.question: row.answers for row in comparison_of(page).rows}
    assert rows["Possible as it is"] == (("Yes, as far as is known",),)
    assert rows["In a power cut"] == (("Everything stops, the battery too.",),)
    # Waiting and the power cut have their rows, and are not said once more.
    assert rows["Before the work"][0][0].startswith("The network operator answers within")
    assert rows["Good to know"] == (("nothing more",),)
