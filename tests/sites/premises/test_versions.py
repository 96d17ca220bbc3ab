"""What an act leaves of pages that are open elsewhere: versions, visits and references."""

import pytest

from sites.cases.models import Application
from sites.designs.writing.designs import choose_design, copy_design
from sites.premises.reading.drafts import draft_of
from sites.premises.reading.site_rows import rows_for
from sites.premises.writing.drafts import drop_draft, keep_draft
from sites.premises.writing.sheet import Seen, save_sheet
from tests.sites.making import make_pack, make_person, make_premises

pytestmark = pytest.mark.django_db


def version(row):
    row.refresh_from_db()
    return row.version


def test_choosing_a_design_raises_both_designs_and_the_premises():
    case = make_premises()
    other = copy_design(design=case.design, name="Other", by=None)
    rows = (case.premises, case.design, other)
    before = [version(row) for row in rows]
    choose_design(design=other, by=None)
    assert [version(row) for row in rows] == [number + 1 for number in before]


def test_copying_a_design_raises_the_premises():
    case = make_premises()
    before = version(case.premises)
    copy_design(design=case.design, name="Other", by=None)
    assert version(case.premises) == before + 1


def test_a_visit_stays_ended_while_other_pages_are_saved():
    person = make_person()
    drop_draft(person=person, page="sheet/x", visit="v1")
    drop_draft(person=person, page="sheet/y", visit="v2")
    late = keep_draft(person=person, page="sheet/x", content={"a": ["1"]}, seen={}, visit="v1")
    assert late is None
    assert draft_of(person, "sheet/x") is None


def test_an_application_that_has_issued_keeps_its_reference():
    case = make_premises()
    make_pack(case, by=make_person("engineer"))
    reference = case.application.reference
    case.premises.refresh_from_db()
    case.design.refresh_from_db()
    rows = rows_for(case.premises, case.design)
    rows.premises.reference = "Renamed"
    seen = Seen(case.premises.version, case.design.version)
    save_sheet(design=case.design, rows=rows, seen=seen, by=None)
    case.premises.refresh_from_db()
    assert case.premises.reference == "Renamed"
    assert Application.objects.get(pk=case.application.pk).reference == reference
