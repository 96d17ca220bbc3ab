"""Giving a case to an installer, and handing all over when somebody leaves."""

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.cases.models import Case
from sites.cases.writing import give_case, hand_over_all
from sites.house.models import Event
from sites.house.refusals import NotAllowedError, RefusedError
from sites.people.writing import end_access
from sites.premises.models import Draft
from tests.sites.making import PASSWORD, make_person, make_premises

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def manager():
    return make_person("manager", password=PASSWORD)


def test_a_person_leaves_and_nothing_is_lost(client, manager):
    leaving, staying = make_person("office", name="Odile Marsh"), make_person("office")
    cases = [make_premises(by=leaving) for _ in range(3)]
    other = make_premises(by=staying)
    Draft.objects.create(person=leaving, page="premises/new", changed_at=timezone.now())
    before = Event.objects.filter(actor_key=leaving.key).count()
    end_access(person=leaving, by=manager)

    client.force_login(manager)
    address = reverse("person-hand-over", args=[leaving.key])
    assert "3 cases that Odile Marsh owns" in client.get(address).content.decode()
    assert client.post(address, {"to": staying.pk}).status_code == 302

    assert Case.objects.filter(owner=staying).count() == 4
    assert not Case.objects.filter(owner=leaving).exists()
    assert Event.objects.filter(act="case.handed-over", actor_key=manager.key).count() == 3
    # What was done and typed stays under the name of whoever did it.
    assert Event.objects.filter(actor_key=leaving.key, actor="Odile Marsh").count() == before
    assert Draft.objects.filter(person=leaving).count() == 1
    assert {each.pk for each in cases} <= {*Case.objects.values_list("pk", flat=True)}
    assert other.owner == staying


def test_cases_go_to_nobody_who_cannot_sign_in(client, manager):
    leaving, gone = make_person("office"), make_person("office")
    make_premises(by=leaving)
    end_access(person=gone, by=manager)
    with pytest.raises(RefusedError, match="works here no more") as refused:
        hand_over_all(of=leaving, to=gone, by=manager)
    assert refused.value.field == "to"
    with pytest.raises(RefusedError, match="somebody else"):
        hand_over_all(of=leaving, to=leaving, by=manager)
    with pytest.raises(NotAllowedError, match="Only a manager"):
        hand_over_all(of=leaving, to=make_person(), by=leaving)
    client.force_login(manager)
    page = client.post(reverse("person-hand-over", args=[leaving.key]), {"to": gone.pk})
    assert page.status_code == 422
    assert Case.objects.get().owner == leaving


def test_a_case_is_given_to_an_installer_who_then_finds_it(client, manager):
    office, installer = make_person("office"), make_person("installer")
    given, other = make_premises(by=office), make_premises(by=office)
    client.force_login(office)
    address = reverse("case-installer", args=[given.key])
    done = client.post(address, {"installer": installer.pk})
    assert done.status_code == 302

    client.force_login(installer)
    page = client.get(reverse("work-list")).content.decode()
    assert given.premises.reference in page
    assert other.premises.reference not in page
    # Nor does a search find it.
    words = {"q": other.premises.reference}
    assert str(other.premises.key) not in client.get(reverse("work-list"), words).content.decode()
    assert client.get(reverse("premises", args=[given.premises.key])).status_code == 200
    assert client.get(reverse("premises", args=[other.premises.key])).status_code == 404
    # Taken away again, it is gone at the next page.
    give_case(case=given, to=None, by=office)
    assert client.get(reverse("premises", args=[given.premises.key])).status_code == 404


def test_only_an_installer_is_given_a_case_as_installer():
    office = make_person("office")
    case = make_premises(by=office)
    with pytest.raises(RefusedError, match="is no installer") as refused:
        give_case(case=case, to=make_person("engineer"), by=office)
    assert refused.value.field == "installer"
    with pytest.raises(NotAllowedError):
        give_case(case=case, to=None, by=make_person("installer"))
