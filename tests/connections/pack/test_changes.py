"""What changed between two revisions: fact, old value, new value."""

import json

import pytest
from msgspec import structs

from connections.pack.changes import MOST, changes_between, decisions_between
from connections.pack.content import AttachedFile, Change, without_personal
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


def test_a_cable_is_told_with_both_lengths(plain):
    old = pack_of(plain)
    plain["cables"][0]["length_mm"] = 8000
    told = changes_between(old, pack_of(plain))
    assert told == (Change("Length of the cable consumer unit to pv-1", "22 m", "8 m"),)
    assert told[0].words == "Length of the cable consumer unit to pv-1: 22 m → 8 m"


def test_a_rating_is_told_with_the_sums_that_follow(plain):
    old = pack_of(plain)
    plain["units"][2]["rated_w"] = 3200
    changes = changes_between(old, pack_of(plain))
    # 6000 W + 3600 W = 9600 W on L1, then 9200 W: 9600 / 230 = 41.739 A, 9200 / 230 = 40 A
    assert changes[:3] == (
        Change("Registered capacity of bat-1", "3.6 kW", "3.2 kW"),
        Change("Registered capacity together", "12.6 kW", "12.2 kW"),
        Change("Largest export", "12.6 kW", "12.2 kW"),
    )
    assert Change("Together on L1", "41.74 A", "40 A") in changes


def test_the_order_of_a_list_is_no_change(plain):
    old = pack_of(plain)
    plain["cables"].reverse()
    plain["storage"].reverse()
    assert changes_between(old, pack_of(plain)) == ()


def test_a_unit_that_comes_or_goes_is_told_once(plain):
    old = pack_of(plain)
    plain["units"].append({**plain["units"][1], "id": "pv-3", "phases": ["L3"]})
    new = pack_of(plain)
    assert [c for c in changes_between(old, new) if "pv-3" in c.fact] == [Change("pv-3", "", "new")]
    (gone,) = (c for c in changes_between(new, old) if "pv-3" in c.fact)
    assert gone.words == "pv-3: new → no longer" or gone.now == ""


def test_a_fact_that_was_not_known(plain):
    old = pack_of(plain)
    plain["supply"]["looped"] = None
    assert Change("Looped service", "no", "not known") in changes_between(old, pack_of(plain))


def test_another_procedure_comes_first(plain):
    old = pack_of(plain)
    plain["units"] = plain["units"][:1]
    plain["storage"], plain["arrays"] = [], plain["arrays"][:1]
    plain["units"][0]["rated_w"] = 3000
    new = pack_of(plain)
    assert changes_between(old, new)[0] == Change(
        "Procedure", old.procedure.title, new.procedure.title
    )


def test_personal_values_are_named_and_not_told(plain):
    old = pack_of(plain)
    plain["parties"]["customer"]["name"] = "Zebedee Flint (invented)"
    assert changes_between(old, pack_of(plain)) == (Change("Customer, name", "", "changed"),)


def test_an_erased_revision_is_compared_without_its_personal_part(plain):
    old = without_personal(pack_of(plain))
    plain["parties"]["customer"]["name"] = "Zebedee Flint (invented)"
    plain["units"][2]["rated_w"] = 3200
    changes = changes_between(old, pack_of(plain))
    assert [c for c in changes if "were erased" in c.now]
    assert not [c for c in changes if c.fact.startswith("Customer")]
    assert Change("Registered capacity of bat-1", "3.6 kW", "3.2 kW") in changes


def test_findings_that_come_and_go(plain):
    site = ASSESSOR.site(json.dumps(plain))
    before = ASSESSOR.decide(site).decision
    plain["supply"]["looped"] = True
    after = ASSESSOR.decide(ASSESSOR.site(json.dumps(plain))).decision
    (looped,) = (f for f in after.findings if f.id == "looped-service")
    assert Change("Finding, supply", "", looped.sentence) in decisions_between(before, after, site)
    assert Change("Finding, supply", looped.sentence, "") in decisions_between(after, before, site)
    assert decisions_between(before, before, site) == ()


def test_files_that_come_and_go(plain):
    file = AttachedFile("sheet.pdf", "Data sheet", "application/pdf", 1000, 2, "a" * 64)
    old, new = pack_of(plain), pack_of(plain, attachments=(file,))
    assert changes_between(old, new) == (Change("Attachment sheet.pdf", "", "added"),)
    assert changes_between(new, old) == (Change("Attachment sheet.pdf", "there", ""),)


def test_another_rulebook_is_told(plain):
    old = pack_of(plain)
    decided = old.technical.decided
    other = structs.replace(decided.rulebook, edition="Another edition", digest="b" * 64)
    technical = structs.replace(old.technical, decided=structs.replace(decided, rulebook=other))
    (change,) = changes_between(old, structs.replace(old, technical=technical))
    assert (change.fact, change.now) == ("Rulebook", "Another edition (bbbbbbbbbbbb)")


def test_nothing_that_differs_goes_untold(plain):
    """What no fact tells is told by the name of its section."""
    old = pack_of(plain)
    sections = tuple(
        structs.replace(section, blocks=section.blocks[:-1])
        if section.key == "declarations"
        else section
        for section in old.technical.sections
    )
    new = structs.replace(old, technical=structs.replace(old.technical, sections=sections))
    assert changes_between(old, new) == (
        Change("Sections that read differently", "", "“Declarations”"),
    )


def test_very_many_changes_are_counted():
    old = pack_of(plain_of("11"))
    plain = plain_of("11")
    for unit in plain["units"]:
        unit["maker"], unit["model"] = "another invented maker", "another model"
        unit["type_test_reference"] = "INVENTED/ANOTHER"
        unit["rated_w"] = unit["rated_w"] + 10
    changes = changes_between(old, pack_of(plain))
    assert len(changes) == MOST + 1
    assert changes[-1].fact == "Further"


def test_as_many_changes_as_may_be_said_are_said(monkeypatch):
    old, plain = pack_of(plain_of("11")), plain_of("11")
    for unit in plain["units"]:
        unit["model"] = "another model"
    new = pack_of(plain)
    said = changes_between(old, new)
    assert 1 < len(said) < MOST
    monkeypatch.setattr("connections.pack.changes.MOST", len(said))
    assert changes_between(old, new) == said


def test_no_machine_words_stand_in_them():
    """Every fact of two unlike sites: no path, no key, no bracket."""
    for one, other in (("06", "12"), ("12", "08"), ("03", "10")):
        for change in changes_between(pack_of(plain_of(one)), pack_of(plain_of(other))):
            assert not set(change.fact) & set("[]_"), change
