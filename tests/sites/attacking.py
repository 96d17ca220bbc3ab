"""Scripts of test_attacks: each runs in a process of its own, and may be killed."""

import time
from typing import Any


def write_for(seconds: float, most: int) -> None:
    """Acts one after the other: a version raised and its event, in one transaction."""
    from django.db import transaction
    from django.db.models import F

    from sites.house.writing.events import record
    from sites.premises.models import Premises

    until = time.monotonic() + seconds
    done = 0
    while time.monotonic() < until and done < most:
        with transaction.atomic():
            Premises.objects.update(version=F("version") + 1)
            premises = Premises.objects.get()
            record("premises.saved", by=None, subject=premises)
        done += 1


def looked_at() -> dict[str, Any]:
    """How often the version was raised, how many events tell of it; whether the file is whole."""
    from django.db import connection

    from sites.house.models import Event
    from sites.premises.models import Premises

    whole = True
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check(1)")
            whole = cursor.fetchone() == ("ok",)
    return {
        "raised": Premises.objects.get().version - 1,
        "events": Event.objects.filter(act="premises.saved").count(),
        "whole": whole,
    }


def begun(at_least: int) -> None:
    """Wait until this many acts are done."""
    until = time.monotonic() + 60
    while looked_at()["events"] < at_least:
        if time.monotonic() > until:
            raise SystemExit("nobody began")
        time.sleep(0.02)
