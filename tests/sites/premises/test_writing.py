"""Creating and saving premises, copying and choosing designs, keeping drafts."""

import json
from pathlib import Path

import pytest

from sites.cases.models import Application
from sites.deciding.reading.deciding import assessor, decide_case, decide_site
from sites.designs.writing.designs import choose_design, copy_design, free_name
from sites.house.models import Event
from sites.premises.models import Board, Draft, Premises, Removal, Unit
from sites.premises.reading.drafts import draft_of
from sites.premises.reading.site_rows import plain_from, rows_for, rows_of_designs
from sites.premises.refusals import (
    EngineersFigureError,
    NameTakenError,
    ReferenceTakenError,
    StaleSheetError,
)
from sites.premises.writing.drafts import drop_draft, keep_draft
from sites.premises.writing.importing import import_premises, not_kept, rows_from_site
from sites.premises.writing.sheet import Seen, save_sheet
from tests.sites.making import make_person, make_premises
from tests.sites.premises.electrical_facts import with_electrical_facts

pytestmark = pytest.mark.django_db
DEMOS = sorted(Path("sites/desk/demonstration").glob("*.json"))


def demo(start: str) -> bytes:
    return next(path for path in DEMOS if path.name.startswith(start)).read_bytes()


def seen(case) -> Seen:
    case.premises.refresh_from_db()
    case.design.refresh_from_db()
    return Seen(case.premises.version, case.design.version)


def edited(case):
    """The rows of a case, to be changed and saved."""
    return rows_for(Premises.objects.get(pk=case.premises.pk), case.design)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_site_file_in_rows_decides_as_the_file_does(path):
    site = assessor().site(path.read_bytes())
    case = import_premises(site, by=None)
    assert not_kept(site, case.design) == []
    of_file, of_rows = decide_site(site).decision, decide_case(case).decision
    assert of_file is not None
    assert of_rows is not None
    assert of_rows.procedure == of_file.procedure
    assert of_rows.per_phase_exact == of_file.per_phase_exact
    assert [f.sentence for f in of_rows.findings] == [f.sentence for f in of_file.findings]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_rows_keep_what_the_electrical_checks_read(path):
    content = with_electrical_facts(path)
    site = assessor().site(json.dumps(content))
    case = import_premises(site, by=None)
    assert not_kept(site, case.design) == []
    plain = plain_from(rows_for(case.premises, case.design))
    declared = {unit["id"]: unit["emission_standards"] for unit in content["units"]}
    # Declared to none of them is another fact than not known.
    assert {unit["id"]: unit.get("emission_standards") for unit in plain["units"]} == declared
    of_file, of_rows = decide_site(site).decision, decide_case(case).decision
    assert of_file is not None
    assert of_rows is not None
    assert [f.sentence for f in of_rows.findings] == [f.sentence for f in of_file.findings]


def test_a_board_of_the_design_takes_the_place_of_the_one_that_is_there():
    case = import_premises(assessor().site(json.dumps(with_electrical_facts(DEMOS[0]))), by=None)
    rows = edited(case)
    rows.proposed.boards = [Board(label="Consumer unit", rating_a=125)]
    assert save_sheet(design=case.design, rows=rows, seen=seen(case), by=None) == [
        "proposed boards: Consumer unit added"
    ]
    assert plain_from(rows_for(case.premises, case.design))["boards"] == [
        {"id": "Consumer unit", "rating_a": 125},
        {"id": "garage", "rating_a": 63},
    ]


def test_only_an_engineer_changes_a_figure_in_place_of_a_default():
    case = import_premises(assessor().site(json.dumps(with_electrical_facts(DEMOS[0]))), by=None)
    office, engineer = make_person(), make_person("engineer")

    def save(by, change):
        rows = edited(case)
        change(rows)
        return save_sheet(design=case.design, rows=rows, seen=seen(case), by=by)

    def other_figure(rows):
        rows.overrides[0].value = 900

    def other_name(rows):
        rows.premises.name = "Renamed"

    before = seen(case)
    for change in (other_figure, lambda rows: rows.overrides.clear()):
        with pytest.raises(EngineersFigureError, match="Only an engineer"):
            save(office, change)
    assert seen(case) == before
    assert [row.value for row in edited(case).overrides] == [950, 6_000]
    # What stands there stays while the office saves the rest.
    assert save(office, other_name) == ["premises: name"]
    assert save(engineer, other_figure) == ["engineer's figures: voltage_rise.power_factor: value"]
    assert edited(case).overrides[0].value == 900
    site = assessor().site(json.dumps(with_electrical_facts(DEMOS[1])))
    with pytest.raises(EngineersFigureError):
        import_premises(site, by=office)
    assert Premises.objects.count() == 1


