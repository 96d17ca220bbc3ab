"""A worker's answer that comes while another one is asked for: it is not taken for that one.

On PostgreSQL the worker waits for whoever asks; on SQLite one of the two waits for the other's
transaction.
"""

import threading
import time

import pytest
from django.db import connection, transaction
from django.utils import timezone

from sites.house.models import Work
from sites.house.models.work import KINDS, LOOK
from sites.house.writing.working_out import finish, keep, note_fault, waiting
from sites.looks.models import ScreeningRun
from tests.sites.making import make_person, make_premises, make_screening

pytestmark = pytest.mark.django_db(transaction=True)

OLD, NEW = "0" * 64, "1" * 64


@pytest.fixture(params=KINDS)
def work(request):
    """What waits for an answer under the digest OLD, of each kind."""
    engineer = make_person("engineer")
    case = make_premises(by=engineer)
    if request.param == LOOK:
        part = make_screening(by=engineer).parts.get()
        Work.objects.filter(pk=part.pk).update(digest=OLD)
        return Work.objects.get(pk=part.pk)
    return Work.objects.create(
        kind=request.param, design=case.design, digest=OLD, asked={}, asked_by=engineer,
        asked_at=timezone.now(),
    )  # fmt: skip


def answer(work):
    assert not finish(work, {"found": 1})


def keep_some(work):
    assert not keep(work, {"found": 1})


def fail(work):
    note_fault(work.key, OLD, "It cannot be.")


@pytest.mark.parametrize("act", [answer, keep_some, fail])
def test_an_old_answer_is_not_taken_for_the_new_one(work, act):
    asked = threading.Event()

    def ask_anew():
        try:
            with transaction.atomic():
                Work.objects.filter(pk=work.pk).update(digest=NEW)
                asked.set()
                time.sleep(0.4)  # the worker comes now, and waits
        finally:
            connection.close()

    asking = threading.Thread(target=ask_anew)
    asking.start()
    assert asked.wait(10)
    act(work)
    asking.join()
    work.refresh_from_db()
    assert (work.digest, work.done_at, work.results, work.fault) == (NEW, None, None, "")
    # What was not noted ends no look either.
    assert not ScreeningRun.objects.filter(ended_at__isnull=False).exists()


def test_what_waits_is_found_by_its_own_digest(work):
    assert waiting(work.key, OLD).get() == work
    assert not waiting(work.key, NEW).exists()
    assert not waiting("00000000-0000-0000-0000-000000000000", OLD).exists()
    assert finish(work, None)
    assert not waiting(work.key, OLD).exists()
