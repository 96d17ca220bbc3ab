"""The pages of signing in, of one's account, of people and of the firm, at both widths."""

import pytest
from django.urls import reverse

from sites.people.writing import end_access, invite_person, save_firm
from tests.sites.making import PASSWORD, make_person, make_premises, small_picture
from tests.sites.people.test_passwords import code_of

pytestmark = [pytest.mark.browser, pytest.mark.looks, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def manager():
    found = make_person("manager", name="Mabel Thorn", password=PASSWORD)
    save_firm(
        {"name": "Harrow Lane Solar (invented)", "email": "office@harrowlane.example"},
        logo=small_picture(size=(300, 90)),
        by=found,
    )
    return found


@pytest.mark.parametrize("width", [1280, 390])
def test_every_page_of_people(window, axe, manager, width):
    invited = invite_person(
        email="a-rather-long-address-of-somebody@fennhaven.example",
        name="Ivy Sedge",
        roles=["installer", "office"],
        by=manager,
    )
    gone = make_person("engineer", name="Gus Teal", password=PASSWORD)
    end_access(person=gone, by=manager)

    page = window(width=width)

    def good(what):
        assert axe(page) == [], what
        assert page.faults == [], what
        assert page.evaluate("document.documentElement.scrollWidth") <= width, what

    for name in ("sign-in", "password-forgotten"):
        page.goto(reverse(name))
        good(name)
    page.goto(reverse("password-set", args=["MQ", "old"]))
    good("an old link")

    page.goto(reverse("sign-in"))
    page.fill("#id_username", manager.email)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_selector("text=Work list")
    for name in ("account", "password-change", "people", "person-invite", "firm"):
        page.goto(reverse(name))
        good(name)
    for person in (manager, invited, gone):
        page.goto(reverse("person", args=[person.key]))
        good(str(person))
    make_premises(by=gone)
    page.goto(reverse("person-hand-over", args=[gone.key]))
    good("cases to hand over")
    page.goto(reverse("person-invite"))
    page.click("text=Invite >> nth=-1")
    page.wait_for_selector("#faults")
    good("nothing typed")
    page.goto(reverse("person", args=[gone.key]))
    page.click("text=Invite again")
    page.wait_for_selector("#link")
    good("a link")
    link = page.input_value("#link")

    page.goto(reverse("mfa_activate_totp"))
    good("a code to set up")
    secret = page.inner_text(".key")
    page.fill("#id_code", code_of(secret))
    page.press("#id_code", "Enter")
    page.wait_for_selector("text=Recovery codes")
    good("recovery codes")
    for name in ("account", "recovery-codes-new", "mfa_deactivate_totp", "account_reauthenticate"):
        page.goto(reverse(name))
        good(name)

    page.click("text=Sign out")
    page.goto(link)
    good("a password to choose")
    page.goto(reverse("sign-in"))
    page.fill("#id_username", manager.email)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_selector("#id_code")
    good("the second step")
    page.fill("#id_code", code_of(secret, 1))
    page.press("#id_code", "Enter")
    page.wait_for_selector("text=Work list")
