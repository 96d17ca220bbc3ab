"""The address that a watch asks whether all is well."""

import datetime as dt
import threading

import pytest
from django import db
from django.db.migrations.recorder import MigrationRecorder
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from sites.house.models import LastRun
from sites.house.reading import health
from sites.house.writing.running import note_run
from sites.packs.tasks import rebuild_pack

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _not_looked_yet(monkeypatch):
    monkeypatch.setattr(health, "_looked", health._Looked())


def test_all_is_well_without_sign_in(client):
    answer = client.get(reverse("health"))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert answer.content.decode().startswith("database: answers\n")
    assert "sessionid" not in answer.cookies


def test_the_file_is_looked_through_now_and_then(client, django_assert_num_queries, monkeypatch):
    look = 1 if db.connection.vendor == "sqlite" else 0  # a server looks after its own files
    with django_assert_num_queries(4 + look):  # SELECT 1, queue, runs, first day, and the look
        client.get(reverse("health"))
    with django_assert_num_queries(4):
        client.get(reverse("health"))
    monkeypatch.setattr(health._looked, "at", health._looked.at - health.LOOKED_AT_EVERY_S)
    with django_assert_num_queries(4 + look):
        client.get(reverse("health"))


def test_a_damaged_file_is_said(client, monkeypatch):
    monkeypatch.setattr(health, "_fault_of_file", lambda: "row 7 missing from index")
    monkeypatch.setattr(db.connection, "vendor", "sqlite")
    answer = client.get(reverse("health"))
    assert answer.status_code == 503
    assert "damaged (row 7 missing from index)" in answer.content.decode()


def test_a_database_that_does_not_answer_is_said(client, monkeypatch):
    def silent(*_args):
        raise db.OperationalError("could not connect to server: secret-host")

    monkeypatch.setattr(db.connection, "cursor", silent)
    answer = client.get(reverse("health"))
    assert answer.status_code == 503
    assert answer.content.decode() == "database: does not answer\n"


def test_a_server_that_is_away_holds_nobody(client, monkeypatch):
    """One thread asks and waits; who comes meanwhile is told at once, and it is asked again."""
    back = threading.Event()
    asked = []

    def waits(_ask):
        asked.append(1)
        back.wait(60)
        return health.Health(True, ("database: answers",))

    monkeypatch.setattr(health, "_on_a_line_of_its_own", waits)
    monkeypatch.setattr(health, "ANSWERS_WITHIN_S", 0.05)
    monkeypatch.setattr(db.connection, "vendor", "postgresql")
    for _ in range(3):
        answer = client.get(reverse("health"))
        assert (answer.status_code, answer.content) == (503, b"database: does not answer\n")
    assert asked == [1]
    back.set()
    health._asked[0].result(60)
    monkeypatch.setattr(health, "ANSWERS_WITHIN_S", 60)
    assert client.get(reverse("health")).status_code == 200


def test_a_queue_without_a_worker_is_said(client):
    """16 minutes are more than the 15 that a task may wait."""
    assert "queue: empty" in client.get(reverse("health")).content.decode()
    task = rebuild_pack.enqueue("invented")
    late = timezone.now() - dt.timedelta(minutes=16)
    DBTaskResult.objects.filter(pk=task.id).update(enqueued_at=late)
    answer = client.get(reverse("health"))
    assert answer.status_code == 503
    assert "queue: oldest waits 16 min\nworker: took up a task last at never" in answer.text


def test_a_full_disk_is_said(client, monkeypatch):
    monkeypatch.setattr(health, "LEAST_FREE_BYTES", 10**18)
    answer = client.get(reverse("health"))
    assert answer.status_code == 503
    assert " MB free" in answer.text


@pytest.mark.parametrize(
    ("name", "hours", "well", "code", "says"),
    [
        ("nightly", 25, True, 200, "nightly: ended last at"),
        ("nightly", 27, True, 503, "nightly: ended last at"),
        ("backup", 1, False, 503, ", failed"),
    ],
)
def test_the_last_night_and_backup_are_said(client, name, hours, well, code, says):
    """A day and two hours to spare: 26 h."""
    note_run(name, well=well, said="")
    LastRun.objects.update(ended_at=timezone.now() - dt.timedelta(hours=hours))
    answer = client.get(reverse("health"))
    assert answer.status_code == code
    assert says in answer.text


def test_an_installation_is_given_its_first_day(client, settings):
    """Neither night nor backup: well on the day of the tables, and not two days later."""
    assert (
        "nightly: ended last at never\nbackup: ended last at never" in client.get("/health/").text
    )
    MigrationRecorder.Migration.objects.update(applied=timezone.now() - dt.timedelta(days=2))
    assert client.get(reverse("health")).status_code == 503
    settings.DEMO = True  # which needs neither
    assert client.get(reverse("health")).status_code == 200


def test_ready_is_who_has_all_tables(client, monkeypatch):
    monkeypatch.setattr(health, "_tables", health._Tables())
    last = MigrationRecorder.Migration.objects.filter(app="sites").latest("pk")
    last.delete()
    answer = client.get(reverse("ready"))
    assert (answer.status_code, answer.text) == (
        503,
        "database: answers\ntables: not up to date, 1 to go\n",
    )
    last.save()
    assert client.get(reverse("ready")).status_code == 200
