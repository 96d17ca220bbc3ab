"""Signing in by e-mail, the throttle, and signing out."""

import time

import pytest
from django.urls import NoReverseMatch, reverse

from sites.people.models import Person
from tests.sites.making import PASSWORD, make_person

pytestmark = pytest.mark.django_db

# settings.ACCOUNT_RATE_LIMITS
ATTEMPTS = 5
OF_ONE_MACHINE = 30


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


def wrong(client, email, times=1, **more):
    answers = [
        client.post(reverse("sign-in"), {"username": email, "password": "wrong" * 3}, **more)
        for _ in range(times)
    ]
    return [each.status_code for each in answers]


def test_wrong_attempts_close_sign_in_for_a_while_and_say_how_long(client, ann):
    assert wrong(client, ann.email, ATTEMPTS) == [200] * ATTEMPTS

    # The right password does not open it either, in whatever case the address is typed.
    closed = sign_in(client, ann.email.upper())
    assert closed.status_code == 429
    assert closed["Retry-After"] == "900"  # 15 minutes
    assert "Wait a quarter of an hour" in closed.content.decode()
    assert f'value="{ann.email.upper()}"' in closed.content.decode()
    assert not signed_in(client)


def test_trying_on_keeps_nobody_out_for_longer(client, ann, monkeypatch):
    """Five at 0 s, then one a minute: at 901 s the first five are older than 15 minutes."""
    start = time.time()
    now = [start]
    monkeypatch.setattr("allauth.core.internal.ratelimit.time.time", lambda: now[0])
    wrong(client, ann.email, ATTEMPTS)
    for minute in range(1, 15):
        now[0] = start + 60 * minute
        assert sign_in(client, ann.email).status_code == 429
    now[0] = start + 901
    assert sign_in(client, ann.email).status_code == 302


def test_one_password_over_many_addresses_is_slowed(client, ann):
    for number in range(OF_ONE_MACHINE):
        assert wrong(client, f"nobody{number}@fennhaven.example") == [200]
    assert wrong(client, "one-more@fennhaven.example") == [429]
    assert sign_in(client, ann.email).status_code == 429
    # Another machine goes on.
    assert wrong(client, "one-more@fennhaven.example", REMOTE_ADDR="192.0.2.7") == [200]


def test_trying_on_while_closed_does_not_close_the_whole_machine(client, ann):
    """A person who goes on trying must not use up what colleagues behind the same address have."""
    wrong(client, ann.email, ATTEMPTS + OF_ONE_MACHINE)
    assert wrong(client, "bob@fennhaven.example") == [200]


def test_behind_the_trusted_proxy_the_person_counts(client, ann, settings):
    settings.TRUSTED_PROXY = "192.0.2.1"
    here = {"REMOTE_ADDR": "192.0.2.1", "HTTP_X_FORWARDED_FOR": "203.0.113.9, 198.51.100.1"}
    there = {"REMOTE_ADDR": "192.0.2.1", "HTTP_X_FORWARDED_FOR": "203.0.113.9, 198.51.100.2"}
    wrong(client, ann.email, ATTEMPTS, **here)
    assert wrong(client, ann.email, **here) == [429]
    assert wrong(client, ann.email, **there) == [200]
    # What a person writes into the header himself is not read, nor is another proxy believed.
    lies = {"REMOTE_ADDR": "192.0.2.1", "HTTP_X_FORWARDED_FOR": "10.9.8.7, 198.51.100.1"}
    assert wrong(client, ann.email, **lies) == [429]
    for number in range(ATTEMPTS + 1):
        said = {"REMOTE_ADDR": "192.0.2.8", "HTTP_X_FORWARDED_FOR": f"198.51.100.{number + 10}"}
        last = wrong(client, ann.email, **said)
    assert last == [429]


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


def test_a_right_password_counts_nothing(client, ann):
    for _ in range(2 * ATTEMPTS):
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


def test_no_copy_is_kept_of_what_stands_behind_sign_in(client, ann):
    client.force_login(ann)
    for name in ("work-list", "account", "equipment", "sign-in", "password-forgotten"):
        assert "no-store" in client.get(reverse(name))["Cache-Control"], name


def test_nobody_signs_up_and_no_page_of_the_library_is_open():
    """Only what we name is there: allauth's own addresses, sign-up among them, have no route."""
    for name in ("account_signup", "account_email", "account_reset_password", "mfa_index"):
        with pytest.raises(NoReverseMatch):
            reverse(name)
