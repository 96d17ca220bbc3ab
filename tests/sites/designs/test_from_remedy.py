"""A remedy turned into a design gives in rows what it promised in facts."""

import json
from pathlib import Path

import pytest
from msgspec import UNSET, structs

from connections.facts.reading import read_site
from sites.deciding.reading.deciding import decide_rows
from sites.deciding.reading.remedies import remedy_mark
from sites.designs.writing.from_remedy import design_from_remedy
from sites.house.refusals import FactsChangedError
from sites.premises.models import Design, Unit
from sites.premises.reading.site_rows import rows_for, site_from
from sites.premises.refusals import NameTakenError
from sites.premises.words.rows import supply_facts
from sites.premises.writing.importing import import_premises
from tests.sites.making import make_person

pytestmark = pytest.mark.django_db

DEMO = sorted((Path(__file__).parents[3] / "sites/desk/demonstration").glob("*.json"))


@pytest.fixture
def by():
    return make_person("engineer")


def remedies_of(design: Design):
    decision = decide_rows(rows_for(design.premises, design), remedies=True).decision
    assert decision is not None
    return [remedy for remedy in decision.remedies if remedy.change]


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem[:2])
def test_every_remedy_becomes_a_design_that_keeps_its_promise(path, by):
    case = import_premises(read_site(path.read_bytes()), by=None)
    design = case.design
    for n, remedy in enumerate(remedies_of(design)):
        made = design_from_remedy(design=design, mark=remedy_mark(remedy), name=f"R{n}", by=by)
        decided = decide_rows(rows_for(made.premises, made)).decision
        assert decided is not None
        assert decided.procedure.key == remedy.procedure, remedy.sentence
        stops = {finding.id for finding in decided.findings if finding.severity == "stops"}
        assert not stops & set(remedy.clears)
        assert not made.is_proposal
        proposed = {unit.label for unit in Unit.objects.filter(design=made)}
        assert not proposed & set(remedy.takes_out)
        design.premises.refresh_from_db()


def test_the_design_it_was_made_from_stays_as_it_is(by):
    content = json.loads(DEMO[1].read_bytes())
    case = import_premises(read_site(json.dumps(content)), by=None)
    before = decide_rows(rows_for(case.premises, case.design)).decision
    [remedy, *_] = remedies_of(case.design)
    design_from_remedy(design=case.design, mark=remedy_mark(remedy), name="Other", by=by)
    case.design.refresh_from_db()
    case.premises.refresh_from_db()
    after = decide_rows(rows_for(case.premises, case.design)).decision
    assert before is not None
    assert after is not None
    assert structs.replace(after, reference="") == structs.replace(before, reference="")


def test_existing_panels_come_behind_the_new_inverter(by):
    content = json.loads(DEMO[1].read_bytes())
    for unit in content["units"]:
        if unit["source"] == "pv":
            unit |= {"status": "existing", "commissioned_on": "2021-05-01"}
            unit.pop("planned_on", None)
    for array in content.get("arrays", []):
        array["status"] = "existing"
    case = import_premises(read_site(json.dumps(content)), by=None)
    remedy = next(r for r in remedies_of(case.design) if r.kind == "shared-inverter")
    made = design_from_remedy(design=case.design, mark=remedy_mark(remedy), name="One", by=by)
    rows = rows_for(made.premises, made)
    assert {row.unit_id for row in rows.proposed.arrays} == {"shared-1"}
    assert rows.removed == {unit.key for unit in rows.existing.units}
    assert len(rows.existing.arrays) == len(content["arrays"])


def test_clamps_go_with_the_units_that_read_them(by):
    content = json.loads(DEMO[1].read_bytes())
    readers = [unit["id"] for unit in content["units"]]
    content["clamps"] = [{"id": f"ct-{id}", "serves": id} for id in (*readers, "export-limit")]
    design = import_premises(read_site(json.dumps(content)), by=None).design
    taken_out = set()
    for n, remedy in enumerate(remedies_of(design)):
        made = design_from_remedy(design=design, mark=remedy_mark(remedy), name=f"R{n}", by=by)
        site = site_from(rows_for(made.premises, made))
        left = {clamp.serves for clamp in site.clamps or ()}
        assert left == {*(unit.id for unit in site.units if unit.id in readers), "export-limit"}
        taken_out |= {*readers, "export-limit"} - left
        design.premises.refresh_from_db()
    assert taken_out, "no remedy takes a unit out"


def test_what_no_longer_helps_is_refused(by):
    case = import_premises(read_site(DEMO[1].read_bytes()), by=None)
    with pytest.raises(FactsChangedError):
        design_from_remedy(design=case.design, mark="0" * 16, name="x", by=by)
    assert case.premises.designs.count() == 1


def test_a_name_that_is_taken_is_refused_and_nothing_is_left(by):
    case = import_premises(read_site(DEMO[1].read_bytes()), by=None)
    [first, second, *_] = remedies_of(case.design)
    design_from_remedy(design=case.design, mark=remedy_mark(first), name="Same", by=by)
    with pytest.raises(NameTakenError):
        design_from_remedy(design=case.design, mark=remedy_mark(second), name="same", by=by)
    assert case.premises.designs.count() == 2


def test_a_design_is_named_after_what_was_changed(by):
    case = import_premises(read_site(DEMO[1].read_bytes()), by=None)
    remedy = next(r for r in remedies_of(case.design) if r.kind == "shared-inverter")
    mark = remedy_mark(remedy)
    first = design_from_remedy(design=case.design, mark=mark, by=by)
    again = design_from_remedy(design=case.design, mark=mark, by=by)
    assert remedy.name.startswith("One hybrid inverter, ")
    assert (first.name, again.name) == (remedy.name, f"{remedy.name} (2)")


def test_a_design_with_another_supply_knows_the_one_that_is_there(by):
    content = json.loads(DEMO[7].read_bytes())
    assert content["supply"]["phases"] == 1
    case = import_premises(read_site(json.dumps(content)), by=None)
    remedy = next(r for r in remedies_of(case.design) if r.kind == "three-phase-supply")
    made = design_from_remedy(design=case.design, mark=remedy_mark(remedy), by=by)
    rows = rows_for(made.premises, made)
    assert site_from(rows).supply.now_phases == 1
    decision = decide_rows(rows).decision
    assert decision is not None
    [finding] = [f for f in decision.findings if f.id == "supply-change"]
    assert finding.severity == "decide"
    assert finding.sentence.startswith(
        "The supply has one phase now, and three phases are proposed."
    )
    # The design that was there says nothing of it.
    case.premises.refresh_from_db()
    before = rows_for(case.premises, case.design)
    assert site_from(before).supply.now_phases is UNSET


def test_the_page_tells_the_supply_that_is_there(by):
    case = import_premises(read_site(DEMO[7].read_bytes()), by=None)
    remedy = next(r for r in remedies_of(case.design) if r.kind == "three-phase-supply")
    made = design_from_remedy(design=case.design, mark=remedy_mark(remedy), by=by)
    told = dict(supply_facts(rows_for(made.premises, made)))
    assert told["With this design"] == (
        "the supply is changed to what stands here; it is single-phase now"
    )
