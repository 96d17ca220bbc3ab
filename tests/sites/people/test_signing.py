"""Signing in by e-mail, the throttle, and signing out."""

import pytest
from django.core.cache import cache
from django.urls import reverse

from sites.people.models import Person
from tests.sites.making import PASSWORD, make_person

pytestmark = pytest.mark.django_db

# settings.AXES_FAILURE_LIMIT
ATTEMPTS = 5


@pytest.fixture(autouse=True)
def _nothing_kept():
    cache.clear()


@pytest.fixture
def ann():
    return make_person("office", name="Ann Vole", password=PASSWORD)


def sign_in(client, email, password=PASSWORD, **more):
    return client.post(reverse("sign-in"), {"username": email, "password": password, **more})


def signed_in(client):
    return "_auth_user_id" in client.session


def test_the_right_password_opens_the_work_list(client, ann):
    assert sign_in(client, ann.email)["Location"] == reverse("work-list")
    assert signed_in(client)


def test_the_case_of_the_address_does_not_matter(client, ann):
    sign_in(client, f" {ann.email.upper()} ")
    assert signed_in(client)


def test_sign_in_goes_on_to_where_one_wanted_to(client, ann):
    wanted = reverse("work-list") + "?state=ready"
    page = client.get(wanted)
    assert page.status_code == 302
    form = client.get(page["Location"]).content.decode()
    assert 'name="next" value="/?state=ready"' in form
    assert sign_in(client, ann.email, next=wanted)["Location"] == wanted


@pytest.mark.parametrize("elsewhere", ["https://evil.example/", "//evil.example/", "javascript:x"])
def test_sign_in_leads_nowhere_else(client, ann, elsewhere):
    assert sign_in(client, ann.email, next=elsewhere)["Location"] == reverse("work-list")


def test_a_refusal_never_says_which_of_the_two_was_wrong(client, ann):
    pages = [
        sign_in(client, ann.email, "wrong wrong wrong").content.decode(),
        sign_in(client, "nobody@fennhaven.example").content.decode(),
    ]
    for page in pages:
        assert "E-mail and password don’t go together" in page
    Person.objects.update(is_active=False)
    gone = sign_in(client, ann.email).content.decode()
    assert "E-mail and password don’t go together" in gone
    assert not signed_in(client)


def test_empty_boxes_are_asked_for_at_the_box(client):
    page = client.post(reverse("sign-in"), {"username": "ann", "password": ""}).content.decode()
    assert 'id="id_username_error"' in page
    assert 'aria-describedby="id_username_error"' in page
    assert "Type an e-mail address, such as" in page
    assert "Type your password." in page
    assert 'value="ann"' in page


def test_wrong_attempts_close_sign_in_for_a_while_and_say_how_long(client, ann):
    for _ in range(ATTEMPTS - 1):
        assert sign_in(client, ann.email, "wrong wrong wrong").status_code == 200
    closed = sign_in(client, ann.email, "wrong wrong wrong")
    assert closed.status_code == 429
    assert closed["Retry-After"] == "900"  # 0.25 h
    assert "closed for 15 minutes" in closed.content.decode()
    assert f'value="{ann.email}"' in closed.content.decode()

    # The right password does not open it either, in whatever case the address is typed.
    assert sign_in(client, ann.email.upper()).status_code == 429
    assert not signed_in(client)


def test_a_colleague_and_another_machine_are_not_closed_out(client, ann):
    bob = make_person("office", password=PASSWORD)
    for _ in range(ATTEMPTS):
        sign_in(client, ann.email, "wrong wrong wrong")

    elsewhere = client.post(
        reverse("sign-in"),
        {"username": ann.email, "password": PASSWORD},
        REMOTE_ADDR="192.0.2.7",
    )
    assert elsewhere.status_code == 302
    client.logout()
    assert sign_in(client, bob.email).status_code == 302


def test_a_right_password_ends_the_count(client, ann):
    for _ in range(2):
        for _ in range(ATTEMPTS - 1):
            sign_in(client, ann.email, "wrong wrong wrong")
        assert sign_in(client, ann.email).status_code == 302
        client.logout()


def test_sign_out_is_a_post(client, ann):
    client.force_login(ann)
    assert client.get(reverse("sign-out")).status_code == 405
    assert signed_in(client)
    page = client.post(reverse("sign-out"), follow=True).content.decode()
    assert not signed_in(client)
    assert "You are signed out." in page


def test_signed_out_already_is_no_trouble(client):
    assert client.post(reverse("sign-out"))["Location"] == reverse("sign-in")


def test_sign_in_from_another_window_says_to_go_back(client, ann):
    answer = client.post(
        reverse("sign-in") + "?back=1", {"username": ann.email, "password": PASSWORD}, follow=True
    )
    assert "Go back to the window that you came from" in answer.content.decode()


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(client, ann):
    sign_in(client, ann.email)
    cookie = client.cookies["sessionid"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
