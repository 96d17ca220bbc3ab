"""Pages for what is not there, not allowed, or went wrong: words, and no traceback."""

import os
import subprocess
import sys

import pytest
from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.test import Client, RequestFactory, override_settings
from django.urls import path, reverse

from sites import urls as ours
from sites.people.fetching import engineer_of
from tests.sites.making import make_person


def breaks(_request):
    raise RuntimeError("a secret of the inside")


def for_engineers(request):
    engineer_of(request)


urlpatterns = [*ours.urlpatterns, path("breaks/", breaks), path("for-engineers/", for_engineers)]
handler400, handler403 = ours.handler400, ours.handler403
handler404, handler500 = ours.handler404, ours.handler500

pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]

HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def office(client):
    client.force_login(make_person())
    client.raise_request_exception = False
    return client


@pytest.mark.parametrize(
    ("address", "code", "says"),
    [
        ("/no/such/page/", 404, "There is nothing at this address"),
        ("/for-engineers/", 403, "Only an engineer may do this."),
        ("/breaks/", 500, "It was not your typing"),
    ],
)
def test_trouble_is_said_in_words(office, address, code, says):
    answer = office.get(address)
    assert answer.status_code == code
    page = answer.content.decode()
    assert says in page
    assert "<main" in page
    assert "Traceback" not in page
    assert "secret of the inside" not in page


@pytest.mark.parametrize(("address", "code"), [("/no/such/", 404), ("/for-engineers/", 403)])
def test_htmx_gets_a_sentence(office, address, code):
    answer = office.get(address, **HTMX)
    assert answer.status_code == code
    assert answer["Content-Type"].startswith("text/plain")
    assert "<" not in answer.content.decode()


def test_a_stranger_sees_nothing_of_the_inside(client):
    page = client.get("/no/such/page/").content.decode()
    assert "Sign out" not in page


def test_more_boxes_than_a_page_sends_are_refused():
    # With the token asked for, as a browser would meet it: the boxes are read to find it.
    strict = Client(enforce_csrf_checks=True, raise_request_exception=False)
    strict.force_login(make_person())
    strict.get("/")
    with override_settings(DATA_UPLOAD_MAX_NUMBER_FIELDS=100):
        answer = strict.post("/", {f"box-{i}": "" for i in range(101)})
    assert answer.status_code == 400
    assert "more than a page of Meterside sends" in answer.content.decode()


def test_no_page_without_the_policy_on_content(office):
    for address in ("/", "/no/such/", "/breaks/", "/for-engineers/", reverse("sign-in")):
        policy = office.get(address)["Content-Security-Policy"]
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy


def test_the_token_page_is_the_one_of_the_settings():
    # Django calls it by name, so a wrong name would only be found when it is needed.
    client = Client(enforce_csrf_checks=True)
    answer = client.post(reverse("sign-in"), {})
    assert answer.status_code == 403
    assert "That was not taken" in answer.content.decode()


def test_a_person_is_told_which_role_it_takes():
    request = RequestFactory().get("/")
    request.user = make_person("office")
    with pytest.raises(PermissionDenied, match="Only an engineer"):
        engineer_of(request)


@pytest.mark.parametrize("debug", ["on", "off"])
def test_what_goes_wrong_leaves_its_traceback_once_on_standard_error(tmp_path, debug):
    """In a process of its own, since the handler holds the standard error of its start."""
    code = (
        "import django; django.setup()\n"
        "from django.core.handlers.exception import response_for_exception\n"
        "from django.test import RequestFactory\n"
        "try: raise RuntimeError('broken inside')\n"
        "except RuntimeError as fault:\n"
        "    answer = response_for_exception(RequestFactory().get('/breaks/'), fault)\n"
        "print(answer.status_code)\n"
    )
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "sites.settings",
        "DATABASE_URL": f"sqlite:///{tmp_path / 'none.sqlite3'}",
        "DEBUG": debug,
        "METERSIDE_DEMO": "on",
    }
    ended = subprocess.run(
        [sys.executable, "-c", code], env=environment, cwd=settings.ROOT, text=True,
        capture_output=True, check=True,
    )  # fmt: skip
    assert ended.stdout.strip() == "500"
    assert ended.stderr.count("Internal Server Error: /breaks/") == 1
    assert ended.stderr.count("RuntimeError: broken inside") == 1
    assert "Traceback (most recent call last)" in ended.stderr
