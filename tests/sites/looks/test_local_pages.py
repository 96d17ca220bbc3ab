"""The pages of local entries: the boxes, what would change, entering, ending, files."""

import datetime as dt
import html
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from sites.looks.models import ScreeningRun
from sites.looks.reading import local_preview
from sites.looks.writing.local_entries import add_entry, end_entry
from sites.rulebook.models import LocalEntry
from sites.rulebook.reading.local_entries import dump_entries
from tests.sites.making import make_local_entry, make_person, make_premises
from tests.sites.rulebook.making import balance, cap, condition, reading

COMMON = {
    "area": "gb-12",
    "since": "2026-01-01",
    "until": "",
    "title": "Letter of the network operator (invented)",
    "document_kind": "letter",
    "clause": "p. 2",
    "certainty": "local",
    "note": "Valid for small sites only",
    "reason": "The operator wrote.",
}
CAP = {
    **COMMON,
    "feeders": "North 7\n",
    "postcode_sectors": "ex1 1",
    "limit": "5 kW",
    "per": "total",
    "says": "The feeder takes no more",
}
CONDITION = {
    **COMMON,
    "says": "This operator wants a drawing above 16 A.",
    "asks": "Send it.",
    "severity": "decide",
    "attachments": "drawing of the board",
    "fact_1": "largest_phase_sum",
    "op_1": "above",
    "against_1": "g98.sum_limit",
    "op_2": "at_most",
    "op_3": "at_most",
}


@pytest.fixture
def engineer(client, db):
    person = make_person("engineer")
    client.force_login(person)
    return person


def value_address(key="balance.limit"):
    return f"{reverse('local-new-value')}?key={key}"


