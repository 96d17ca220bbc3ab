"""What somebody might try, and what may happen to the machine. `--night` tries longer."""

import datetime as dt
import time

import pytest
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from sites.management.commands.reap_tasks import reap
from sites.packs.tasks import rebuild_pack
from sites.people.writing import forget_wrong_passwords
from sites.premises.models import Draft
from sites.premises.reading.drafts import sheet_page
from tests.sites import attacking
from tests.sites.making import PASSWORD, make_person, make_premises


@pytest.mark.django_db
def test_a_draft_of_somebody_else_is_neither_seen_nor_dropped(client):
    case = make_premises()
    ann, bob = make_person("office"), make_person("engineer")
    page = sheet_page(case.design.key)
    Draft.objects.create(
        person=ann,
        page=page,
        content={"premises-postcode": ["SECRET WORD"]},
        changed_at=timezone.now(),
    )
    client.force_login(bob)
    assert "SECRET WORD" not in client.get(reverse("design-sheet", args=[case.design.key])).text
    client.post(reverse("draft-drop", args=[case.design.key]))
    assert Draft.objects.get(page=page).person == ann


@pytest.mark.django_db
def test_a_clock_that_was_ahead_keeps_nobody_out(client, monkeypatch):
    """Locked while the clock stood a year ahead; after the next night the person signs in."""
    ann = make_person("office", password=PASSWORD)

    def sign_in(password):
        return client.post(reverse("sign-in"), {"username": ann.email, "password": password})

    ahead = time.time() + 365 * 86_400
    monkeypatch.setattr("allauth.core.internal.ratelimit.time.time", lambda: ahead)
    assert [sign_in("wrong").status_code for _ in range(6)][-1] == 429
    monkeypatch.undo()
    assert sign_in(PASSWORD).status_code == 429
    forget_wrong_passwords()
    assert sign_in(PASSWORD).status_code == 302


@pytest.mark.django_db
def test_a_task_begun_while_the_clock_was_ahead_is_queued_again():
    task = rebuild_pack.enqueue("invented")
    DBTaskResult.objects.filter(pk=task.id).update(
        status="RUNNING", started_at=timezone.now() + dt.timedelta(days=400), worker_ids=["gone"]
    )
    assert reap(dt.timedelta(minutes=10)) == (0, 0)  # some worker may be at it
    assert reap(dt.timedelta(0)) == (1, 0)  # said when no worker runs


def test_five_writers_lose_nothing(own, night):
    """Each act raises the version by one and leaves one event, whoever writes beside it."""
    seconds, most = (120, 10**9) if night else (20, 25)
    writers = [own.start(attacking.write_for, seconds, most) for _ in range(5)]
    for writer in writers:
        writer.join(seconds + 120)
        assert writer.exitcode == 0
    found = own.run(attacking.looked_at)
    assert found["raised"] == found["events"] > 0
    assert night or found["events"] == 5 * most
    assert found["whole"]


def test_writers_that_are_killed_leave_whole_acts(own, night):
    for number in range(50 if night else 3):
        writer = own.start(attacking.write_for, 60, 10**9)
        own.run(attacking.begun, own.run(attacking.looked_at)["events"] + 1 + number % 3)
        writer.kill()
        writer.join(20)
        found = own.run(attacking.looked_at)
        assert found["raised"] == found["events"]
        assert found["whole"]
