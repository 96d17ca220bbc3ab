"""Making people, with their roles and the event."""

from typing import Any

import pytest

from sites.house.models import Event
from sites.people.models import Person, Role
from sites.people.writing import PersonRefused, create_person
from tests.sites.making import PASSWORD, make_person

pytestmark = pytest.mark.django_db

GOOD: dict[str, Any] = {
    "email": "Ann@Fennhaven.example",
    "name": "Ann Vole",
    "password": PASSWORD,
    "roles": ["office"],
}


def test_a_person_has_roles_and_an_event():
    lead = make_person("engineer")
    person = create_person(**GOOD, by=lead)

    assert person.check_password(PASSWORD)
    assert (person.has_role("office"), person.is_engineer) == (True, False)
    event = Event.objects.get(act="person.created", subject_key=person.key)
    assert event.actor_key == lead.key
    assert event.data == {"roles": ["office"]}


def test_both_roles_are_rows_and_made_once():
    create_person(**{**GOOD, "roles": ["office", "engineer"]}, by=None)
    create_person(**{**GOOD, "email": "bob@fennhaven.example", "roles": ["engineer"]}, by=None)
    assert sorted(Role.objects.values_list("key", flat=True)) == ["engineer", "office"]


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("email", "ann", "valid email"),
        ("name", "  ", "Type the person’s name."),
        ("password", "short", "at least 10 characters"),
        ("password", "password1234", "too common"),
        ("roles", [], "Give the person a role."),
        ("roles", ["owner"], 'There is no role "owner"; use manager, office, engineer, installer.'),
    ],
)
def test_a_bad_value_is_refused_with_its_field(field, value, says):
    with pytest.raises(PersonRefused, match=says) as refused:
        create_person(**{**GOOD, field: value}, by=None)
    assert refused.value.field == field
    assert not Person.objects.exists()
    assert not Event.objects.exists()


def test_an_address_is_taken_whatever_its_case():
    create_person(**GOOD, by=None)
    with pytest.raises(PersonRefused, match="already") as refused:
        create_person(**{**GOOD, "email": "ANN@fennhaven.EXAMPLE"}, by=None)
    assert refused.value.field == "email"
    assert Person.objects.count() == 1
