"""The log holds one line of JSON for each entry, and no traceback for what strangers send."""

import json
import logging
import sys

import pytest
from django.conf import settings

from sites.house.logs import JsonLines

pytestmark = pytest.mark.django_db


@pytest.fixture
def logged(monkeypatch):
    """The lines that requests leave, as the server writes them."""
    lines: list[str] = []

    class Kept(logging.Handler):
        def emit(self, record):
            lines.append(self.format(record))

    handler = Kept(level="ERROR")
    handler.setFormatter(JsonLines())
    logger = logging.getLogger("django")
    logger.addHandler(handler)
    yield lines
    logger.removeHandler(handler)


def test_a_foreign_host_leaves_a_line_without_a_traceback(client, logged, settings):
    settings.ALLOWED_HOSTS = ["testserver"]
    answer = client.get("/sign-in/", headers={"host": "elsewhere.example"})
    assert answer.status_code == 400
    (entry,) = [json.loads(line) for line in logged]
    assert "trace" not in entry
    assert entry["request"] == answer["Request-Id"]
    assert entry["logger"] == "django.security.DisallowedHost"


def test_too_many_boxes_leave_a_line_without_a_traceback(client, logged):
    boxes = {f"box-{number}": "" for number in range(settings.DATA_UPLOAD_MAX_NUMBER_FIELDS + 1)}
    answer = client.post("/sign-in/", boxes)
    assert answer.status_code == 400
    assert all("trace" not in json.loads(line) for line in logged)


def test_a_head_with_a_body_is_answered(client, logged):
    answer = client.generic("HEAD", "/sign-in/", b"a=1" * 1000, "application/x-www-form-urlencoded")
    assert answer.status_code == 200
    assert logged == []


def test_a_fault_of_ours_keeps_its_traceback_on_its_line():
    try:
        raise ValueError("first\nsecond")
    except ValueError:
        record = logging.LogRecord(
            "django.request", logging.ERROR, "", 0, "a\nb", (), sys.exc_info()
        )
    line = JsonLines().format(record)
    assert "\n" not in line
    entry = json.loads(line)
    assert entry["says"] == "a\nb"
    assert "ValueError: first" in entry["trace"]


def test_two_requests_have_two_ids(client):
    assert client.get("/health/")["Request-Id"] != client.get("/health/")["Request-Id"]
    answer = client.get("/health/", headers={"request-id": "chosen"})
    assert answer["Request-Id"] != "chosen"


@pytest.mark.parametrize("name", ["SCRIPT_NAME", "HTTP_SCRIPT_NAME"])
def test_a_script_name_moves_no_address(client, name):
    client.defaults[name] = "/elsewhere"
    page = client.get("/sign-in/").content.decode()
    assert "/static/" in page
    assert "elsewhere" not in page
