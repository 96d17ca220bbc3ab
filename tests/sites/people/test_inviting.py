"""Inviting people, their roles, and ending access, by the pages of a manager."""

import re

import pytest
from django.core import mail
from django.urls import reverse

from sites.house.models import Event
from sites.people.models import Person
from sites.people.writing import PersonRefused, change_roles, end_access, invite_person
from tests.sites.making import PASSWORD, make_person

pytestmark = [pytest.mark.django_db, pytest.mark.database]

NEW = {"name": "Ivy Sedge", "email": "Ivy@Fennhaven.example", "roles": ["installer"]}
CHOSEN = "nine dippers on a weir"


@pytest.fixture
def manager():
    return make_person("manager", password=PASSWORD)


@pytest.fixture
def managing(client, manager):
    client.force_login(manager)
    return client


@pytest.fixture
def by_mail(settings):
    settings.MAIL_IS_SET_UP = True
    settings.DEFAULT_FROM_EMAIL = "meterside@firm.example"


def invited(client, **changes):
    return client.post(reverse("person-invite"), {**NEW, **changes})


def link_in(text):
    found = re.search(r"http://testserver(/sign-in/password/\S+?/\S+?/)", text)
    assert found
    return found[1]


def choose(client, link, password=CHOSEN):
    """Open a link as its person does, and choose a password; the answer to that."""
    client.logout()
    page = client.get(link)
    if page.status_code != 302:
        return page
    return client.post(page["Location"], {"new_password1": password})


def test_a_link_is_shown_where_no_mail_is_set_up_and_works_once(managing):
    page = invited(managing)
    link = link_in(page.content.decode())
    assert "no-store" in page["Cache-Control"]
    assert mail.outbox == []

    assert choose(managing, link)["Location"] == reverse("sign-in")
    ivy = Person.objects.get(email="ivy@fennhaven.example")
    assert ivy.check_password(CHOSEN)
    assert ivy.is_installer
    assert [each.act for each in Event.objects.order_by("pk")][-2:] == [
        "person.invited",
        "person.password-set",
    ]
    again = choose(managing, link, "another long password")
    assert "This link no longer works" in again.content.decode()
    assert Person.objects.get(pk=ivy.pk).check_password(CHOSEN)


def test_an_invitation_goes_by_mail(managing, manager, by_mail):
    page = invited(managing).content.decode()
    [sent] = mail.outbox
    assert (sent.to, sent.from_email) == (["ivy@fennhaven.example"], "meterside@firm.example")
    assert str(manager) in sent.body
    # Where the mail has it, the page shows it to nobody.
    link = link_in(sent.body)
    assert link not in page
    assert choose(managing, link).status_code == 302


def test_a_mail_that_no_server_takes_leaves_the_link(managing, by_mail, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    page = invited(managing).content.decode()
    assert "The mail could not be sent" in page
    assert link_in(page)


@pytest.mark.parametrize(
    "email", ["ivy@fennhaven.example", "IVY@FENNHAVEN.EXAMPLE", " Ivy@Fennhaven.example "]
)
def test_an_address_is_invited_once_whatever_its_case(managing, email):
    invited(managing)
    again = invited(managing, email=email)
    assert again.status_code == 422
    assert "Somebody has this e-mail address already." in again.content.decode()
    assert Person.objects.filter(email__iexact="ivy@fennhaven.example").count() == 1


@pytest.mark.parametrize(
    "changes",
    [
        {"name": "Ivy\nBcc: all@evil.example"},
        {"name": "Ivy\r\nBcc: all@evil.example"},
        {"email": "ivy@fennhaven.example\nBcc: all@evil.example"},
        {"email": "ivy@fennhaven.example, all@evil.example"},
    ],
)
def test_no_second_line_gets_into_a_mail(managing, by_mail, changes):
    assert invited(managing, **changes).status_code == 422
    assert mail.outbox == []


def test_an_old_or_taken_back_invitation_does_not_open(managing, manager, settings):
    link = link_in(invited(managing).content.decode())
    settings.PASSWORD_RESET_TIMEOUT = -1
    assert "This link no longer works" in choose(managing, link).content.decode()
    settings.PASSWORD_RESET_TIMEOUT = 3600

    ivy = Person.objects.get(email="ivy@fennhaven.example")
    managing.force_login(manager)
    managing.post(reverse("person-end", args=[ivy.key]))
    assert "This link no longer works" in choose(managing, link).content.decode()

    # Invited again: the new link opens, the old one stays shut.
    managing.force_login(manager)
    second = link_in(managing.post(reverse("person-link", args=[ivy.key])).content.decode())
    assert "This link no longer works" in choose(managing, link).content.decode()
    assert choose(managing, second).status_code == 302


def test_a_weak_password_is_asked_for_again(managing):
    link = link_in(invited(managing).content.decode())
    page = choose(managing, link, "short").content.decode()
    assert "at least 10 characters" in page
    assert choose(managing, link).status_code == 302


def test_ended_access_ends_every_session_at_once(client, manager):
    office = make_person("office", password=PASSWORD)
    other = type(client)()
    for each in (client, other):
        each.post(reverse("sign-in"), {"username": office.email, "password": PASSWORD})
        assert each.get(reverse("work-list")).status_code == 200
    end_access(person=office, by=manager)
    for each in (client, other):
        assert each.get(reverse("work-list")).status_code == 302
    again = client.post(reverse("sign-in"), {"username": office.email, "password": PASSWORD})
    assert again.status_code == 200
    # Nor does an old session wake when access is given again.
    Person.objects.filter(pk=office.pk).update(is_active=True)
    assert other.get(reverse("work-list")).status_code == 302


def test_the_last_manager_stays_one(managing, manager):
    # Somebody who was invited and has no password yet cannot manage.
    invite_person(email="b@fennhaven.example", name="B", roles=["manager"], by=manager)
    ended = managing.post(reverse("person-end", args=[manager.key]))
    assert ended.status_code == 422
    assert "This is the last manager." in ended.content.decode()
    changed = managing.post(reverse("person-roles", args=[manager.key]), {"roles": ["office"]})
    assert "This is the last manager." in changed.content.decode()

    other = make_person("manager", password=PASSWORD)
    assert managing.post(reverse("person-end", args=[manager.key])).status_code == 302
    with pytest.raises(PersonRefused, match="last manager"):
        change_roles(person=other, roles=["office"], by=other)


def test_roles_are_changed_and_hold_at_the_next_page(managing, manager):
    bob = make_person("office", password=PASSWORD)
    theirs = type(managing)()
    theirs.force_login(bob)
    assert theirs.get(reverse("person-invite")).status_code == 403
    managing.post(reverse("person-roles", args=[bob.key]), {"roles": ["manager", "engineer"]})
    assert theirs.get(reverse("person-invite")).status_code == 200
    empty = managing.post(reverse("person-roles", args=[bob.key]), {})
    assert "Give the person a role." in empty.content.decode()


def test_only_a_manager_acts(manager):
    office = make_person("office")
    with pytest.raises(PersonRefused, match="Only a manager"):
        invite_person(email="c@fennhaven.example", name="C", roles=["office"], by=office)
    with pytest.raises(PersonRefused, match="Only a manager"):
        end_access(person=manager, by=office)


def test_the_list_takes_as_many_queries_for_many(managing, django_assert_max_num_queries):
    for _ in range(12):
        make_person("office")
    # Session, person, roles of the reader, the firm; people and their roles.
    with django_assert_max_num_queries(8):
        page = managing.get(reverse("people")).content.decode()
    assert "13 people" in page
