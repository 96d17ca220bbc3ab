"""The work list says what stands beside a case: typing, its last pack, a change of rules."""

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.desk.reading.work import with_beside
from sites.packs.models import FrozenPack
from sites.premises.models import Cap, Draft, Premises
from sites.premises.reading.site_rows import rows_for
from sites.premises.writing.caps import add_cap, remove_cap
from sites.premises.writing.sheet import Seen, save_sheet
from sites.review.reading.case_list import listed
from tests.sites.making import home, make_pack_row, make_person, make_premises

# Each database puts rows in order in its own way.
pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def office():
    return make_person("office")


@pytest.fixture
def engineer():
    return make_person("engineer")


def beside(case):
    (row,) = with_beside(listed([case.pk]))
    return row.beside


def save_name(case, name, by):
    """Save the sheet with another name of the premises."""
    premises = Premises.objects.get(pk=case.premises.pk)
    rows = rows_for(Premises.objects.get(pk=case.premises.pk), case.design)
    case.design.refresh_from_db()
    rows.premises.name = name
    seen = Seen(premises.version, case.design.version)
    save_sheet(design=case.design, rows=rows, seen=seen, by=by)


def test_unsaved_typing_is_said_with_the_name(office):
    case = make_premises()
    Draft.objects.create(person=office, page=f"sheet/{case.design.key}", changed_at=timezone.now())

    assert beside(case) == (f"{office.name} has unsaved typing",)


def test_an_issued_pack_is_printing_then_issued_then_changed(office, engineer):
    case = make_premises(by=office)
    pack = make_pack_row(case, by=engineer, revision=2, printed=False)
    assert beside(case) == ("Revision 2 is being printed",)

    FrozenPack.objects.filter(pk=pack.pk).update(print_fault="no room on the disk")
    assert beside(case) == ("Revision 2 could not be printed",)

    FrozenPack.objects.filter(pk=pack.pk).update(print_fault="", pdf_sha256="0" * 64)
    assert beside(case) == ("Revision 2 issued",)

    save_name(case, "Another name", office)
    assert beside(case) == ("Changed since revision 2 was issued",)


def test_a_cap_set_or_lifted_after_issuing_makes_the_pack_out_of_date(office, engineer):
    case = make_premises(by=office)
    make_pack_row(case, by=engineer)
    cap = Cap(on="export", value=1, basis="w_total")
    cap = add_cap(premises=case.premises, cap=cap, by=engineer)
    assert beside(case) == ("Changed since revision 1 was issued",)

    make_pack_row(case, by=engineer, revision=2)
    assert beside(case) == ("Revision 2 issued",)
    remove_cap(cap=cap, by=engineer)
    assert beside(case) == ("Changed since revision 2 was issued",)


def test_an_empty_list_says_what_to_do_first(client, office):
    client.force_login(office)

    assert "There are no premises yet" in client.get(reverse("work-list")).text


def test_a_name_is_text_not_markup(client, office):
    parties = home()["parties"] | {"customer": {"name": "<img src=x>"}}
    make_premises(reference="<script>alert(1)</script>", parties=parties)
    client.force_login(office)

    page = client.get(reverse("work-list")).text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert "&lt;img src=x&gt;" in page
    assert "<img" not in page


def test_a_new_sheet_begun_is_offered_to_whoever_began_it(client, office, engineer):
    Draft.objects.create(person=office, page="premises/new", changed_at=timezone.now())

    client.force_login(office)
    assert "You began a new premises" in client.get(reverse("work-list")).text
    client.force_login(engineer)
    assert "You began a new premises" not in client.get(reverse("work-list")).text
