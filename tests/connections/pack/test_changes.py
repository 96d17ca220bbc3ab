"""What changed between two revisions, told data item by data item."""

import json

import pytest
from msgspec import structs

from connections.pack.changes import MOST, changes_between
from connections.pack.content import AttachedFile, without_personal
from tests.connections.pack.demo_packs import ASSESSOR, pack_of, plain_of


@pytest.fixture
def plain():
    """Three-phase, out of balance: pv-1 there, pv-2 and bat-1 proposed."""
    return plain_of("06")


def test_nothing_changed_is_nothing_to_tell(plain):
    assert changes_between(pack_of(plain), pack_of(plain)) == ()


def test_another_day_alone_is_no_change(plain):
    plain["planned_on"] = "2027-03-01"  # after every answer is due, so that no finding names a day
    later = {**plain, "on_date": "2026-11-25"}
    assert changes_between(pack_of(plain), pack_of(later)) == ()


def test_a_value_is_told_with_what_it_was(plain):
    old = pack_of(plain)
    plain["units"][2]["rated_w"] = 3200
    changes = changes_between(old, pack_of(plain))
    assert "bat-1, registered: 3.20 kW, was 3.60 kW." in changes
    # 6000 W + 3200 W = 9200 W on L1; 9200 W / 230 V = 40 A, were 9600 / 230 = 41.739 A
    assert "Registered capacity, together, L1: 40.00 A, was 41.74 A." in changes
    assert [c for c in changes if c.startswith("Finding changed (Site): The phases can be 40 A")]


def test_a_unit_that_comes_or_goes_is_told_once(plain):
    old = pack_of(plain)
    twin = {**plain["units"][1], "id": "pv-3", "phases": ["L3"]}
    plain["units"].append(twin)
    new = pack_of(plain)
    assert [c for c in changes_between(old, new) if "pv-3" in c and c.startswith("New:")] == [
        "New: pv-3."
    ]
    back = changes_between(new, old)
    assert [c for c in back if c.startswith("No longer there")] == ["No longer there: pv-3."]


def test_a_fact_that_was_not_known(plain):
    old = pack_of(plain)
    plain["supply"]["looped"] = None
    changes = changes_between(old, pack_of(plain))
    assert "Looped service: not known, was no." in changes


def test_another_procedure_comes_first(plain):
    old = pack_of(plain)
    plain["units"] = plain["units"][:1]
    plain["storage"], plain["arrays"] = [], plain["arrays"][:1]
    plain["units"][0]["rated_w"] = 3000
    new = pack_of(plain)
    assert old.procedure.title != new.procedure.title
    first = changes_between(old, new)[0]
    assert first == f"Procedure: {new.procedure.title}, was {old.procedure.title}."


def test_personal_values_are_named_and_not_told(plain):
    old = pack_of(plain)
    plain["parties"]["customer"]["name"] = "Zebedee Flint (invented)"
    changes = changes_between(old, pack_of(plain))
    assert "Customer: name: changed." in changes
    assert "Zebedee" not in " ".join(changes)
    assert "Oldfield" not in " ".join(changes)


def test_an_erased_revision_is_compared_without_its_personal_part(plain):
    old = without_personal(pack_of(plain))
    plain["parties"]["customer"]["name"] = "Zebedee Flint (invented)"
    plain["units"][2]["rated_w"] = 3200
    changes = changes_between(old, pack_of(plain))
    assert [c for c in changes if "was erased" in c]
    assert not [c for c in changes if c.startswith("Customer")]
    assert "bat-1, registered: 3.20 kW, was 3.60 kW." in changes


def test_findings_that_come_and_go(plain):
    old = pack_of(plain)
    plain["supply"]["looped"] = True
    site = ASSESSOR.site(json.dumps(plain))
    (looped,) = (f for f in ASSESSOR.decide(site).decision.findings if f.id == "looped-service")
    new = pack_of(plain)
    changes = changes_between(old, new)
    assert f"New finding (Supply): {looped.sentence}" in changes
    back = changes_between(new, old)
    assert f"No longer found (Supply): {looped.sentence}" in back


def test_files_that_come_and_go(plain):
    file = AttachedFile("sheet.pdf", "Data sheet", "application/pdf", 1000, 2, "a" * 64)
    old, new = pack_of(plain), pack_of(plain, attachments=(file,))
    assert changes_between(old, new) == ("Attachment added: sheet.pdf.",)
    assert changes_between(new, old) == ("Attachment left out: sheet.pdf.",)


def test_another_rulebook_is_told(plain):
    old = pack_of(plain)
    decision = old.technical.decision
    other = structs.replace(decision.rulebook, edition="Another edition", digest="b" * 64)
    technical = structs.replace(old.technical, decision=structs.replace(decision, rulebook=other))
    new = structs.replace(old, technical=technical)
    (change,) = changes_between(old, new)
    assert change.startswith("Rulebook: Another edition (bbbbbbbbbbbb), was ")


def test_nothing_that_differs_goes_untold(plain):
    """What no sentence covers is told by the name of its section."""
    old = pack_of(plain)
    sections = tuple(
        structs.replace(section, blocks=section.blocks[:-1])
        if section.key == "declarations"
        else section
        for section in old.technical.sections
    )
    new = structs.replace(old, technical=structs.replace(old.technical, sections=sections))
    assert changes_between(old, new) == ("Sections that read differently: “Declarations”.",)


def test_very_many_changes_are_counted():
    old = pack_of(plain_of("11"))
    plain = plain_of("11")
    for unit in plain["units"]:
        unit["maker"], unit["model"] = "another invented maker", "another model"
        unit["type_test_reference"] = "INVENTED/ANOTHER"
        unit["rated_w"] = unit["rated_w"] + 10
    changes = changes_between(old, pack_of(plain))
    assert len(changes) == MOST + 1
    assert changes[-1].startswith("And ")


def test_as_many_changes_as_may_be_said_are_said(monkeypatch):
    old, plain = pack_of(plain_of("11")), plain_of("11")
    for unit in plain["units"]:
        unit["model"] = "another model"
    new = pack_of(plain)
    said = changes_between(old, new)
    assert 1 < len(said) < MOST
    monkeypatch.setattr("connections.pack.changes.MOST", len(said))
    assert changes_between(old, new) == said
