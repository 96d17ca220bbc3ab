"""`manage.py add_person`, and loading the demo twice."""

import io

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from connections.documents.comparison import comparison_html
from connections.documents.html import pack_html
from sites.cases.models import Application
from sites.designs.reading.comparison import comparison_of
from sites.designs.reading.side_by_side import side_by_side
from sites.desk.writing.demonstration import PASSWORD, PEOPLE, load_demo
from sites.energy.models import EnergyInputs
from sites.house.models import Event, Work
from sites.house.models.work import YEAR
from sites.packs.reading.packs import draft_of
from sites.people.models import Firm, Person
from sites.premises.models import Premises
from tests.connections.documents.reading import machine_words, text_of

pytestmark = pytest.mark.django_db


def add(monkeypatch: pytest.MonkeyPatch, password: str, *args: str) -> str:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    out = io.StringIO()
    call_command("add_person", *args, stdout=out)
    return out.getvalue()


def test_a_person_is_made_and_logged(monkeypatch: pytest.MonkeyPatch) -> None:
    said = add(
        monkeypatch,
        "a long invented password",
        "ada@firm.example",
        "--name",
        "Ada Vole",
        "--role",
        "engineer",
    )
    person = Person.objects.get()
    assert said.strip() == "Ada Vole can sign in as ada@firm.example."
    assert person.is_engineer
    assert person.check_password("a long invented password")
    assert [event.act for event in Event.objects.all()] == ["person.created"]


@pytest.mark.parametrize(
    ("password", "email", "says"),
    [("short", "ada@firm.example", "too short"), ("a long invented password", "ada", "mail")],
)
def test_a_bad_person_is_refused_in_one_line(
    monkeypatch: pytest.MonkeyPatch, password: str, email: str, says: str
) -> None:
    with pytest.raises(CommandError, match=says):
        add(monkeypatch, password, email, "--name", "Ada Vole", "--role", "office")
    assert not Person.objects.exists()


def test_the_demo_is_loaded_once() -> None:
    assert load_demo() == (4, 12)
    assert load_demo() == (0, 0)
    # One site lacks facts for a year, and one has two designs.
    assert EnergyInputs.objects.count() == 11
    assert Work.objects.filter(kind=YEAR).count() == 12
    assert (Firm.objects.count(), Premises.objects.count()) == (1, 12)
    assert Application.objects.count() == 12
    assert Person.objects.filter(email=PEOPLE[1][0]).get().is_engineer
    assert Person.objects.get(email=PEOPLE[0][0]).check_password(PASSWORD)
    for application in Application.objects.all():
        pack = draft_of(application).pack
        assert pack is not None
        assert machine_words(text_of(pack_html(pack))) == [], application.reference
    for premises in Premises.objects.all():
        page = comparison_html(comparison_of(side_by_side(premises, ""), ()))
        assert machine_words(text_of(page)) == [], premises.reference


def firm(*args: str) -> str:
    out = io.StringIO()
    call_command("firm", *args, stdout=out)
    return out.getvalue()


def test_the_firm_is_set_changed_and_shown() -> None:
    with pytest.raises(CommandError, match="There is no firm yet"):
        firm()
    firm("--name", "Vole Solar (invented)", "--address", r"1 Dyke\nFennhaven")
    said = firm("--email", "office@vole.example")
    assert "Vole Solar (invented)" in said
    assert Firm.objects.get().address == "1 Dyke\nFennhaven"
    assert [event.act for event in Event.objects.all()] == ["firm.saved"] * 2
    with pytest.raises(CommandError, match="Nothing was kept"):
        firm("--email", "no address")
    assert Firm.objects.get().email == "office@vole.example"
