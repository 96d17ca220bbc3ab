"""Premises that begin from site files, and designs saved as them: what went in comes out."""

import json
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from connections.facts.reading import read_site
from sites.house.models import Event
from sites.premises.models import OVERRIDABLE, Premises, Unit
from sites.premises.reading.site_rows import plain_from, rows_for, site_from
from sites.premises.writing.importing import not_kept
from sites.premises.writing.site_files import import_site_file
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db

DEMO = sorted((Path(__file__).parents[3] / "sites" / "desk" / "demonstration").glob("*.json"))
ADDRESS = "/premises/import/"


@pytest.fixture
def office(client):
    person = make_person()
    client.force_login(person)
    return person


def send(client, *contents):
    files = [
        SimpleUploadedFile(f"site-{number}.json", content, "application/json")
        for number, content in enumerate(contents, start=1)
    ]
    return client.post(ADDRESS, {"chosen": files})


def file_of(**changes):
    return json.dumps(home(**changes)).encode()


def test_the_page_has_a_box_for_files(client, office):
    words = client.get(ADDRESS).content.decode()
    assert '<input type="file" name="chosen"' in words
    assert "multiple" in words


def test_a_file_becomes_a_premises(client, office):
    answer = send(client, file_of(reference="FH-501"))
    words = answer.content.decode()
    assert answer.status_code == 200
    made = Premises.objects.get(reference="FH-501")
    assert "1 premises created" in words
    assert reverse("premises", args=[made.key]) in words
    assert Event.objects.filter(act="premises.created", actor_key=office.key).exists()
    assert "Invented" in client.get(reverse("premises", args=[made.key])).content.decode()


def test_of_several_files_each_is_told_by_itself(client, office):
    there = make_premises()
    good, taken = home(reference="FH-502"), home(reference=there.premises.reference)
    wrong = home(reference="FH-503")
    wrong["units"][0]["rated_w"] = 3.6
    answer = send(client, *(json.dumps(each).encode() for each in (good, taken, wrong)), b"{", b"")
    words = answer.content.decode()
    assert answer.status_code == 422
    assert "1 premises created, 5 files read" in words
    assert Premises.objects.count() == 2
    assert "has this reference already, and was left as it is" in words
    assert f"Open {there.premises}" in words
    assert "<code>units[0].rated_w</code>" in words
    assert "Give a whole number in the unit that the name ends with" in words
    assert words.count("This is not valid JSON") == 2


def test_a_reference_that_is_taken_changes_nothing(client, office):
    there = make_premises()
    before = plain_from(rows_for(there.premises, there.design))
    send(client, file_of(reference=there.premises.reference, units=home()["units"][:1]))
    there.premises.refresh_from_db()
    assert plain_from(rows_for(there.premises, there.design)) == before


def test_no_file_is_said_at_the_box(client, office):
    answer = client.post(ADDRESS, {})
    assert answer.status_code == 422
    assert answer.content.decode().count("Choose at least one site file.") == 2


@pytest.mark.parametrize("number", [51, 150])
def test_too_many_files_are_refused_whole(client, office, number):
    answer = send(client, *([file_of()] * number))
    assert answer.status_code == 422
    assert f"{number} files were sent; send 50 in one go." in answer.content.decode()
    assert not Premises.objects.exists()


def test_files_that_weigh_too_much_are_refused_unread(client, office):
    answer = send(client, *([b" " * 7_000_000] * 3))
    assert answer.status_code == 422
    words = answer.content.decode()
    assert words.count("21.0 MB together; 20 MB are the most. Send fewer of them in one go.") == 2
    assert not Premises.objects.exists()


def test_an_engineers_figure_in_a_file_is_not_the_offices_to_enter(client, office):
    figure = {"key": next(iter(OVERRIDABLE)), "value": 1500, "reason": "Measured."}
    answer = send(client, file_of(overrides=[figure]))
    assert answer.status_code == 422
    assert "<code>overrides</code>" in answer.content.decode()
    assert not Premises.objects.exists()


def test_what_the_sheet_has_no_place_for_is_named(office):
    """Nothing of the demonstration is left out; a party's registration of a customer is."""
    for path in DEMO:
        done = import_site_file(name=path.name, content=path.read_bytes(), by=office)
        assert (done.fault, done.left_out) == ("", ()), path.name


@pytest.mark.parametrize("path", DEMO, ids=[path.stem for path in DEMO])
def test_what_goes_in_comes_out(client, office, path):
    """Saved, given another reference and read in again, nothing differs but the reference."""
    site = read_site(path.read_bytes())
    done = import_site_file(name=path.name, content=path.read_bytes(), by=office)
    assert done.premises is not None
    design = done.premises.designs.get()
    answer = client.get(reverse("design-site-file", args=[design.key]))
    assert answer["Content-Type"] == "application/json"
    assert answer["Content-Disposition"].startswith('attachment; filename="FH-')
    assert not_kept(site, design) == []
    saved = json.loads(answer.content)
    again = import_site_file(
        name="again.json",
        content=json.dumps({**saved, "reference": "FH-999"}).encode(),
        by=office,
    )
    assert again.fault == ""
    assert again.premises is not None
    twin = again.premises.designs.get()
    facts = site_from(rows_for(design.premises, design))
    copied = site_from(rows_for(twin.premises, twin))
    assert read_site(json.dumps({**saved, "reference": "FH-999"})) == copied
    assert facts.units == copied.units


def test_a_design_that_is_no_site_yet_says_what_it_lacks(client, office):
    case = make_premises()
    Unit.objects.all().delete()
    answer = client.get(reverse("design-site-file", args=[case.design.key]), follow=True)
    assert "There is no site file of this yet." in answer.content.decode()


def test_the_ways_to_it(client, office):
    assert ADDRESS in client.get("/").content.decode()  # nothing there yet
    case = make_premises()
    assert ADDRESS in client.get("/").content.decode()
    page = client.get(reverse("premises", args=[case.premises.key])).content.decode()
    assert reverse("design-site-file", args=[case.design.key]) in page


@pytest.mark.parametrize(("lines", "created"), [(60, True), (61, False)])
def test_a_file_may_have_sixty_lines_of_units(lines, created):
    unit = {"source": "pv", "rated_w": 3600, "phases": ["L1"]}
    content = file_of(
        reference="FH-560",
        units=[{"id": f"pv-{number}", **unit} for number in range(lines)],
        storage=[],
    )
    done = import_site_file(name="many.json", content=content, by=make_person())

    assert Premises.objects.filter(reference="FH-560").exists() is created
    assert done.path == ("" if created else "units")
    assert ("61" in done.fault) is not created
