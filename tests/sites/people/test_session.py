"""What an ended session and an old token look like to each kind of request."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.sites.making import make_person

pytestmark = pytest.mark.django_db

OURS = {"HTTP_ORIGIN": "http://testserver"}


@pytest.fixture
def strict():
    """A browser that keeps cookies, and a server that asks for tokens."""
    return Client(enforce_csrf_checks=True)


def test_a_page_is_sent_to_sign_in_and_comes_back(client):
    answer = client.get("/?q=kestrel")
    assert answer.status_code == 302
    assert answer["Location"] == "/sign-in/?next=/%3Fq%3Dkestrel"


def test_htmx_is_told_in_plain_text(client):
    answer = client.get("/", HTTP_HX_REQUEST="true")
    assert answer.status_code == 401
    assert answer["HX-Trigger"] == "signed-out"
    assert answer["Content-Type"].startswith("text/plain")
    assert "no-store" in answer["Cache-Control"]


def test_a_form_is_kept_on_a_page_to_be_sent_again(client):
    sent = {"reference": 'FH-1 "<b>"', "rows": ["one", "two\nlines"], "password": "secret words"}
    answer = client.post("/?x=1", sent)
    page = answer.content.decode()

    assert answer.status_code == 401
    assert 'action="/?x=1"' in page
    assert 'name="reference" value="FH-1 &quot;&lt;b&gt;&quot;"' in page
    assert 'name="rows" value="one"' in page
    assert 'name="rows" value="two\nlines"' in page
    assert "secret words" not in page
    assert "Sign in in a new window" in page


def test_an_old_token_gives_the_form_back_to_our_own_page_only(strict):
    strict.force_login(make_person())
    strict.get("/")  # sets the token's cookie

    ours = strict.post("/", {"reference": "FH-1", "csrfmiddlewaretoken": "old"}, **OURS)
    assert ours.status_code == 403
    assert 'name="reference" value="FH-1"' in ours.content.decode()

    # A page from elsewhere must not get its form made ours.
    for origin in ({"HTTP_ORIGIN": "http://evil.example"}, {"HTTP_ORIGIN": "null"}, {}):
        foreign = strict.post("/", {"reference": "FH-1", "csrfmiddlewaretoken": "old"}, **origin)
        assert foreign.status_code == 403
        assert "FH-1" not in foreign.content.decode()


def test_an_old_token_of_htmx_is_said_in_a_header(strict):
    strict.force_login(make_person())
    answer = strict.post("/", {}, HTTP_HX_REQUEST="true", **OURS)
    assert answer.status_code == 403
    assert answer["Meterside-Refused"] == "token"


def test_an_old_token_on_the_sign_in_page_does_not_give_the_password_back(strict):
    answer = strict.post(
        reverse("sign-in"), {"username": "a@b.example", "password": "secret words"}, **OURS
    )
    assert answer.status_code == 403
    assert "secret words" not in answer.content.decode()


def test_a_fresh_token_opens_what_the_old_one_did_not(strict):
    person = make_person()
    strict.force_login(person)
    answer = strict.get(reverse("fresh-token"))

    assert answer["Meterside-Person"] == str(person.key)
    assert "no-store" in answer["Cache-Control"]
    token = answer.content.decode()
    assert strict.post(reverse("sign-out"), {}, HTTP_X_CSRFTOKEN=token).status_code == 302


def test_no_token_for_nobody(client):
    assert client.get(reverse("fresh-token")).status_code == 401
