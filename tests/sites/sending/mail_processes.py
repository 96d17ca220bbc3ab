"""Scripts of the trial with mails, run in processes of their own."""

import uuid
from typing import Any


def make_ready(first: int, number: int) -> None:
    """So many applications whose pack is printed and waits to be sent."""
    from sites.cases.models import Case
    from sites.house import storage
    from sites.packs.models import FrozenPack
    from sites.people.models import Person
    from tests.sites.making import make_pack_row, make_premises

    engineer = Person.objects.order_by("pk")[0]
    printed = storage.store(b"%PDF-1.7 invented")
    for each in range(first, first + number):
        case = make_premises(reference=f"MAIL-{each}")
        pack = make_pack_row(case, by=engineer)
        FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256=printed)
        Case.objects.filter(pk=case.pk).update(state="ready-to-send", way="application")


def _to(port: int) -> None:
    from django.conf import settings

    settings.MAIL_IS_SET_UP = True
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    settings.DEFAULT_FROM_EMAIL = "office@firm.example"


def queue_mails(port: int) -> int:
    """A person who has each of them sent, and presses again after the server was killed."""
    from sites.cases.models import Case
    from sites.house.refusals import RefusedError
    from sites.people.models import Person
    from sites.sending.writing.sending import queue_mail

    _to(port)
    by = Person.objects.order_by("pk")[0]
    cases = Case.objects.filter(application__reference__startswith="MAIL-")
    for case in cases.select_related("application", "premises", "design").order_by("pk"):
        pressed: dict[str, Any] = {
            "case": case,
            "pack": case.application.packs.get(),
            # The page that is still open has the key of its form.
            "key": uuid.uuid5(uuid.NAMESPACE_OID, str(case.key)),
            "operator": "gb-12",
            "recipient": "slow@operator.example",
            "subject": str(case),
            "words": "Invented.",
            "by": by,
        }
        queue_mail(**pressed)
        try:
            # And another page of the same case, opened at the same time.
            queue_mail(**{**pressed, "key": uuid.uuid4()})
        except RefusedError:
            continue
        raise AssertionError("the same pack was taken twice")
    return cases.count()


def deliver_mails(port: int) -> None:
    """A worker until nothing waits; what a dead one left is taken up first."""
    from tests.sites.processes import reap, work

    _to(port)
    reap()
    work()


def how_they_ended() -> dict[str, Any]:
    """The state of each dispatch by its Message-ID, and the states of the tasks."""
    from django_tasks_db.models import DBTaskResult

    from sites.sending.models import Dispatch

    return {
        "states": dict(Dispatch.objects.values_list("message_id", "state")),
        "tasks": sorted(set(DBTaskResult.objects.values_list("status", flat=True))),
        "cases": list(Dispatch.objects.values_list("message_id", "application__cases__state")),
    }
