"""A worker's answer that comes while another one is asked for: it is not taken for that one.

On PostgreSQL the worker waits for whoever asks; on SQLite one of the two waits for the other's
transaction.
"""

import threading
import time

import pytest
from django.db import connection, transaction
from django.utils import timezone

from connections.models import DesignYear, LimitSweep, RemedyYears
from connections.services.asked_rows import note_asked_fault, waiting
from tests.web.making import make_person, make_premises

pytestmark = pytest.mark.django_db(transaction=True)

OLD, NEW = "0" * 64, "1" * 64


@pytest.fixture
def design():
    return make_premises(by=make_person()).design


def answer(rows, key):
    waiting(rows, key, OLD).update(done_at=timezone.now())


def fail(rows, key):
    note_asked_fault(rows, key, OLD, "It cannot be.")


@pytest.mark.parametrize("act", [answer, fail])
@pytest.mark.parametrize("rows", [DesignYear, LimitSweep, RemedyYears])
def test_an_old_answer_is_not_taken_for_the_new_one(design, rows, act):
    row = rows.objects.create(
        design=design, digest=OLD, asked={}, asked_by=make_person(), asked_at=timezone.now()
    )
    asked = threading.Event()

    def ask_anew():
        try:
            with transaction.atomic():
                rows.objects.filter(pk=row.pk).update(digest=NEW)
                asked.set()
                time.sleep(0.4)  # the worker comes now, and waits
        finally:
            connection.close()

    asking = threading.Thread(target=ask_anew)
    asking.start()
    assert asked.wait(10)
    act(rows, str(design.key))
    asking.join()
    row.refresh_from_db()
    assert (row.digest, row.done_at, row.fault) == (NEW, None, "")


@pytest.mark.parametrize("rows", [DesignYear, LimitSweep, RemedyYears])
def test_what_waits_is_found_by_its_own_digest(design, rows):
    row = rows.objects.create(
        design=design, digest=OLD, asked={}, asked_by=make_person(), asked_at=timezone.now()
    )
    key = str(design.key)
    assert waiting(rows, key, OLD).get() == row
    assert not waiting(rows, key, NEW).exists()
    assert not waiting(rows, "00000000-0000-0000-0000-000000000000", OLD).exists()
    answer(rows, key)
    assert not waiting(rows, key, OLD).exists()