def test_what_an_import_leaves_out_is_named():
    # Rows keep how many premises are near by, and always as typed.
    nearby = {"premises": 0, "origin": "found"}
    site = assessor().site(json.dumps(json.loads(demo("11")) | {"nearby": nearby}))
    case = import_premises(site, by=None)
    assert not_kept(site, case.design) == ["nearby.origin"]


def test_creating_makes_premises_design_application_and_event():
    person = make_person()
    case = make_premises(by=person)
    assert case.design.is_proposal
    assert case.design.name == ""
    assert case.application.reference == case.premises.reference
    (event,) = Event.objects.filter(subject_key=case.premises.key)
    assert (event.act, event.actor_key) == ("premises.created", person.key)


def test_a_reference_is_given_once():
    case = make_premises()
    with pytest.raises(ReferenceTakenError, match="give this one its own"):
        make_premises(reference=case.premises.reference)
    assert Premises.objects.count() == 1


def test_saving_changes_what_changed_and_logs_no_personal_value():
    case = make_premises()
    rows = edited(case)
    keys = [unit.key for unit in rows.proposed.units]
    rows.premises.postcode = "ZZ9 9ZZ"
    rows.proposed.units[0].rated_w = 3500
    rows.proposed.units.append(Unit(label="pv-9", source="pv", rated_w=1000, phases="L1"))
    before = seen(case)
    changes = save_sheet(design=case.design, rows=rows, seen=before, by=None)
    assert changes == [
        "premises: postcode",
        "proposed units: pv-1: rated_w",
        "proposed units: pv-9 added",
    ]
    assert seen(case) == Seen(before.premises + 1, before.design + 1)
    event = Event.objects.filter(act="premises.saved").get()
    # A technical fact is told old and new, a personal one by its name alone.
    values = {"proposed units: pv-1: rated_w": [3600, 3500]}
    assert event.data == {"fields": changes, "values": values}
    assert "ZZ9" not in str(event.data)
    again = edited(case)
    assert [unit.key for unit in again.proposed.units][:2] == keys
    assert [unit.rated_w for unit in again.proposed.units] == [3500, 3600, 1000]


def test_saving_what_is_there_already_changes_nothing():
    case = make_premises()
    before = seen(case)
    assert save_sheet(design=case.design, rows=edited(case), seen=before, by=None) == []
    assert seen(case) == before
    assert not Event.objects.filter(act="premises.saved").exists()


def test_rows_left_out_are_deleted_and_labels_may_be_swapped():
    case = make_premises()
    rows = edited(case)
    one, two = rows.proposed.units
    one.label, two.label = two.label, one.label
    rows.proposed.cells = []
    save_sheet(design=case.design, rows=rows, seen=seen(case), by=None)
    again = edited(case)
    assert {unit.label: unit.key for unit in again.proposed.units} == {
        "bat-1": one.key,
        "pv-1": two.key,
    }
    assert again.proposed.cells == []


def test_an_old_version_is_refused_and_changes_nothing():
    case = make_premises()
    old = seen(case)
    rows = edited(case)
    rows.premises.name = "First"
    save_sheet(design=case.design, rows=rows, seen=old, by=None)
    late = edited(case)
    late.premises.name = "Second"
    with pytest.raises(StaleSheetError):
        save_sheet(design=case.design, rows=late, seen=old, by=None)
    case.premises.refresh_from_db()
    assert case.premises.name == "First"
    assert Event.objects.filter(act="premises.saved").count() == 1


def test_the_application_follows_a_new_reference():
    case, other = make_premises(), make_premises()
    rows = edited(case)
    rows.premises.reference = "Renamed"
    save_sheet(design=case.design, rows=rows, seen=seen(case), by=None)
    assert Application.objects.get(pk=case.application.pk).reference == "Renamed"
    rows = edited(case)
    rows.premises.reference = other.premises.reference
    with pytest.raises(ReferenceTakenError):
        save_sheet(design=case.design, rows=rows, seen=seen(case), by=None)
    case.premises.refresh_from_db()
    assert case.premises.reference == "Renamed"


