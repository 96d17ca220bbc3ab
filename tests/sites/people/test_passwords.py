"""Forgotten and new passwords, and one-time codes with recovery codes."""

import base64
import hashlib
import hmac
import re
import struct
import time

import pytest
from allauth.mfa.models import Authenticator
from django.core import mail
from django.urls import reverse

from sites.people.models import Person
from sites.people.writing import forget_code, save_firm
from tests.sites.making import PASSWORD, make_person
from tests.sites.people.test_inviting import CHOSEN, choose, link_in

pytestmark = [pytest.mark.django_db, pytest.mark.database]


@pytest.fixture
def ann():
    return make_person("office", name="Ann Vole", password=PASSWORD)


@pytest.fixture
def by_mail(settings):
    settings.MAIL_IS_SET_UP = True
    settings.DEFAULT_FROM_EMAIL = "meterside@firm.example"


def forget(client, email):
    return client.post(reverse("password-forgotten"), {"email": email})


def sign_in(client, person, password=PASSWORD):
    return client.post(reverse("sign-in"), {"username": person.email, "password": password})


def code_of(secret: str, steps: int = 0) -> str:
    """The code of RFC 6238 for this moment: HMAC-SHA-1 over steps of 30 s, cut as in RFC 4226."""
    counter = struct.pack(">Q", int(time.time()) // 30 + steps)
    digest = hmac.new(base64.b32decode(secret), counter, hashlib.sha1).digest()
    at = digest[-1] & 15
    return f"{(struct.unpack('>I', digest[at : at + 4])[0] & 0x7FFFFFFF) % 10**6:06d}"


def set_up(client) -> tuple[str, list[str]]:
    """Set up a one-time code; its key and the recovery codes."""
    page = client.get(reverse("mfa_activate_totp")).content.decode()
    found = re.search(r'class="key">([A-Z2-7]+)<', page)
    assert found
    assert 'src="data:image/svg+xml;base64,' in page
    done = client.post(reverse("mfa_activate_totp"), {"code": code_of(found[1])}, follow=True)
    return found[1], re.findall(r"<li>(\d{8})</li>", done.content.decode())


def test_a_forgotten_password_is_chosen_anew_by_mail(client, ann, by_mail, words):
    answer = forget(client, ann.email.upper())
    # The answer never says whether the address is known.
    assert words(forget(client, "nobody@fennhaven.example")) == words(answer)
    [sent] = mail.outbox
    assert sent.to == [ann.email]
    assert choose(client, link_in(sent.body)).status_code == 302
    assert Person.objects.get(pk=ann.pk).check_password(CHOSEN)


def test_nothing_is_mailed_to_somebody_whose_access_has_ended(client, ann, by_mail):
    Person.objects.update(is_active=False)
    forget(client, ann.email)
    assert mail.outbox == []


def test_mails_to_one_address_are_few(client, ann, by_mail):
    codes = [forget(client, ann.email).status_code for _ in range(4)]
    assert codes == [200, 200, 200, 429]
    assert len(mail.outbox) == 3


def test_without_mail_the_page_says_whom_to_ask(client, ann):
    assert "Ask a manager of your firm" in forget(client, ann.email).content.decode()


def test_a_new_password_ends_the_other_sessions(client, ann):
    other = type(client)()
    for each in (client, other):
        sign_in(each, ann)
    wrong = client.post(
        reverse("password-change"), {"old_password": "wrong wrong", "new_password1": CHOSEN}
    )
    assert "That is not your password." in wrong.content.decode()
    client.post(reverse("password-change"), {"old_password": PASSWORD, "new_password1": CHOSEN})
    assert client.get(reverse("account")).status_code == 200
    assert other.get(reverse("account")).status_code == 302


def test_a_one_time_code_is_asked_for_after_the_password(client, ann):
    sign_in(client, ann)
    secret, recovery = set_up(client)
    assert len(recovery) == 10
    # Shown once.
    assert recovery[0] not in client.get(reverse("mfa_view_recovery_codes")).content.decode()

    client.logout()
    wanted = reverse("equipment")
    first = client.post(
        reverse("sign-in"), {"username": ann.email, "password": PASSWORD, "next": wanted}
    )
    assert first["Location"] == reverse("mfa_authenticate")
    assert client.get(reverse("work-list")).status_code == 302
    assert (
        "That is not the code"
        in client.post(reverse("mfa_authenticate"), {"code": "000000"}).content.decode()
    )
    # The code of the step before: the one of this step was used when it was set up.
    assert (
        client.post(reverse("mfa_authenticate"), {"code": code_of(secret, -1)})["Location"]
        == wanted
    )
    assert client.get(wanted).status_code == 200


def test_a_code_and_a_recovery_code_open_once(client, ann):
    sign_in(client, ann)
    secret, recovery = set_up(client)
    used = code_of(secret, 1)
    for code in (used, recovery[3]):
        client.logout()
        sign_in(client, ann)
        assert client.post(reverse("mfa_authenticate"), {"code": code}).status_code == 302
        client.logout()
        sign_in(client, ann)
        assert client.post(reverse("mfa_authenticate"), {"code": code}).status_code == 200


def test_codes_cannot_be_tried_on_and_on(client, ann):
    sign_in(client, ann)
    set_up(client)
    client.logout()
    sign_in(client, ann)
    said = [
        client.post(reverse("mfa_authenticate"), {"code": f"00000{number}"}).status_code
        for number in range(6)
    ]
    assert said == [200] * 5 + [429]


def test_a_firm_that_requires_codes_leads_everybody_to_set_one_up(client, ann):
    save_firm({"name": "Harrow Lane Solar (invented)"}, requires_code=True)
    sign_in(client, ann)
    assert client.get(reverse("work-list"))["Location"] == reverse("mfa_activate_totp")
    assert client.post(reverse("premises-new"), {}).status_code == 403
    assert client.get("/", HTTP_HX_REQUEST="true").status_code == 403
    set_up(client)
    assert client.get(reverse("work-list")).status_code == 200
    # The way out is closed too.
    ended = client.post(reverse("mfa_deactivate_totp"))
    assert ended.status_code == 200
    assert Authenticator.objects.filter(user=ann, type="totp").exists()


def test_a_code_is_ended_with_its_recovery_codes(client, ann):
    sign_in(client, ann)
    set_up(client)
    assert (
        "Stop using a one-time code" in client.get(reverse("mfa_deactivate_totp")).content.decode()
    )
    assert client.post(reverse("mfa_deactivate_totp"))["Location"] == reverse("account")
    assert not Authenticator.objects.exists()


def test_new_recovery_codes_take_the_place_of_the_old(client, ann):
    sign_in(client, ann)
    _secret, old = set_up(client)
    client.get(reverse("recovery-codes-new"))
    page = client.post(reverse("recovery-codes-new"), follow=True).content.decode()
    new = re.findall(r"<li>(\d{8})</li>", page)
    assert len(new) == 10
    assert not set(new) & set(old)


def test_later_the_password_is_asked_for_again(client, ann):
    sign_in(client, ann)
    Person.objects.update(last_login="2026-01-01T00:00:00Z")
    asked = client.get(reverse("mfa_activate_totp"))
    assert asked["Location"].startswith(reverse("account_reauthenticate"))
    assert client.get(asked["Location"]).status_code == 200
    assert client.post(asked["Location"], {"password": "wrong wrong"}).status_code == 200
    done = client.post(asked["Location"], {"password": PASSWORD})
    assert done["Location"] == reverse("mfa_activate_totp")
    assert client.get(reverse("mfa_activate_totp")).status_code == 200


def test_a_manager_takes_a_lost_code_away(client, ann):
    sign_in(client, ann)
    set_up(client)
    forget_code(person=ann, by=make_person("manager"))
    client.logout()
    assert sign_in(client, ann)["Location"] == reverse("work-list")
