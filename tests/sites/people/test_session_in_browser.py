"""A page that stayed open while its session ended loses nothing, in a real browser."""

import pytest
from django.contrib.sessions.models import Session
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template import engines
from django.urls import path

from sites import urls as ours
from sites.people.fetching import person_of
from tests.sites.making import PASSWORD, make_person

PAGE = """{% extends "base.html" %}{% block title %}Sheet{% endblock %}{% block content %}
<h1>Sheet</h1>
<form method="post" action="/save/">{% csrf_token %}
<label for="name">Name</label>
<input id="name" name="name" hx-post="/panel/" hx-trigger="change" hx-target="#panel">
<button name="act" value="keep">Save</button></form>
<div id="panel"></div>{% endblock %}"""

got: list[tuple[str, str, str]] = []


def sheet(request):
    return HttpResponse(engines["django"].from_string(PAGE).render({}, request))


def panel(request):
    got.append(("panel", str(person_of(request)), request.POST["name"]))
    return HttpResponse(f"Typed by {person_of(request)}")


def save(request):
    got.append(("save", request.POST["act"], request.POST["name"]))
    return redirect("/")


urlpatterns = [
    *ours.urlpatterns,
    path("sheet/", sheet),
    path("panel/", panel),
    path("save/", save),
]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.urls(__name__),
]


@pytest.fixture
def ann():
    got.clear()
    return make_person("office", name="Ann Vole", password=PASSWORD)


def type_name(page, words):
    page.fill("#name", words)
    page.press("#name", "Tab")


def sign_in_elsewhere(page, person):
    """Follow the link of the notice and sign in in the window that it opens."""
    with page.expect_popup() as opened:
        page.click("#session-notice a")
    other = opened.value
    other.fill("#id_username", person.email)
    other.fill("#id_password", PASSWORD)
    other.press("#id_password", "Enter")
    other.wait_for_selector("text=Go back to the window that you came from")
    other.close()
    # A headless browser gives no window the focus; this is the event that coming back makes.
    page.evaluate("window.dispatchEvent(new Event('focus'))")


def test_typing_goes_on_after_sign_in_in_another_window(window, ann):
    page = window(ann)
    page.goto("/sheet/")
    type_name(page, "Kestrel")
    page.wait_for_selector("text=Typed by Ann Vole")
    Session.objects.all().delete()

    type_name(page, "Kestrel House")
    page.wait_for_selector("#session-notice >> text=You have been signed out.")
    assert page.input_value("#name") == "Kestrel House"
    assert page.get_attribute("#session-notice", "role") == "alert"

    with page.expect_response(lambda answer: answer.url.endswith("/panel/") and answer.ok):
        sign_in_elsewhere(page, ann)
    page.wait_for_selector("#session-notice >> text=You are signed in again")
    assert got[-1] == ("panel", "Ann Vole", "Kestrel House")
    assert page.url.endswith("/sheet/")
    assert page.faults == []


def test_an_ordinary_form_stays_until_it_can_be_sent(window, live_server, ann):
    page = window(ann)
    page.goto("/sheet/")
    page.fill("#name", "Kestrel House")
    Session.objects.all().delete()

    page.click("text=Save")
    page.wait_for_selector("#session-notice >> text=You have been signed out.")
    assert page.url.endswith("/sheet/")
    assert ("save", "keep", "Kestrel House") not in got

    sign_in_elsewhere(page, ann)
    page.wait_for_url(f"{live_server.url}/")
    # Sent once, with the button that was pressed.
    assert [act for act in got if act[0] == "save"] == [("save", "keep", "Kestrel House")]
    assert page.faults == []


def test_nothing_is_sent_in_the_name_of_somebody_else(window, ann):
    bob = make_person("office", name="Bob Wren", password=PASSWORD)
    page = window(ann)
    page.goto("/sheet/")
    Session.objects.all().delete()
    type_name(page, "Kestrel House")
    page.wait_for_selector("#session-notice >> text=You have been signed out.")

    sign_in_elsewhere(page, bob)

    page.wait_for_selector("#session-notice >> text=Somebody else is signed in now.")
    assert got == []
    assert page.input_value("#name") == "Kestrel House"


def test_a_token_that_grew_old_is_renewed_without_a_word(window, ann):
    page = window(ann)
    page.goto("/sheet/")
    # Signing in somewhere else in the same browser changes the token.
    page.evaluate("document.body.setAttribute('hx-headers', '{\"X-CSRFToken\": \"old\"}')")
    page.evaluate("document.querySelector('input[name=csrfmiddlewaretoken]').value = 'old'")

    type_name(page, "Kestrel House")
    page.wait_for_selector("text=Typed by Ann Vole")
    assert page.inner_text("#session-notice") == ""


def test_a_server_that_is_away_is_said_and_nothing_is_lost(window, live_server, ann):
    page = window(ann)
    page.goto("/sheet/")
    page.context.set_offline(True)
    type_name(page, "Kestrel House")
    page.wait_for_selector("#session-notice >> text=The server cannot be reached.")
    page.click("text=Save")
    assert page.url.endswith("/sheet/")

    page.context.set_offline(False)  # what waits is sent again by itself
    page.wait_for_url(f"{live_server.url}/")
    assert ("save", "keep", "Kestrel House") in got


@pytest.mark.parametrize("width", [1280, 360])
def test_the_notice_has_no_faults_for_assistive_technology(window, axe, ann, width):
    page = window(ann, width=width)
    page.goto("/sheet/")
    Session.objects.all().delete()
    type_name(page, "Kestrel House")
    page.wait_for_selector("#session-notice >> text=You have been signed out.")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_without_scripts_the_form_comes_back_on_a_page(chromium, live_server, ann):
    """The way round: no script at all, so the server keeps what was typed."""
    from tests.sites.conftest import session_cookie

    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    context.add_cookies([session_cookie(ann, live_server.url)])
    page = context.new_page()
    page.goto("/sheet/")
    page.fill("#name", "Kestrel House")
    Session.objects.all().delete()
    page.click("text=Save")
    assert page.inner_text("h1") == "Not sent yet"

    with page.expect_popup() as opened:
        page.click("text=Sign in in a new window")
    opened.value.fill("#id_username", ann.email)
    opened.value.fill("#id_password", PASSWORD)
    opened.value.press("#id_password", "Enter")
    opened.value.wait_for_selector("text=Go back to the window")

    page.click("text=Send it again")  # its token is from before sign-in: asked once more
    assert page.inner_text("h1") == "Not sent yet"
    page.click("text=Send it again")
    assert got[-1] == ("save", "keep", "Kestrel House")
    context.close()