def test_units_that_go_and_units_that_stay():
    site = assessor().site(demo("12"))
    case = import_premises(site, by=None)
    assert Removal.objects.filter(design=case.design).count() == 1
    rows = edited(case)
    assert plain_from(rows)["units"][0]["status"] == "removed"
    rows.removed = set()
    assert save_sheet(design=case.design, rows=rows, seen=seen(case), by=None) == [
        "existing units: old-1 stays"
    ]
    assert plain_from(rows_for(case.premises, case.design))["units"][0]["status"] == "existing"


def test_what_sits_behind_a_unit_that_goes_goes_with_it():
    case = import_premises(assessor().site(demo("07")), by=None)
    rows = edited(case)
    rows.removed = {rows.existing.units[0].key}
    plain = plain_from(rows)
    assert [array["status"] for array in plain["arrays"]] == ["removed"]


def test_a_copy_is_equipped_alike_with_keys_of_its_own():
    case = import_premises(assessor().site(demo("12")), by=None)
    copy = copy_design(design=case.design, name="With a limit", by=None)
    case.design.refresh_from_db()
    assert (case.design.name, copy.name, copy.is_proposal) == ("Design 1", "With a limit", False)
    old, new = rows_for(case.premises, case.design), rows_for(case.premises, copy)
    assert plain_from(old) == plain_from(new)
    assert {u.key for u in old.proposed.units}.isdisjoint(u.key for u in new.proposed.units)
    assert old.removed == new.removed
    with pytest.raises(NameTakenError):
        copy_design(design=case.design, name="with A limit", by=None)
    assert free_name(case.premises) == "Design 3"


def test_choosing_a_design_moves_the_application_line():
    case = make_premises()
    copy = copy_design(design=case.design, name="Other", by=None)
    choose_design(design=copy, by=None)
    case.refresh_from_db()
    copy.refresh_from_db()
    case.premises.designs.get(is_proposal=True)
    assert case.design == copy
    assert copy.is_proposal
    events = Event.objects.filter(act="design.chosen").count()
    choose_design(design=copy, by=None)
    assert Event.objects.filter(act="design.chosen").count() == events


def test_rows_of_many_designs_take_no_more_queries(django_assert_num_queries):
    designs = [make_premises().design for _ in range(5)]
    with django_assert_num_queries(15):
        found = rows_of_designs(designs)
    assert [len(found[design.pk].proposed.units) for design in designs] == [2] * 5


def test_drafts_are_kept_replaced_and_dropped():
    person, other = make_person(), make_person()
    page = "sheet/x"
    keep_draft(person=person, page=page, content={"a": ["1"]}, seen={}, visit="v1")
    keep_draft(person=person, page=page, content={"a": ["2"]}, seen={"premises": 1}, visit="v1")
    kept = draft_of(person, page)
    assert kept is not None
    assert (kept.content, kept.seen) == ({"a": ["2"]}, {"premises": 1})
    assert draft_of(other, page) is None
    drop_draft(person=person, page=page, visit="v1")
    assert draft_of(person, page) is None


def test_what_a_page_sends_after_its_own_save_is_no_draft():
    person = make_person()
    drop_draft(person=person, page="sheet/x", visit="v1")
    late = keep_draft(person=person, page="sheet/x", content={"a": ["1"]}, seen={}, visit="v1")
    assert late is None
    assert draft_of(person, "sheet/x") is None
    assert keep_draft(person=person, page="sheet/x", content={"a": ["1"]}, seen={}, visit="v2")


def test_hostile_text_can_be_kept():
    """JSON columns of PostgreSQL take no NUL; what arrives is cleaned of it at the door."""
    from django.http import QueryDict

    from sites.premises.forms.posted import posted_sheet

    posted = posted_sheet(QueryDict("a%00b=c%00d&seen-premises=x&visit=%00"))
    assert posted.raw == {"a\ufffdb": ["c\ufffdd"]}
    assert posted.seen == Seen(0, 0)
    person = make_person()
    kept = keep_draft(person=person, page="p", content=posted.raw, seen={}, visit=posted.visit)
    assert Draft.objects.get(pk=kept.pk).content == posted.raw  # type: ignore[union-attr]


def test_rows_of_a_file_are_not_saved():
    rows_from_site(assessor().site(demo("01")))
    assert Premises.objects.count() == 0