def words(answer):
    """What a page says, without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def north():
    return make_premises(premises={"feeder": "North 7", "licence_area": "gb-12"})


def test_the_list_is_empty_and_says_what_to_do(client, engineer):
    said = words(client.get(reverse("local-list")))
    assert "Nothing is entered yet" in said
    assert "Enter something" in said


def test_the_list_says_who_when_and_where_it_stands(client, engineer):
    row = make_local_entry(by=engineer)
    add_entry(area="", entry=balance(since=dt.date(2031, 1, 1)), reason="Told.", by=engineer)
    ended = add_entry(area="gb-12", entry=cap(), reason="Told.", by=engineer)
    end_entry(row=ended, last_day=dt.date(2026, 2, 1), reason="Over.", by=engineer)
    said = words(client.get(reverse("local-list")))
    assert said.index("In force") < said.index("sgi-2.sum_reading") < said.index("To come")
    assert said.index("To come") < said.index("balance.limit") < said.index("Ended")
    assert "Cap on export for feeder North 7 and postcode sector EX1 1 5 kW in all" in said
    assert f"{engineer}" in said
    assert (
        reverse("local-entry", args=[row.key]) in client.get(reverse("local-list")).content.decode()
    )


def test_the_number_of_queries_does_not_grow(client, engineer, django_assert_max_num_queries):
    for n in range(12):
        entry = cap(about=f"feeder-{n}", content={"feeders": [f"F{n}"], "postcode_sectors": None})
        add_entry(area="gb-12", entry=entry, reason="Told.", by=engineer)
    with django_assert_max_num_queries(8):
        client.get(reverse("local-list"))


def test_a_value_from_the_boxes_to_the_row(client, engineer):
    page = client.get(value_address())
    assert "The edition has: 32 A" in words(page)
    typed = {**COMMON, "value": "20"}
    preview = client.post(value_address(), typed)
    assert preview.status_code == 200
    assert "What it would change" in words(preview)
    assert not LocalEntry.objects.exists()
    answer = client.post(value_address(), {**typed, "act": "enter"})
    row = LocalEntry.objects.get()
    assert answer["Location"] == reverse("local-entry", args=[row.key])
    assert (row.about, row.content["value"], row.note, row.entered_by) == (
        "balance.limit", "20 A", "Valid for small sites only.", engineer,
    )  # fmt: skip
    assert "balance.limit 20 A" in words(client.get(answer["Location"]))


def test_the_preview_tells_the_rulebook_and_the_sites(client, engineer):
    case = north()
    make_premises(premises={"feeder": "South 1", "postcode": "EX9 9ZZ", "licence_area": "gb-12"})
    said = words(client.post(reverse("local-new-cap"), CAP))
    assert "1 of 2 sites would differ." in said
    assert case.premises.reference in said
    assert "The export figure of 7.2 kW in all is above the cap of 5 kW for this feeder." in said
    assert "is new: 5 kW in all at the feeder North 7 and in the postcode sector EX1 1" in said


def test_what_was_typed_goes_along_and_comes_back(client, engineer):
    preview = client.post(reverse("local-new-cap"), CAP).content.decode()
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', preview))
    assert {name: html.unescape(hidden[name]) for name in CAP} == CAP
    back = client.post(reverse("local-new-cap"), {**CAP, "act": "back"})
    assert back.status_code == 200
    assert 'value="The feeder takes no more"' in back.content.decode()


@pytest.mark.parametrize(
    ("address", "changes", "box", "message"),
    [
        ("value", {"value": "20 kW"}, "id_value", "is a real power (W); a current is wanted here"),
        ("value", {"value": ""}, "id_value", "Give the value."),
        ("value", {"value": "-20"}, "id_value", "This can't be negative"),
        ("value", {"value": "1,250"}, "id_value", "read in two ways; write 1250 or 1.250."),
        ("value", {"value": "20", "reason": ""}, "id_reason", "Say why this is entered."),
        ("value", {"value": "20", "since": "soon"}, "id_since", "Give the date as day"),
        ("value", {"value": "20", "until": "2025-01-01"}, "id_until", "before the first day"),
        ("value", {"value": "20", "title": ""}, "id_title", "Name the document"),
        ("cap", {"limit": ""}, "id_limit", "Give the cap."),
        ("cap", {"limit": "5"}, "id_limit", '"5" has no unit; write it as in "16 A", "3.68 kW" or'),
        ("cap", {"limit": "5,000 W"}, "id_limit", "read in two ways; write 5000 or 5.000."),
        ("cap", {"limit": "16 A"}, "id_per", "A current is for each phase"),
        ("cap", {"postcode_sectors": "EX1 1AA"}, "id_postcode_sectors", "not a postcode sector"),
        ("cap", {"feeders": "", "postcode_sectors": ""}, "id_feeders", "Name a feeder"),
        ("cap", {"everywhere": "on"}, "id_everywhere", "Untick this"),
        ("condition", {"against_1": ""}, "id_against_1", "Say what the fact is compared with."),
        ("condition", {"against_1": "g98.nothing"}, "id_against_1", "no value"),
        ("condition", {"fact_1": ""}, "id_fact_1", "Choose the fact"),
        ("condition", {"asks": ""}, "id_asks", "Say in one sentence what is to be done."),
    ],
)
def test_faults_stand_at_the_box_and_nothing_typed_is_lost(
    client, engineer, address, changes, box, message
):
    where, typed = {
        "value": (value_address(), {**COMMON, "value": "20"}),
        "cap": (reverse("local-new-cap"), CAP),
        "condition": (reverse("local-new-condition"), CONDITION),
    }[address]
    answer = client.post(where, {**typed, **changes, "act": "enter"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'href="#{box}"' in page
    assert message in words(answer)
    assert COMMON["title"] in page or changes.get("title") == ""
    assert not LocalEntry.objects.exists()


def test_what_is_entered_twice_is_refused_at_its_days(client, engineer):
    client.post(value_address(), {**COMMON, "value": "20", "act": "enter"})
    answer = client.post(value_address(), {**COMMON, "value": "10", "since": "2026-05-01"})
    assert answer.status_code == 422
    assert "There is an entry for it from 1 January 2026 with no end" in words(answer)
    assert LocalEntry.objects.count() == 1


def test_a_condition_from_the_boxes_to_the_row(client, engineer):
    client.post(reverse("local-new-condition"), {**CONDITION, "act": "enter"})
    row = LocalEntry.objects.get()
    assert row.content["when"] == [{"fact": "largest_phase_sum", "above": "g98.sum_limit"}]
    said = words(client.get(reverse("local-entry", args=[row.key])))
    assert "the aggregate registered capacity on the fullest phase is above g98.sum_limit" in said


@pytest.mark.parametrize("key", ["operator.witness", "operator.submission_address"])
def test_what_speaks_of_one_operator_is_for_an_area(client, engineer, key):
    answer = client.post(value_address(key), {**COMMON, "value": "Always", "area": ""})
    assert answer.status_code == 422
    assert "Choose the licence area that it is for." in words(answer)


def test_every_value_can_be_opened(client, engineer):
    from sites.rulebook.reading.choosable import choosable

    for key in choosable(dt.date(2026, 11, 25)):
        assert client.get(value_address(key)).status_code == 200, key
    assert client.get(value_address("no.such")).status_code == 404


def test_an_entry_is_ended_after_a_look(client, engineer):
    north()
    row = add_entry(area="gb-12", entry=cap(), reason="Told.", by=engineer)
    address = reverse("local-end", args=[row.key])
    typed = {"last_day": "2026-12-31", "reason": "The feeder is stronger."}
    preview = words(client.post(address, typed))
    assert "1 of 1 sites would differ." in preview
    assert "No longer a finding: Stops the application." in preview
    assert LocalEntry.objects.get().until is None
    client.post(address, {**typed, "act": "enter"})
    row = LocalEntry.objects.get()
    assert (row.until, row.ended_by, row.end_reason) == (
        dt.date(2026, 12, 31), engineer, "The feeder is stronger.",
    )  # fmt: skip
    said = words(client.get(reverse("local-entry", args=[row.key])))
    assert "The feeder is stronger." in said
    assert "See what it would change" not in said


@pytest.mark.parametrize(
    ("typed", "box", "message"),
    [
        ({"last_day": "2025-01-01", "reason": "Over."}, "id_last_day", "the earliest last day"),
        ({"last_day": "2026-12-31", "reason": ""}, "id_reason", "Say why this is ended."),
        ({"last_day": "", "reason": "Over."}, "id_last_day", "Give the last day"),
    ],
)
def test_faults_of_an_end(client, engineer, typed, box, message):
    row = make_local_entry(by=engineer)
    answer = client.post(reverse("local-end", args=[row.key]), {**typed, "act": "enter"})
    assert answer.status_code == 422
    assert f'href="#{box}"' in answer.content.decode()
    assert message in words(answer)


def test_a_file_out_and_in_again(client, engineer):
    make_local_entry(by=engineer)
    add_entry(area="gb-12", entry=condition(), reason="Told.", by=engineer)
    answer = client.get(reverse("local-download"), {"area": "gb-12"})
    assert answer["Content-Disposition"] == 'attachment; filename="local-entries-gb-12.toml"'
    text = answer.content.decode()
    assert text == dump_entries("gb-12")
    other = text.replace('"gb-12"', '"gb-14"').encode()
    sent = SimpleUploadedFile("other.toml", other)
    preview = client.post(reverse("local-load"), {"file": sent, "reason": "Also there."})
    assert "Enter 2 entries" in words(preview)
    assert LocalEntry.objects.count() == 2
    hidden = dict(
        re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', preview.content.decode())
    )
    typed = {name: html.unescape(value) for name, value in hidden.items()}
    done = client.post(reverse("local-load"), {**typed, "act": "enter"}, follow=True)
    assert "2 entries entered." in words(done)
    assert LocalEntry.objects.filter(area="gb-14", reason="Also there.").count() == 2


def test_a_broken_file_is_refused_whole_and_its_text_stays(client, engineer):
    broken = dump_entries("gb-12") + '\n[[value]]\nkey = "balance.limit"\n'
    answer = client.post(reverse("local-load"), {"text": broken, "reason": "Told."})
    assert answer.status_code == 422
    assert "value balance.limit: `unit` is missing; give it. Nothing was entered." in words(answer)
    assert "key = &quot;balance.limit&quot;" in answer.content.decode()
    nothing = client.post(reverse("local-load"), {"reason": "Told."})
    assert "Choose a file, or paste its text below." in words(nothing)
    assert client.get(reverse("local-download"), {"area": "gb-99"}).status_code == 404


def test_more_sites_than_at_once_are_left_to_the_worker(client, engineer, monkeypatch):
    monkeypatch.setattr(local_preview, "AT_ONCE", 1)
    north()
    north()
    said = words(client.post(reverse("local-new-cap"), CAP))
    assert "There are 2 sites, more than the" in said
    answer = client.post(reverse("local-new-cap"), {**CAP, "act": "screen"})
    run = ScreeningRun.objects.exclude(local=None).get()
    assert answer["Location"] == reverse("screening", args=[run.key])
    assert not LocalEntry.objects.exists()


def test_the_office_reads_and_can_not_write(client, db):
    row = make_local_entry(by=make_person("engineer"))
    client.force_login(make_person("office"))
    for page in (reverse("local-list"), reverse("local-entry", args=[row.key])):
        said = words(client.get(page))
        assert "sgi-2.sum_reading" in said
        assert "Enter something" not in said
        assert "End it" not in said


def test_what_is_typed_stands_escaped(client, engineer):
    nasty = "<script>alert(1)</script>"
    entry = reading(note=f"{nasty}.")
    row = add_entry(area="gb-12", entry=entry, reason=nasty, by=engineer)
    page = client.get(reverse("local-entry", args=[row.key])).content.decode()
    assert nasty not in page
    assert html.escape(nasty) in page
