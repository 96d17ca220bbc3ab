"""What dead workers and failed acts leave: tasks taken up again, files swept."""

import datetime as dt
import os
import time

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from sites.house import storage
from sites.house.uploads import examine
from sites.management.commands.reap_tasks import reap
from sites.packs.models import FrozenPack
from sites.packs.tasks import rebuild_pack
from sites.review.writing.attachments import add_attachment, take_out_attachment
from tests.sites.making import make_pack
from tests.sites.review.making import acts, make_pdf

TEN_MINUTES = dt.timedelta(minutes=10)


@pytest.fixture
def task(plain, engineer):
    make_pack(plain, by=engineer)
    return DBTaskResult.objects.get()


def left(task: DBTaskResult, minutes_ago: float, times: int = 1) -> None:
    """As a worker leaves it that was killed."""
    DBTaskResult.objects.filter(pk=task.pk).update(
        status="RUNNING",
        started_at=timezone.now() - dt.timedelta(minutes=minutes_ago),
        worker_ids=[f"worker-{n}" for n in range(times)],
    )


class TestReaping:
    def test_what_was_left_long_ago_is_queued_again(self, task):
        left(task, 11)
        assert reap(TEN_MINUTES) == (1, 0)
        task.refresh_from_db()
        assert (task.status, task.started_at) == ("READY", None)

    def test_what_was_begun_just_now_is_left_alone(self, task):
        left(task, 9)
        assert reap(TEN_MINUTES) == (0, 0)
        task.refresh_from_db()
        assert task.status == "RUNNING"

    def test_where_no_worker_runs_all_of_it_is_left_behind(self, task, capsys):
        left(task, 0)
        call_command("reap_tasks", minutes=0)
        assert "Queued again: 1. Given up: 0." in capsys.readouterr().out

    @pytest.mark.parametrize("status", ["READY", "SUCCESSFUL", "FAILED"])
    def test_other_tasks_are_not_touched(self, task, status):
        DBTaskResult.objects.update(status=status, started_at=timezone.now() - dt.timedelta(days=1))
        assert reap(TEN_MINUTES) == (0, 0)
        task.refresh_from_db()
        assert task.status == status

    def test_what_took_three_workers_down_is_given_up_and_noted(self, task, plain):
        left(task, 11, times=3)
        assert reap(TEN_MINUTES) == (0, 1)
        task.refresh_from_db()
        assert task.status == "FAILED"
        assert "begun 3 times" in FrozenPack.objects.get().print_fault
        assert acts(plain)[-1] == "pack.print-failed"

    def test_another_task_is_given_up_without_a_note(self, task, plain):
        DBTaskResult.objects.all().delete()
        rebuild_pack.enqueue(FrozenPack.objects.get().digest)
        left(DBTaskResult.objects.get(), 11, times=3)
        assert reap(TEN_MINUTES) == (0, 1)
        assert FrozenPack.objects.get().print_fault == ""

    @pytest.mark.parametrize("minutes", [-1, float("nan"), float("inf")])
    def test_a_senseless_age_is_refused(self, db, minutes):
        with pytest.raises(CommandError):
            call_command("reap_tasks", minutes=minutes)


class TestSweeping:
    @pytest.fixture
    def old(self):
        """`old(sha256)`: as if stored two days ago."""

        def make(sha256):
            day = time.time() - 2 * 86400
            os.utime(storage.path_of(sha256), (day, day))
            return sha256

        return make

    def there(self, sha256: str) -> bool:
        return storage.path_of(sha256).exists()

    def test_what_no_row_names_goes(self, db, old, capsys):
        sha256 = old(storage.store(b"nobody's"))
        call_command("sweep_files")
        assert not self.there(sha256)
        assert "1 file removed." in capsys.readouterr().out

    def test_what_is_young_stays_for_its_row_may_not_be_committed(self, db):
        sha256 = storage.store(b"on its way")
        call_command("sweep_files")
        assert self.there(sha256)

    def test_stored_again_it_is_young_again(self, db, old):
        sha256 = old(storage.store(b"twice"))
        assert storage.store(b"twice") == sha256
        call_command("sweep_files")
        assert self.there(sha256)

    def test_attachments_stay_taken_out_or_not(self, plain, office, old):
        upload = examine(name="a.pdf", content=make_pdf())
        attachment = add_attachment(case=plain, upload=upload, by=office)
        take_out_attachment(attachment=attachment, by=office)
        old(attachment.sha256)
        call_command("sweep_files")
        assert self.there(attachment.sha256)

    def test_prints_stay_until_their_pack_is_erased(self, plain, engineer, old):
        pack = make_pack(plain, by=engineer)
        sha256 = old(storage.store(b"%PDF-print"))
        FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256=sha256)
        call_command("sweep_files")
        assert self.there(sha256)
        FrozenPack.objects.filter(pk=pack.pk).update(personal=None)
        call_command("sweep_files")
        assert not self.there(sha256)

    def test_what_was_left_aside_goes(self, db, store):
        aside = store / "ab" / ".aside-x"
        aside.parent.mkdir(parents=True)
        aside.write_bytes(b"half")
        os.utime(aside, (0, 0))
        call_command("sweep_files")
        assert not aside.exists()

    def test_showing_removes_nothing(self, db, old, capsys):
        sha256 = old(storage.store(b"nobody's"))
        call_command("sweep_files", show=True)
        assert self.there(sha256)
        assert sha256 in capsys.readouterr().out


class TestStore:
    @pytest.mark.parametrize("name", ["", "../../etc/passwd", "A" * 64, "a" * 63, "a" * 64 + "/"])
    def test_a_name_that_is_no_digest_leads_nowhere(self, name):
        with pytest.raises(ValueError, match="not a SHA-256"):
            storage.path_of(name)

    def test_a_write_that_fails_leaves_nothing(self, store, monkeypatch):
        def full(*_args):
            raise OSError("no space left on device")

        monkeypatch.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="no space"):
            storage.store(b"too much")
        assert not [path for path in store.glob("*/*") if path.is_file()]

    def test_half_a_file_under_the_name_is_written_anew(self):
        sha256 = storage.store(b"whole content")
        storage.path_of(sha256).write_bytes(b"whole")
        storage.store(b"whole content")
        assert storage.stored(sha256) == b"whole content"
